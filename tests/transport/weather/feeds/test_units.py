"""Unit texts: a closed list, compared letter by letter."""

import pytest

from shared.errors import InputError
from transport.weather.feeds.units import scale_of


@pytest.mark.parametrize("text", [None, "", " m s-1", "M/S", "kmh", "C", 1])
def test_anything_else_is_refused(text: object) -> None:
    with pytest.raises(InputError, match="for wind_speed, allowed are m s-1, m/s"):
        scale_of("wind_speed", text, "a.nc", "ff")


def test_message_says_what_stood_there() -> None:
    with pytest.raises(InputError, match=r"a.nc: tt: units 'C' for air_temperature, allowed are K, kelvin, degC"):
        scale_of("air_temperature", "C", "a.nc", "tt")
    with pytest.raises(InputError, match=r"a.nc: tt: no units for air_temperature"):
        scale_of("air_temperature", None, "a.nc", "tt")


def test_temperature_has_an_offset() -> None:
    assert scale_of("air_temperature", "degC", "a.nc", "tt") == (1.0, 273.15)
    assert scale_of("precipitation_flux", "kg m-2 s-1", "a.nc", "pr").factor == 3600.0
