"""What a file says of itself, asked field by field."""

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.reading import reading_of


def test_a_field_may_have_intervals_of_its_own(content: xr.Dataset) -> None:
    """They go before the bounds of the time axis, and one interval may hold at several times."""
    variables = {str(name): item.copy() for name, item in content.isel(time=slice(0, 4)).variables.items()}
    variables["fg10"].attrs["intervals"] = "spans"
    spans = [[0.0, 0.0], [0.0, 3.0], [0.0, 3.0], [0.0, 3.0]]
    variables["spans"] = xr.Variable(("time", "ends"), spans, {"units": "hours since 2026-03-10 00:00:00"})
    reading = reading_of(Raw("a.nc", variables, ()))
    start, end = reading.bounds("wind_speed_of_gust") or ((), ())
    assert (np.asarray(start) == reading.clock.time[0]).all()
    assert ((np.asarray(end) - reading.clock.time[0]) / np.timedelta64(1, "h")).tolist() == [0, 3, 3, 3]
    _, end = reading.bounds("precipitation_amount") or ((), ())
    assert (np.asarray(end) == reading.clock.time).all()
    spans[2] = [1.0, 2.0]
    variables["spans"] = xr.Variable(("time", "ends"), spans, variables["spans"].attrs)
    with pytest.raises(InputError, match="spans: intervals must rise, be complete and hold their own time"):
        reading_of(Raw("a.nc", variables, ())).bounds("wind_speed_of_gust")


def test_a_reading_knows_its_axes(content: xr.Dataset) -> None:
    reading = reading_of(Raw("a.nc", {str(name): item for name, item in content.variables.items()}, ()))
    assert reading.shape == (6, 31, 4, 5)
    assert reading.method("wind_speed_of_gust") == "maximum"
    assert reading.method("wind_speed") == ""
    assert reading.values("wind_speed", ("point",)) is None
    assert reading.fixed("surface_altitude") is not None
    start, end = reading.bounds("wind_speed_of_gust") or ((), ())
    assert (np.asarray(end) == reading.clock.time).all()
    assert len(start) == 31
    reading.remark("something")
    assert reading.remarks == ["a.nc: something"]
    assert str(reading.refuse("u10", "is odd")) == "a.nc: u10: is odd"
