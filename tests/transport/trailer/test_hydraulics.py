"""Group pressure, twist, ground and elastic roll as limits: hand cases, laws, scaling, what is not stated."""

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.calculation import lines_of
from shared.inputs import defaults_of
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.ground import borne_line_t, ground_pressures_kPa, ground_use_ratio
from transport.trailer.inputs import Trailer
from transport.trailer.remarks import band

TrailerOf = Callable[..., Trailer]
RoadOf = Callable[..., xr.Dataset]
StandOf = Callable[..., xr.Dataset]
LAW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
PRESSURE, GROUND = "hydraulic group pressure", "ground pressure"
NEEDED = ("cylinder_diameter_mm", "cylinders_per_bogie_count", "group_pressure_limit_bar")
LEVEL = ("grade_ratio", "grade_se_ratio", "curvature_per_m", "curvature_se_per_m", "crossfall_ratio")
STILL = {
    "unit_mass_tolerance_t": 0.0,
    "unit_centre_of_mass_tolerance_m": 0.0,
    "deceleration_mps2": 0.0,
    "start_mps2": 0.0,
}
AREA_M2 = np.pi / 4.0 * 0.14**2


def limit(stand: xr.Dataset, state: str) -> np.ndarray:
    return np.asarray(stand["gust_limit_mps"].sel(limit_state=state).values)


def used(stand: xr.Dataset, state: str) -> np.ndarray:
    return np.asarray(stand["utilisation_ratio"].sel(limit_state=state).values)


def remarks(stand: xr.Dataset) -> list[str]:
    return list(json.loads(stand.attrs["remarks"]))


