"""Every field that is understood has its bounds and its units."""

import pytest

from shared.errors import OutOfRangeError
from shared.vocabulary import VOCABULARY
from transport.weather.feeds.netcdf import STANDARD_NAMES
from transport.weather.feeds.units import UNITS
from transport.weather.fields import NAMES, bounds_of


@pytest.mark.parametrize("standard_name", sorted(NAMES))
def test_each_field_has_bounds_units_and_is_read(standard_name: str) -> None:
    bounds = bounds_of(NAMES[standard_name])
    assert bounds.low < bounds.high
    assert standard_name in UNITS
    assert standard_name in STANDARD_NAMES


def test_normal_form_is_in_the_vocabulary() -> None:
    assert set(NAMES.values()) - {"relative_humidity_ratio", "x_wind_mps", "y_wind_mps"} <= set(VOCABULARY)


def test_unknown_field() -> None:
    with pytest.raises(OutOfRangeError, match="weather_fields: 0 rows for snow"):
        bounds_of("snow")
