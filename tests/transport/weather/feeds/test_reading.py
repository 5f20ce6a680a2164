"""What a file says of itself, asked field by field."""

import numpy as np
import xarray as xr

from transport.weather.feeds.raw import Raw
from transport.weather.feeds.reading import reading_of


def test_a_reading_knows_its_axes(content: xr.Dataset) -> None:
    reading = reading_of(Raw("a.nc", {str(name): item for name, item in content.variables.items()}, ()))
    assert reading.shape == (6, 31, 4, 5)
    assert reading.method("wind_speed_of_gust") == "maximum"
    assert reading.method("wind_speed") == ""
    assert reading.values("wind_speed", ("point",)) is None
    assert reading.fixed("surface_altitude") is not None
    start, end = reading.bounds() or ((), ())
    assert (np.asarray(end) == reading.clock.time).all()
    assert len(start) == 31
    reading.remark("something")
    assert reading.remarks == ["a.nc: something"]
    assert str(reading.refuse("u10", "is odd")) == "a.nc: u10: is odd"
