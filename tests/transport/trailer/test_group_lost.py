"""One hydraulic group lost: laws, hand cases, and distances by a geometry library."""

import itertools
import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.calculation import lines_of
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.group_lost import known_worst_ratio, sunk_lever_m
from transport.trailer.inputs import Trailer

TrailerOf = Callable[..., Trailer]
RoadOf = Callable[..., xr.Dataset]
StandOf = Callable[..., xr.Dataset]
LAW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
LEVEL = ("grade_ratio", "grade_se_ratio", "curvature_per_m", "curvature_se_per_m", "crossfall_ratio")
STILL = {
    "unit_mass_tolerance_t": 0.0,
    "unit_centre_of_mass_tolerance_m": 0.0,
    "deceleration_mps2": 0.0,
    "start_mps2": 0.0,
}
SHOWN = ("group_lost_ratio", "group_lost_unaided_ratio", "group_lost_level_ratio")

WORSE = {
    "higher centre of mass": (
        {"unit_centre_of_mass_m": (-1.0, -0.2, 1.2)},
        {"unit_centre_of_mass_m": (-1.0, -0.2, 2.5)},
    ),
    "less certain centre of mass": ({"unit_centre_of_mass_tolerance_m": 0.0}, {"unit_centre_of_mass_tolerance_m": 0.2}),
    "harder braking": ({"deceleration_mps2": 0.0}, {"deceleration_mps2": 3.0}),
    "harder start": ({"start_mps2": 0.0}, {"start_mps2": 3.0}),
}


@pytest.mark.parametrize("case", WORSE)
@pytest.mark.parametrize(("groups", "travel_m"), list(itertools.product([3, 4], [None, 0.2])))
def test_a_worse_unit_never_helps(
    trailer_of: TrailerOf, stand_of: StandOf, case: str, groups: int, travel_m: float | None
) -> None:
    off = {"unit_centre_of_mass_m": (-1.0, -0.2, 1.2)}
    good, bad = (stand_of(trailer_of(groups, stop_travel_m=travel_m), **off | part) for part in WORSE[case])
    for name in SHOWN:
        assert np.all(bad[name].values >= good[name].values * (1.0 - 1e-9)), name
    assert np.all(bad["group_lost_gust_mps"].values <= good["group_lost_gust_mps"].values * (1.0 + 1e-9))


@LAW
@given(part=st.floats(0.0, 1.0), groups=st.sampled_from([3, 4]), travel_m=st.sampled_from([None, 0.2]))
def test_a_steeper_or_sharper_road_never_helps(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, part: float, groups: int, travel_m: float | None
) -> None:
    off = {"unit_centre_of_mass_m": (-1.0, -0.2, 1.2)}
    trailer = trailer_of(groups, stop_travel_m=travel_m)
    for name, low, high in (("grade_ratio", -0.02, -0.15), ("curvature_per_m", 0.0, 0.07), ("grade_ratio", 0.0, 0.15)):
        middle = low + part * (high - low)
        good, bad = (stand_of(trailer, road_of(**{name: value}), **off) for value in (low, middle))
        for shown in SHOWN:
            assert np.all(bad[shown].values >= good[shown].values * (1.0 - 1e-9)), (name, shown)


@LAW
@given(less_m=st.floats(0.0, 0.4), more_m=st.floats(0.0, 0.4), groups=st.sampled_from([3, 4]))
def test_stops_that_are_further_down_never_help(
    trailer_of: TrailerOf, stand_of: StandOf, less_m: float, more_m: float, groups: int
) -> None:
    near, far = (stand_of(trailer_of(groups, stop_travel_m=0.01 + travel)) for travel in (less_m, less_m + more_m))
    assert np.all(far["group_lost_ratio"].values >= near["group_lost_ratio"].values * (1.0 - 1e-9))
    assert np.all(far["group_lost_gust_mps"].values <= near["group_lost_gust_mps"].values * (1.0 + 1e-9))


@pytest.mark.parametrize("travel_m", [None, 0.2])
def test_symmetric_groups_are_alike(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, travel_m: float | None
) -> None:
    """Load in the middle of level ground: all four corners, and left and right of the pair, are the same."""
    road = road_of(1, **dict.fromkeys(LEVEL, 0.0))
    four, three = (stand_of(trailer_of(count, stop_travel_m=travel_m), road, **STILL) for count in (4, 3))
    for name in (*SHOWN, "group_lost_tilt_deg"):
        assert np.unique(np.round(four[name].values, 9)).size == 1, name
        np.testing.assert_allclose(three[name].values[1], three[name].values[2])


def test_three_groups_cannot_lose_one_without_stops(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(3))
    assert np.all(np.isinf(stand["group_lost_ratio"].values))
    assert np.all(stand["group_lost_gust_mps"].values == 0.0)
    assert np.all(np.isnan(stand["group_lost_load_t"].values))
    assert "the deck does not stand on the other groups alone" in stand.attrs["remarks"]
    assert "not checked: a lost group on its stops" in stand.attrs["remarks"]