def test_gauges_on_level_ground(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    """68 t on 16 cylinders of 140 mm: 27.1 bar in each group, of three or of four, whatever the road."""
    for groups in (3, 4):
        level_kPa = stand_of(trailer_of(groups))["group_pressure_kPa"].values
        np.testing.assert_allclose(level_kPa, 68.0 * STANDARD_GRAVITY_MPS2 / (16.0 * AREA_M2))
        np.testing.assert_allclose(level_kPa / 100.0, 27.1, atol=0.05)


@pytest.mark.parametrize(("limit_bar", "is_open"), [(27.2, True), (27.0, False)])
def test_pressure_closes_where_the_circuit_ends(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, limit_bar: float, is_open: bool
) -> None:
    """Level, still, no allowance: 27.1 bar."""
    road = road_of(1, **dict.fromkeys(LEVEL, 0.0), crossfall_se_ratio=0.0)
    trailer = trailer_of(levelling_tolerance_deg=0.0).model_copy(update={"group_pressure_limit_bar": limit_bar})
    stand = stand_of(trailer, road, **STILL)
    assert np.all(limit(stand, PRESSURE) > 0.0) == is_open
    assert bool(used(stand, PRESSURE)[0] <= 1.0) == is_open


@pytest.mark.parametrize(("least_bar", "is_open"), [(21.9, True), (22.1, False)])
def test_a_group_may_not_unload(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, least_bar: float, is_open: bool
) -> None:
    """Level: 68 t less eight lines of 1.6 t on 16 cylinders, 55.2 g / (16 A) = 21.98 bar."""
    road = road_of(1, **dict.fromkeys(LEVEL, 0.0), crossfall_se_ratio=0.0)
    trailer = trailer_of(levelling_tolerance_deg=0.0, group_pressure_least_bar=least_bar)
    stand = stand_of(trailer, road, **STILL)
    np.testing.assert_allclose(stand["group_pressure_min_kPa"], 55.2 * STANDARD_GRAVITY_MPS2 / (16.0 * AREA_M2))
    assert np.all(limit(stand, PRESSURE) > 0.0) == is_open
    assert bool(used(stand, PRESSURE)[0] <= 1.0) == is_open


def test_a_group_that_lifts_is_infinite_and_closed(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(), unit_centre_of_mass_m=(0.0, 1.3, 1.65))
    assert np.all(np.isinf(used(stand, PRESSURE)))
    assert np.all(limit(stand, PRESSURE) == 0.0)


@pytest.mark.parametrize("groups", [3, 4])
def test_pressure_is_at_its_limit_in_the_limiting_gust(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, groups: int
) -> None:
    """The line's reserve less its loss in that gust is nothing; the gust is the least of the road."""
    stand = stand_of(trailer_of(groups, group_pressure_limit_bar=50.0))
    line = next(one for one in lines_of(stand) if one.title == "Gust that uses up the reserve of pressure")
    at = {symbol: value for symbol, value, _, _ in line.values}
    assert line.result[1] == pytest.approx(limit(stand, PRESSURE).min())
    assert at["C"] == pytest.approx(0.5e-3 * at["rho"] * line.result[1] ** 2 * at["D"])


@LAW
@given(less=st.floats(60.0, 110.0), more=st.floats(0.0, 80.0), groups=st.sampled_from([3, 4]))
def test_thinner_cylinders_never_raise_the_high_side(
    trailer_of: TrailerOf, stand_of: StandOf, less: float, more: float, groups: int
) -> None:
    """Without a least pressure; with one, thinner cylinders keep more pressure in a light group."""
    thin, thick = (
        stand_of(trailer_of(groups, cylinder_diameter_mm=bore, group_pressure_least_bar=1e-6))
        for bore in (less, less + more)
    )
    assert np.all(limit(thin, PRESSURE) <= limit(thick, PRESSURE) * (1.0 + 1e-6))
    assert np.all(used(thin, PRESSURE) >= used(thick, PRESSURE) * (1.0 - 1e-9))


@LAW
@given(less=st.floats(0.5, 15.0), more=st.floats(0.0, 30.0), groups=st.sampled_from([3, 4]))
def test_a_higher_least_pressure_never_raises_the_limit(
    trailer_of: TrailerOf, stand_of: StandOf, less: float, more: float, groups: int
) -> None:
    low, high = (stand_of(trailer_of(groups, group_pressure_least_bar=bar)) for bar in (less, less + more))
    assert np.all(limit(high, PRESSURE) <= limit(low, PRESSURE) * (1.0 + 1e-9))


@pytest.mark.parametrize("groups", [3, 4])
def test_twice_the_size_has_the_same_limits(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, tables: dict[str, Any], groups: int
) -> None:
    """Lengths twice, areas, masses and forces four times, moments and stiffnesses eight times: pressures the same."""
    names = {"_m": 2.0, "_mm": 2.0, "_t": 4.0, "_m2": 4.0, "_MNm_per_rad": 8.0, "_per_m": 0.5}

    def grown(table: dict[str, Any]) -> dict[str, Any]:
        ends = {name: next((names[e] for e in sorted(names, key=len, reverse=True) if name.endswith(e)), 1.0)
                for name in table}  # fmt: skip
        return {n: tuple(ends[n] * x for x in v) if isinstance(v, tuple) else ends[n] * v for n, v in table.items()}

    small = trailer_of(groups, stop_travel_m=0.2)
    table = {name: value for name, value in tables["trailer"].items() if not isinstance(value, bool | int)}
    large = Trailer.model_validate(
        tables["trailer"]
        | grown(table | {"stop_travel_m": 0.2, "levelling_stroke_m": 0.6})
        | {"group": tables["group"][groups]}
    )
    road = road_of()
    wide = road_of(
        **grown({n: v for n, v in tables["road"].items() if n.endswith("per_m")}),
        speed_mps=tables["road"]["speed_mps"] * 2**0.5,
    )
    wide = wide.assign_coords(station=2.0 * wide["station"])
    same = ("air_density_kg_per_m3",)
    unit = grown({n: v for n, v in tables["unit"].items() if n not in same})
    one, two = stand_of(small, road), stand_of(large, wide, **unit)
    for state in one["limit_state"].values:
        if state != GROUND:  # the depth below the road does not grow
            np.testing.assert_allclose(limit(two, state), limit(one, state), rtol=1e-9, err_msg=state)
    for name in ("group_pressure_kPa", "group_lost_ratio", "group_lost_gust_mps", "group_lost_tilt_deg"):
        np.testing.assert_allclose(two[name].values, one[name].values, rtol=1e-9, err_msg=name)


def test_twist_adds_to_one_diagonal(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    """Crossfall from 0 to 3 % under the deck, exact survey: 1000 x 0.5 x 0.03 / 1.8 = 8.33 kN, 0.85 t on each group."""
    road = road_of(5, crossfall_ratio=[0.0, 0.0, 0.0, 0.03, 0.03], crossfall_se_ratio=0.0)
    soft, stiff = (stand_of(trailer_of(deck_torsion_stiffness_MNm_per_rad=k), road) for k in (1e-12, 0.5))
    np.testing.assert_allclose(stiff["group_twist_kN"].max(), 8.3333, rtol=1e-4)
    for name, sign in (("group_load_max_t", 1.0), ("group_load_min_t", -1.0)):
        added = (stiff[name] - soft[name]).values * STANDARD_GRAVITY_MPS2
        np.testing.assert_allclose(added, sign * np.broadcast_to(stiff["group_twist_kN"].values, added.shape))
    three = stand_of(trailer_of(3), road)
    assert np.all(three["group_twist_kN"].values == 0.0)
    assert not any("twist of the deck" in line for line in remarks(stiff))


def test_ground_closes_at_the_allowed_pressure(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    """Use and limit turn at the same pressure; the rule that governs is the greater of the two."""
    trailer = trailer_of()
    line_t = float(stand_of(trailer)["axle_line_load_t"].max())
    both = ground_pressures_kPa(line_t * STANDARD_GRAVITY_MPS2, 1.5, 3.0, (8, 900.0), 0.5)[:2]
    for bearing, is_open in ((1.001 * both.max(), True), (0.999 * both.max(), False)):
        stand = stand_of(trailer_of(ground_bearing_kPa=float(bearing)))
        assert bool(used(stand, GROUND).max() <= 1.0) == is_open
        assert bool(np.all(limit(stand, GROUND) > 0.0)) == is_open


@given(st.floats(1.0, 2000.0), st.floats(0.5, 5.0), st.floats(1.0, 6.0), st.floats(0.1, 1.5))
def test_the_borne_line_uses_the_ground_up(bearing: float, pitch: float, width: float, depth: float) -> None:
    borne = borne_line_t(bearing, pitch, width, 8, 900.0, depth)
    found = float(ground_use_ratio(np.array([borne]), bearing, pitch, width, (8, 900.0), depth)[0])
    assert found == pytest.approx(1.0)


def test_the_ground_is_only_reported_without_an_allowed_pressure(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(ground_bearing_kPa=None))
    assert GROUND not in stand["limit_state"].values
    assert np.all(np.isfinite(stand["ground_pressure_kPa"].values))
    assert "not checked: ground pressure (trailer.ground_bearing_kPa is not given)" in remarks(stand)


def test_pressure_that_is_not_stated_is_not_known(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(**dict.fromkeys(NEEDED)))
    assert np.all(np.isnan(limit(stand, PRESSURE)))
    assert np.all(np.isnan(used(stand, PRESSURE)))
    for name in ("group_pressure_kPa", "group_pressure_min_kPa", "group_pressure_max_kPa"):
        assert np.all(np.isnan(stand[name].values))
    assert any(line.startswith("not known: hydraulic group pressure") for line in remarks(stand))
    assert not [line for line in lines_of(stand) if line.check == PRESSURE]


def test_what_the_builder_did_not_tell_is_taken_on_the_unfavourable_side(
    trailer_of: TrailerOf, stand_of: StandOf
) -> None:
    """Without a least pressure and a stiffness in torsion nothing is used less than with those of the sample."""
    told = trailer_of()
    names = ("group_pressure_least_bar", "deck_torsion_stiffness_MNm_per_rad")
    silent = Trailer.model_validate({k: v for k, v in told.model_dump().items() if k not in names})
    assert [item.field for item in defaults_of(silent) if item.field in names] == list(names)
    assert (used(stand_of(silent), PRESSURE) >= used(stand_of(told), PRESSURE)).all()


def test_a_platform_too_soft_to_stand_says_so(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(roll_stiffness_MNm_per_rad=0.9))
    net = 0.9 - 68.5 * STANDARD_GRAVITY_MPS2 * float(stand["centre_of_mass_height_m"]) / 1000.0
    assert float(stand["net_roll_stiffness_MNm_per_rad"]) == pytest.approx(net)
    assert (
        f"closed: the net roll stiffness k - m g h is {net:.2f} MNm/rad, allowed above 0 "
        "(trailer.roll_stiffness_MNm_per_rad = 0.9): the platform does not stand upright; lower the unit, take a "
        "platform that is stiffer in roll, or check the unit of the stiffness"
    ) in remarks(stand)
    for state in (PRESSURE, GROUND):
        assert np.all(limit(stand, state) == 0.0)
        assert np.all(np.isinf(used(stand, state)))
    assert np.all(np.isinf(stand["group_lost_ratio"].values))


@pytest.mark.parametrize(
    ("angle_deg", "start"),
    [
        (4.99, "stop"),
        (5.0, "only with the approval"),
        (7.0, "only with the approval"),
        (7.01, "normal"),
        (10.0, "normal"),
        (10.1, "comfortable"),
        (np.nan, "not known"),
        (-np.inf, "stop"),
    ],
)
def test_bands_of_common_practice(angle_deg: float, start: str) -> None:
    assert band(angle_deg).startswith(start)


def test_the_band_of_the_move_and_the_fragile_load(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    high = {"unit_centre_of_mass_m": (0.0, 0.0, 3.5)}
    four, three = stand_of(trailer_of(4)), stand_of(trailer_of(3), **high)
    for stand in (four, three):
        least = float(stand["stability_angle_deg"].min())
        assert f"and {least:.1f} after all allowances in still air; band after them: {band(least)}" in remarks(stand)[0]
    assert not any("fragile load" in line for line in remarks(four))
    assert any("fragile load" in line for line in remarks(three))


def test_the_spine_is_a_concept_only_where_the_saddles_are_given(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    """40.5 t on saddles at 3 m of 12 m: w = 33.10 kN/m, 148.94 kNm at the saddles and nothing in the middle."""
    names = ("spine_moment_saddle_kNm", "spine_moment_middle_kNm")
    assert all(np.isnan(float(stand_of(trailer_of())[name])) for name in names)
    given = stand_of(trailer_of(), saddle_from_middle_m=3.0)
    np.testing.assert_allclose(
        [float(given[name]) for name in names], [40.5 * STANDARD_GRAVITY_MPS2 / 12.0 * 4.5, 0.0], atol=1e-9
    )
    assert np.isnan(float(stand_of(trailer_of(), saddle_from_middle_m=6.1)[names[0]]))
