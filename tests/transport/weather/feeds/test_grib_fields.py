"""The table of needed fields against the parameter database that the ecCodes library carries."""

from typing import Any

import eccodes
import pytest

from transport.weather.feeds.grib.fields import METHODS, Rule, as_json, rules
from transport.weather.feeds.units import scale_of

NAMES = {
    "10u": "10 metre U wind component",
    "10v": "10 metre V wind component",
    "10si": "10 metre wind speed",
    "10wdir": "10 metre wind direction",
    "2t": "2 metre temperature",
    "2d": "2 metre dewpoint temperature",
    "2r": "2 metre relative humidity",
    "sp": "Surface pressure",
    "tp": "Total precipitation",
    "vis": "Visibility",
    "orog": "Orography",
    "terrain": "Model terrain height",
    "z": "Geopotential",
}
CENTRES = {(0, 1, 8): 7}
UNITS = {"m s**-1": "m s-1", "Degree true": "degree", "kg m**-2": "kg m-2", "m**2 s**-2": "m2 s-2"}


def of_library(rule: Rule, process: int, surface: int) -> dict[str, Any]:
    """What the library makes of these numbers; it knows some only with a centre."""
    handle = eccodes.codes_grib_new_from_samples("regular_ll_sfc_grib2")
    template = 0 if METHODS[process] == "point" else 8
    keys: dict[str, Any] = {
        "centre": rule.centre or CENTRES.get(rule.key, 98),
        "productDefinitionTemplateNumber": template,
    }
    keys |= dict(zip(("discipline", "parameterCategory", "parameterNumber"), rule.key, strict=True))
    keys |= {"typeOfFirstFixedSurface": surface} | ({"typeOfSecondFixedSurface": rule.second} if rule.second else {})
    if rule.centre:
        keys |= {"localTablesVersion": 1}
    if surface == 103:
        keys |= {"scaleFactorOfFirstFixedSurface": 0}
        keys |= {"scaledValueOfFirstFixedSurface": round(as_json(rule)["high_m"])}
    if template:
        keys |= {"typeOfStatisticalProcessing": process}
    for key, value in keys.items():
        eccodes.codes_set(handle, key, value)
    found = {key: eccodes.codes_get(handle, key) for key in ("name", "units", "stepType")}
    eccodes.codes_release(handle)
    return found


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: f"{rule.name}-{rule.key}")
def test_numbers_mean_what_the_library_says(rule: Rule) -> None:
    """ecCodes parameter database of the installed version; what it does not know it calls unknown."""
    known = 0
    for process in rule.processes:
        for surface in rule.surfaces:
            found = of_library(rule, process, surface)
            assert found["stepType"] == {"point": "instant", "maximum": "max", "sum": "accum"}[METHODS[process]]
            if found["name"] == "unknown":
                continue
            known += 1
            assert UNITS.get(found["units"], found["units"]) in (rule.units, "gpm" if rule.units == "m" else rule.units)
            if rule.name in NAMES and surface == rule.surfaces[0]:
                assert NAMES[rule.name].lower() in found["name"].lower()
    assert known


def test_gust_and_its_kinds() -> None:
    """10 m gust: an instant, a maximum; at the surface only an instant is known."""
    (gust,) = [rule for rule in rules() if rule.name == "gust"]
    assert "gust" in of_library(gust, -1, 103)["name"].lower()
    assert "maximum 10 metre wind gust" in of_library(gust, 2, 103)["name"].lower()
    assert of_library(gust, -1, 1)["name"] == "Wind speed (gust)"
    assert [METHODS[process] for process in gust.processes] == ["maximum", "point"]


def test_rain_in_metres_is_that_of_one_centre_alone() -> None:
    """Number 193 is local: of centre 98 total precipitation in metres, of centre 7 something else."""
    handle = eccodes.codes_grib_new_from_samples("regular_ll_sfc_grib2")
    eccodes.codes_set(handle, "centre", "ecmf")
    eccodes.codes_set(handle, "shortName", "tp")
    key = tuple(eccodes.codes_get_long(handle, name) for name in ("discipline", "parameterCategory", "parameterNumber"))
    (rain,) = [rule for rule in rules() if rule.name == "tp_m"]
    assert (rain.key, rain.centre, rain.units) == (key, 98, eccodes.codes_get(handle, "units"))
    eccodes.codes_set(handle, "centre", 7)
    assert eccodes.codes_get(handle, "name") == "Categorical freezing rain"
    eccodes.codes_release(handle)


def test_every_unit_is_understood_and_heights_follow_the_field() -> None:
    for rule in rules():
        if rule.units != "m2 s-2":
            scale_of(rule.standard_name, rule.units, "grib2_fields.csv", rule.name)
        held = as_json(rule)
        assert held["low_m"] <= held["high_m"]
    heights = {rule.name: (as_json(rule)["low_m"], as_json(rule)["high_m"]) for rule in rules()}
    assert heights["10u"] == (10.0, 10.0)
    assert heights["2t"] == (1.25, 2.1)