def test_the_other_three_of_four_hold_a_load_that_stands_on_them(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf
) -> None:
    """Centre of mass at (-1.1765, -0.2353): 0.6138 m inside the diagonal; tan of the angle and loads by hand."""
    road = road_of(1, **dict.fromkeys(LEVEL, 0.0), crossfall_se_ratio=0.0)
    trailer = trailer_of(levelling_tolerance_deg=0.0, roll_stiffness_MNm_per_rad=10000.0)
    stand = stand_of(trailer, road, unit_centre_of_mass_m=(-2.0, -0.4, 1.65), **STILL)
    place = shapely.Point(-80.0 / 68.0, -16.0 / 68.0)
    rest = shapely.Polygon([(3.0, -0.9), (-3.0, 0.9), (-3.0, -0.9)])
    assert rest.contains(place)
    assert float(stand["stability_angle_group_lost_deg"][0]) == pytest.approx(
        np.degrees(np.arctan(rest.exterior.distance(place) / (132.4 / 68.0)))
    )
    expected_t = np.linalg.solve(
        np.array([[1.0, 1.0, 1.0], [3.0, -3.0, -3.0], [-0.9, 0.9, -0.9]]), 68.0 * np.array([1.0, place.x, place.y])
    )
    np.testing.assert_allclose(stand["group_lost_load_t"].values[0], [0.0, *expected_t], atol=0.002)
    used = stand["group_lost_check_ratio"].values[0]
    heaviest_kPa = expected_t.max() * STANDARD_GRAVITY_MPS2 / (4.0 * np.pi / 4.0 * 0.14**2)
    np.testing.assert_allclose(used, [0.0, expected_t.max() / 2.0 / 18.0, heaviest_kPa / 8000.0], atol=1e-4)
    assert float(stand["group_lost_ratio"][0]) == pytest.approx(used.max())
    assert np.all(stand["group_lost_ratio"].values[1:3] > 1.0)


def test_on_its_stops_the_tilt_is_added_by_hand(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    """Pair of three groups, 0.3 m: 9.567 degrees towards a corner; moments about each edge written out."""
    road = road_of(1, **dict.fromkeys(LEVEL, 0.0), crossfall_se_ratio=0.0)
    trailer = trailer_of(3, levelling_tolerance_deg=0.0, roll_stiffness_MNm_per_rad=10000.0, stop_travel_m=0.3)
    stand = stand_of(trailer, road, **STILL)
    support = np.array([[3.0, 0.0], [-3.0, 0.9], [-3.0, -0.9]])
    others = shapely.LineString(support[[0, 2]])
    lever_m = others.distance(shapely.Point(support[1]))
    tilt = np.arctan(0.3 / lever_m)
    assert float(stand["group_lost_tilt_deg"][1]) == pytest.approx(np.degrees(tilt))
    assert sunk_lever_m(support, 1) == pytest.approx(lever_m)
    outward = np.array([-0.9, 6.0]) / np.hypot(0.9, 6.0)
    height_m = 132.4 / 68.0
    growth = 1.0 / (1.0 - 68.0 * STANDARD_GRAVITY_MPS2 * height_m / 1000.0 / 10000.0)
    shift = height_m * np.tan(tilt) * outward * np.array([1.0, growth])
    edges = [(np.array([-0.9, -6.0]), 2.7), (np.array([-0.9, 6.0]), 2.7), (np.array([1.0, 0.0]), 3.0)]
    used = max(np.maximum(-normal * shift, 0.0).sum() / bare for normal, bare in edges)  # what helps is left out
    assert float(stand["group_lost_check_ratio"].values[1, 0]) == pytest.approx(used, rel=1e-9)


def test_a_road_that_is_not_known_is_not_known(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    road = road_of()
    road["grade_ratio"].values[1] = np.nan
    stand = stand_of(trailer_of(stop_travel_m=0.2), road)
    for name in ("group_lost_ratio", "group_lost_gust_mps"):
        assert np.all(np.isnan(stand[name].values)), name
    assert "it is not known whether the deck stands" in stand.attrs["remarks"]


def test_pressure_that_is_not_stated_leaves_the_ratio_unknown(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    names = (
        "cylinder_diameter_mm",
        "cylinders_per_bogie_count",
        "group_pressure_limit_bar",
    )
    stand = stand_of(trailer_of(stop_travel_m=0.2, **dict.fromkeys(names)))
    assert np.all(np.isnan(stand["group_lost_ratio"].values))
    assert np.all(np.isfinite(stand["group_lost_check_ratio"].sel(lost_check="tipping").values))


def test_unknown_never_passes_and_never_hides_a_failure() -> None:
    found = known_worst_ratio(np.array([[0.5, 0.7, 0.1], [0.5, np.nan, 0.1], [1.2, np.nan, 0.1], [np.nan] * 3]))
    np.testing.assert_array_equal(found, [0.7, np.nan, 1.2, np.nan])


@pytest.mark.parametrize(("groups", "travel_m"), [(3, None), (4, None), (3, 0.2), (4, 0.2)])
def test_lines_end_in_the_worst_group(
    trailer_of: TrailerOf, stand_of: StandOf, groups: int, travel_m: float | None
) -> None:
    stand = stand_of(trailer_of(groups, stop_travel_m=travel_m))
    worst = list(stand["group"].values).index(stand.attrs["group_lost_worst"])
    lines = {line.title: line.result for line in lines_of(stand) if line.check == "one hydraulic group lost"}
    if travel_m is None:
        assert lines["Centre of mass to the edge of the groups that carry"][1] <= 1e-9
        return
    used = stand["group_lost_check_ratio"].values[worst]
    assert lines["Share of that distance that is used up, still air"][1] == pytest.approx(used[0])
    assert lines["Share of the rating that the heaviest axle line uses, still air"][1] == pytest.approx(used[1])
    assert lines["Tilt of the deck once the group stands on its stops"][1] == pytest.approx(
        float(stand["group_lost_tilt_deg"][worst])
    )


def test_the_worst_group_is_named_with_what_to_do(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    remarks: list[Any] = json.loads(stand_of(trailer_of(3, stop_travel_m=0.2)).attrs["remarks"])
    told = remarks[-1]
    assert told.startswith("one hydraulic group lost, reported beside the intact case: worst is 'rear")
    assert "Stop, nobody under or beside the deck" in told
    assert "safe" not in told
