"""Parts of the result as tables that fit 80 columns."""

import numpy as np
import pytest
import xarray as xr

from shared.assessment import Assessment
from transport.reports.extracts import check_extract, road_extract


@pytest.fixture
def named(result: Assessment) -> xr.Dataset:
    """The road with the names of its sections."""
    return result.road.assign(section_name=("part", ["Gate", "Long climb", "Saddle", "Hall"]))


def checked(result: Assessment) -> xr.Dataset:
    limits = result.rose["gust_limit_by_state_mps"].isel(limit_state=[0, 4, 10]).copy()
    limits[1], limits[2] = 20.0, 12.0
    limits[2, :300], limits[2, 700, 3] = 14.0, np.nan
    return xr.Dataset({"gust_limit_mps": limits, "clause": limits["limit_state"], "remedy": limits["limit_state"]})


def test_sections_with_equal_limits_are_one_row(result: Assessment, named: xr.Dataset) -> None:
    states, sections = check_extract("Cover", [checked(result)], named).listings
    assert states.rows[0] == ("road grade", "no wind limit", "-", "-", "not stated")
    assert states.rows[1] == ("trailer tipping", "20.0 m/s", "all", "any", "not stated")
    assert states.rows[2][1:3] == ("unknown", "3500 m")
    assert sections.rows == (
        ("trailer tipping", "all sections", "20.0 m/s"),
        ("cover clearance", "Gate", "14.0 m/s"),
        ("cover clearance", "Long climb", "12.0 m/s"),
        ("cover clearance", "Saddle", "unknown"),
        ("cover clearance", "Hall", "12.0 m/s"),
    )


def test_sections_of_the_road_are_short_with_the_key_in_the_title(result: Assessment, named: xr.Dataset) -> None:
    table = road_extract(named, checked(result)).listings[0]
    assert table.title == (
        "Sections: from and to, m; lowest speed; steepest grade, %, + climbs, with two standard errors; least radius "
        "R, m, - straight; steepest crossfall, %, R falls to the right, L to the left; least width to the left and "
        "right, m"
    )
    assert table.rows[0] == ("Gate", "0", "1495", "5.0", "+7.5", "0.4", "1250", "2.5 R", "3.4", "3.2")
    assert table.rows[3][8] == "unknown"
    other = named.assign(crossfall_ratio=-named["crossfall_ratio"], curvature_per_m=named["curvature_per_m"] * 0)
    assert road_extract(other, checked(result)).listings[0].rows[0][6:8] == ("-", "2.5 L")
    gaps = named.assign(crossfall_ratio=named["crossfall_ratio"] * np.nan, grade_ratio=named["grade_ratio"] * np.nan)
    assert road_extract(gaps, checked(result)).listings[0].rows[0][4:8:3] == ("unknown", "unknown")
