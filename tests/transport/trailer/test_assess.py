"""Laws of the trailer's limits: what is worse never raises them, what is unknown stays unknown."""

import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.calculation import lines_of
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.inputs import Trailer

TIPPING, AXLE_LINE, LEVELLING, EARTHQUAKE, LATERAL, PRESSURE, GROUND = STATES = (
    "trailer tipping",
    "axle-line load",
    "levelling stroke",
    "trailer tipping, earthquake",
    "mirror acceleration, lateral",
    "hydraulic group pressure",
    "ground pressure",
)
LOADED = (AXLE_LINE, PRESSURE, GROUND)
TrailerOf = Callable[..., Trailer]
RoadOf = Callable[..., xr.Dataset]
StandOf = Callable[..., xr.Dataset]
LAW = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
RATIO = st.floats(0.0, 1.0)
GROUP_COUNT = st.sampled_from([3, 4])


def limit(stand: xr.Dataset, state: str = TIPPING) -> np.ndarray:
    return np.asarray(stand["gust_limit_mps"].sel(limit_state=state).values)


def never_raised(before: xr.Dataset, after: xr.Dataset, *states: str) -> None:
    for state in states or STATES:
        assert np.all(limit(after, state) <= limit(before, state) * (1.0 + 1e-9)), state


WORSE_ROADS = {
    "steeper climb": ({"grade_ratio": 0.05}, {"grade_ratio": 0.05 + 0.1}),
    "steeper descent": ({"grade_ratio": -0.05}, {"grade_ratio": -0.05 - 0.1}),
    "worse survey of the grade": ({"grade_se_ratio": 0.0}, {"grade_se_ratio": 0.02}),
    "worse survey of the crossfall": ({"crossfall_se_ratio": 0.0}, {"crossfall_se_ratio": 0.02}),
    "more crossfall to the right": ({"crossfall_ratio": 0.01}, {"crossfall_ratio": 0.08}),
    "more crossfall to the left": ({"crossfall_ratio": -0.01}, {"crossfall_ratio": -0.08}),
    "tighter left bend": ({"curvature_per_m": 0.01}, {"curvature_per_m": 0.08}),
    "tighter right bend": ({"curvature_per_m": -0.01}, {"curvature_per_m": -0.08}),
    "worse survey of the bend": ({"curvature_se_per_m": 0.0}, {"curvature_se_per_m": 0.02}),
    "faster": ({"speed_mps": 0.5}, {"speed_mps": 3.0}),
}


@pytest.mark.parametrize("case", WORSE_ROADS)
@LAW
@given(part=RATIO, groups=GROUP_COUNT, levels=st.booleans())
def test_a_worse_road_never_raises_a_limit(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, case: str, part: float, groups: int, levels: bool
) -> None:
    trailer = trailer_of(groups, levels_crossfall=levels)
    good, bad = WORSE_ROADS[case]
    middle = {name: value + part * (bad[name] - value) for name, value in good.items()}
    steps = [stand_of(trailer, road_of(**values)) for values in (good, middle, bad)]
    for before, after in itertools.pairwise(steps):
        never_raised(before, after)


WORSE_UNITS = {
    "higher centre of mass": ({"unit_centre_of_mass_m": (0.1, 0.05, 1.2)}, {"unit_centre_of_mass_m": (0.1, 0.05, 3.0)}),
    "less certain centre of mass": ({"unit_centre_of_mass_tolerance_m": 0.0}, {"unit_centre_of_mass_tolerance_m": 0.2}),
    "less certain mass": ({"unit_mass_tolerance_t": 0.0}, {"unit_mass_tolerance_t": 4.0}),
    "more front area": ({"wind_area_front_m2": 5.0}, {"wind_area_front_m2": 50.0}),
    "more side area": ({"wind_area_side_m2": 5.0}, {"wind_area_side_m2": 50.0}),
    "more drag": ({"force_coefficient": 0.7}, {"force_coefficient": 2.0}),
    "more lift": ({"lift_coefficient": 0.0}, {"lift_coefficient": 1.4}),
    "denser air": ({"air_density_kg_per_m3": 0.95}, {"air_density_kg_per_m3": 1.25}),
    "harder braking": ({"deceleration_mps2": 0.0}, {"deceleration_mps2": 4.0}),
    "harder start": ({"start_mps2": 0.0}, {"start_mps2": 4.0}),
    "stronger shaking": ({"seismic_mps2": (0.5, 0.5)}, {"seismic_mps2": (4.0, 0.5)}),
    "stronger vertical shaking": ({"seismic_mps2": (1.0, 0.0)}, {"seismic_mps2": (1.0, 3.0)}),
    "more delicate mirror": ({"allowed_lateral_mps2": 2.0}, {"allowed_lateral_mps2": 0.1}),
}


@pytest.mark.parametrize("groups", [3, 4])
@pytest.mark.parametrize("case", WORSE_UNITS)
def test_a_worse_unit_never_raises_a_limit(trailer_of: TrailerOf, stand_of: StandOf, case: str, groups: int) -> None:
    good, bad = WORSE_UNITS[case]
    never_raised(stand_of(trailer_of(groups), **good), stand_of(trailer_of(groups), **bad))


@LAW
@given(less=st.floats(5.0, 60.0), more=st.floats(0.0, 60.0), groups=GROUP_COUNT)
def test_a_heavier_unit_never_raises_the_axle_limit(
    trailer_of: TrailerOf, stand_of: StandOf, less: float, more: float, groups: int
) -> None:
    """Tipping is left out on purpose: weight also holds the trailer down, so both ends of the tolerance are used."""
    light, heavy = (stand_of(trailer_of(groups), unit_mass_t=mass) for mass in (less, less + more))
    never_raised(light, heavy, AXLE_LINE)


WORSE_TRAILERS = {
    "softer in roll": ("roll_stiffness_MNm_per_rad", 100.0, 1.6),
    "greater angle asked": ("minimum_stability_angle_deg", 5.0, 10.0),
    "less level": ("levelling_tolerance_deg", 0.0, 3.0),
    "higher deck": ("deck_height_m", 0.9, 1.8),
    "weaker axle lines": ("axle_line_capacity_t", 20.0, 10.0),
    "less stroke": ("levelling_stroke_m", 0.6, 0.05),
    "lower limit of the circuit": ("group_pressure_limit_bar", 200.0, 50.0),
    "heavier axles below the cylinders": ("axle_line_mass_t", 0.0, 3.5),
    "stiffer deck": ("deck_torsion_stiffness_MNm_per_rad", 0.1, 2.0),
    "softer ground": ("ground_bearing_kPa", 400.0, 15.0),
    "longer deck in the wind": ("deck_length_m", 11.0, 20.0),
}


@pytest.mark.parametrize("groups", [3, 4])
@pytest.mark.parametrize("case", WORSE_TRAILERS)
def test_a_worse_trailer_never_raises_a_limit(trailer_of: TrailerOf, stand_of: StandOf, case: str, groups: int) -> None:
    name, good, bad = WORSE_TRAILERS[case]
    never_raised(stand_of(trailer_of(groups, **{name: good})), stand_of(trailer_of(groups, **{name: bad})))


@LAW
@given(width=st.floats(0.6, 1.5), wider=st.floats(0.0, 1.0), ahead=st.floats(0.0, 3.0), groups=GROUP_COUNT)
def test_more_span_between_groups_never_lowers_tipping(
    trailer_of: TrailerOf, stand_of: StandOf, width: float, wider: float, ahead: float, groups: int
) -> None:
    """Wider pivots and front lines further ahead: the new polygon holds the old one."""
    line_x_m = trailer_of(groups).axle_line_x_m
    longer = tuple(x_m + ahead * (x_m > 0.0) for x_m in line_x_m)
    deck = {"deck_width_m": 5.0, "deck_length_m": 14.0}
    narrow = stand_of(trailer_of(groups, bogie_y_m=width, **deck))
    wide = stand_of(trailer_of(groups, bogie_y_m=width + wider, axle_line_x_m=longer, **deck))
    never_raised(wide, narrow, TIPPING)


@LAW
@given(
    heading=st.floats(0.0, 360.0),
    crossfall=st.floats(-0.08, 0.08),
    curvature=st.floats(-0.07, 0.07),
    aside=st.floats(-0.2, 0.2),
    groups=GROUP_COUNT,
    levels=st.booleans(),
)
def test_a_mirrored_move_has_the_mirrored_limits(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, heading: float, crossfall: float, curvature: float,
    aside: float, groups: int, levels: bool,
) -> None:  # fmt: skip
    def stand(sign: float) -> xr.Dataset:
        road = road_of(heading_deg=heading, crossfall_ratio=sign * crossfall, curvature_per_m=sign * curvature)
        wind_from_deg = heading + sign * np.arange(0.0, 360.0, 15.0)
        place = {"unit_centre_of_mass_m": (0.2, sign * aside, 1.4), "wind_centre_m": (0.1, sign * aside, 2.0)}
        return stand_of(trailer_of(groups, levels_crossfall=levels), road, wind_from_deg=wind_from_deg, **place)

    left, right = stand(1.0), stand(-1.0)
    np.testing.assert_allclose(left["gust_limit_mps"].values, right["gust_limit_mps"].values, rtol=1e-9)
    np.testing.assert_allclose(left["deck_pitch_deg"].values, right["deck_pitch_deg"].values)
    np.testing.assert_allclose(left["utilisation_ratio"].values, right["utilisation_ratio"].values)
    if abs(curvature) > 0.01 and levels:
        np.testing.assert_allclose(left["deck_roll_deg"].values, -right["deck_roll_deg"].values)


@pytest.mark.parametrize(
    ("name", "states"),
    [
        ("heading_deg", (TIPPING, *LOADED, EARTHQUAKE)),
        ("grade_ratio", (TIPPING, *LOADED, LEVELLING, EARTHQUAKE)),
        ("grade_se_ratio", (TIPPING, *LOADED, LEVELLING, EARTHQUAKE)),
        ("crossfall_ratio", STATES),
        ("curvature_per_m", (TIPPING, *LOADED, EARTHQUAKE, LATERAL)),
        ("curvature_se_per_m", (TIPPING, *LOADED, EARTHQUAKE, LATERAL)),
        ("speed_mps", (TIPPING, *LOADED, EARTHQUAKE, LATERAL)),
    ],
)
@pytest.mark.parametrize("limit_of", ["open", "closed"])
def test_unknown_road_is_unknown(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, name: str, states: tuple[str, ...], limit_of: str
) -> None:
    road = road_of(9)
    road[name].values[4] = np.nan
    asked = {"open": 7.0, "closed": 44.0}[limit_of]
    trailer = trailer_of(minimum_stability_angle_deg=asked, axle_line_capacity_t=5.0 + asked % 40.0)
    shaken = {"open": (1.0, 0.4), "closed": (6.0, 0.4)}[limit_of]
    stand = stand_of(trailer, road, seismic_mps2=shaken, allowed_lateral_mps2=10.0 / asked)
    for state in states:
        assert np.all(np.isnan(limit(stand, state)[4])), state
        assert not np.any(np.isnan(limit(stand, state)[0])), state


def test_unknown_crossfall_error_is_unknown_where_the_deck_follows_the_road(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf
) -> None:
    stand = stand_of(trailer_of(levels_crossfall=False), road_of(crossfall_se_ratio=np.nan))
    assert np.all(np.isnan(limit(stand)))
    assert np.all(np.isnan(stand["deck_roll_deg"].values))


@pytest.mark.parametrize("name", ["deceleration_mps2", "start_mps2"])
def test_unknown_braking_or_start_is_unknown(stand_of: StandOf, name: str) -> None:
    stand = stand_of(**{name: np.nan})
    assert np.all(np.isnan(limit(stand)))
    assert not np.any(np.isnan(limit(stand, EARTHQUAKE)))  # nobody brakes or starts in it


@pytest.mark.parametrize("shaking", [(np.nan, 0.4), (1.0, np.nan), (9.0, np.nan), (np.nan, 9.0)])
def test_unknown_shaking_is_unknown(stand_of: StandOf, shaking: tuple[float, float]) -> None:
    stand = stand_of(seismic_mps2=shaking)
    assert np.all(np.isnan(limit(stand, EARTHQUAKE)))
    assert not np.any(np.isnan(limit(stand)))


def test_unknown_allowance_of_the_mirror_is_unknown(stand_of: StandOf) -> None:
    assert np.all(np.isnan(limit(stand_of(allowed_lateral_mps2=np.nan), LATERAL)))


@LAW
@given(first=st.floats(0.0, 4.0), more=st.floats(0.0, 4.0), up=st.floats(0.0, 3.0), groups=GROUP_COUNT)
def test_more_shaking_never_raises_the_limit(
    trailer_of: TrailerOf, stand_of: StandOf, first: float, more: float, up: float, groups: int
) -> None:
    trailer = trailer_of(groups)
    steps = [(first, up), (first + more, up), (first + more, up + more)]
    for before, after in itertools.pairwise(steps):
        never_raised(stand_of(trailer, seismic_mps2=before), stand_of(trailer, seismic_mps2=after))


@pytest.mark.parametrize("groups", [3, 4])
def test_no_shaking_leaves_the_mean_wind(trailer_of: TrailerOf, stand_of: StandOf, groups: int) -> None:
    """Without shaking, stop, start and least angle the gust may be 1.4 times what tipping allows."""
    trailer = trailer_of(groups, minimum_stability_angle_deg=0.0)
    stand = stand_of(trailer, deceleration_mps2=0.0, start_mps2=0.0, seismic_mps2=(0.0, 0.0))
    np.testing.assert_allclose(limit(stand, EARTHQUAKE), 1.4 * limit(stand))
    asked = stand_of(trailer_of(groups, minimum_stability_angle_deg=12.0), seismic_mps2=(0.0, 0.0))
    np.testing.assert_allclose(limit(asked, EARTHQUAKE), limit(stand, EARTHQUAKE))


@pytest.mark.parametrize("vertical_mps2", [0.0, 2.0])
def test_earthquake_closes_where_the_resultant_leaves_the_polygon(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, vertical_mps2: float
) -> None:
    """Level, straight, no allowance, four groups: 1.044 a_h = (g - 0.3 a_v) 0.9 / h / e, 68 t."""
    trailer = trailer_of(levelling_tolerance_deg=0.0)
    names = ("grade_ratio", "grade_se_ratio", "curvature_per_m", "curvature_se_per_m", "crossfall_ratio")
    road = road_of(1, **dict.fromkeys(names, 0.0))
    height_m = (40.0 * 2.75 + 28.0 * 0.8) / 68.0
    growth = 1.0 / (1.0 - 68.0 * STANDARD_GRAVITY_MPS2 * height_m / 1000.0 / 15.0)
    edge_mps2 = (STANDARD_GRAVITY_MPS2 - 0.3 * vertical_mps2) * 0.9 / height_m / growth / np.hypot(1.0, 0.3)
    still = {"unit_mass_tolerance_t": 0.0, "unit_centre_of_mass_tolerance_m": 0.0}
    for share, is_open in ((0.999, True), (1.001, False)):
        stand = stand_of(trailer, road, seismic_mps2=(share * edge_mps2, vertical_mps2), **still)
        assert np.all(limit(stand, EARTHQUAKE) > 0.0) == is_open
        assert bool(stand["utilisation_ratio"].sel(limit_state=EARTHQUAKE)[0] <= 1.0) == is_open


@pytest.mark.parametrize("state", [TIPPING, AXLE_LINE])
def test_a_start_is_a_stop_the_other_way(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf, state: str) -> None:
    """Fore and aft alike: starting with wind from ahead is stopping with wind from behind."""
    road = road_of(1, grade_ratio=0.0, heading_deg=0.0, curvature_per_m=0.0)
    stop = stand_of(trailer_of(), road, deceleration_mps2=3.0, start_mps2=0.0)
    start = stand_of(trailer_of(), road, deceleration_mps2=0.0, start_mps2=3.0)
    np.testing.assert_allclose(np.roll(limit(start, state), 12, axis=1), limit(stop, state))
    gentle = stand_of(trailer_of(), road, deceleration_mps2=0.0, start_mps2=0.0)
    assert np.any(limit(start, state) < limit(gentle, state))


def test_the_mirror_feels_roll_and_bend(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    """Crossfall 2 % with twice 0.002, 1 degree of tolerance, all leaning; 1.2^2 (0.03 + 2 x 0.001) m/s2 in the bend."""
    stand = stand_of(trailer_of(levels_crossfall=False), road_of(1, curvature_per_m=-0.03))
    growth = float(stand["roll_amplification_ratio"])
    lean = np.radians(growth * (np.degrees(np.arctan(0.024)) + 1.0))
    felt_mps2 = STANDARD_GRAVITY_MPS2 * np.sin(lean) + growth * 1.44 * 0.032
    np.testing.assert_allclose(stand["lateral_acceleration_mps2"], felt_mps2)
    for allowed, expected in ((1.001 * felt_mps2, np.inf), (0.999 * felt_mps2, 0.0)):
        told = stand_of(trailer_of(levels_crossfall=False), road_of(1), allowed_lateral_mps2=allowed)
        assert np.all(limit(told, LATERAL) == expected)


def test_nothing_for_the_wind_to_push_is_no_limit(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    still = stand_of(force_coefficient=0.0, lift_coefficient=0.0)
    assert all(np.all(np.isinf(limit(still, state))) for state in STATES)
    np.testing.assert_allclose(still["stability_angle_at_limit_deg"], still["stability_angle_deg"])


def test_closed_in_still_air(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(3, minimum_stability_angle_deg=12.0))
    assert np.all(limit(stand) == 0.0)
    assert np.all(stand["stability_angle_deg"].values < 12.0)
    assert np.all(stand["utilisation_ratio"].sel(limit_state=TIPPING).values > 1.0)


def test_platform_too_soft_to_stand_is_closed(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(roll_stiffness_MNm_per_rad=0.9))
    for state in (TIPPING, EARTHQUAKE, LATERAL):
        assert np.all(limit(stand, state) == 0.0)
        assert np.all(np.isinf(stand["utilisation_ratio"].sel(limit_state=state).values))
    np.testing.assert_allclose(np.abs(stand["deck_roll_deg"]), 90.0)
    assert np.isinf(float(stand["roll_amplification_ratio"]))
    assert next(line.title for line in lines_of(stand) if line.check == TIPPING).startswith("Height")


@pytest.mark.parametrize("groups", [3, 4])
def test_the_required_angle_is_left_at_the_limit(trailer_of: TrailerOf, stand_of: StandOf, groups: int) -> None:
    """The closed form put back into the moment balance gives the angle that was asked for."""
    stand = stand_of(trailer_of(groups, minimum_stability_angle_deg=4.0))
    assert np.all(np.isfinite(limit(stand)) & (limit(stand) > 0.0))
    np.testing.assert_allclose(stand["stability_angle_at_limit_deg"], 4.0, atol=1e-9)
    assert np.all(stand["stability_angle_deg"].values > 4.0)


def test_closed_form_against_moments_summed_one_by_one(
    trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf
) -> None:
    """Every sign of every action tried on a rectangle of four groups, moments written out body by body."""
    trailer = trailer_of(minimum_stability_angle_deg=4.0, roll_stiffness_MNm_per_rad=10000.0)
    road = road_of(1, grade_ratio=-0.08, grade_se_ratio=0.0, curvature_se_per_m=0.0, heading_deg=0.0)
    stand = stand_of(trailer, road, wind_from_deg=np.array([250.0]), unit_mass_tolerance_t=0.0)
    gust_mps = float(limit(stand)[0, 0])
    q_kPa = 0.5e-3 * 1.25 * gust_mps**2
    slope, tilt = np.arctan(0.08) + np.radians(1.0), np.radians(1.0)
    cosine = np.cos(slope) * np.cos(tilt)
    rel = np.radians(250.0 + 180.0)
    unit_z, deck_z = 1.1 + 1.65 + 0.05, 0.55
    height_m = (40.0 * unit_z + 28.0 * 0.8) / 68.0
    growth = 1.0 / (1.0 - 68.0 * STANDARD_GRAVITY_MPS2 * height_m / 1000.0 / 10000.0)
    areas = [(24.0, 20.0, 1.1 + 2.1), (3.3, 13.2, deck_z)]
    arm = sum(z * (abs(np.cos(rel)) * front + abs(np.sin(rel)) * side) for front, side, z in areas)
    normal_kN = 68.0 * STANDARD_GRAVITY_MPS2 * cosine - 0.5 * 28.0 * q_kPa
    left_m = []
    for forward, roll, bend, side in itertools.product((0.0, 1.0), (-1.0, 1.0), (0.0, 1.0), (-1.0, 1.0)):
        x_mps2 = forward * (STANDARD_GRAVITY_MPS2 * np.sin(slope) + 1.0)
        y_mps2 = roll * STANDARD_GRAVITY_MPS2 * np.sin(tilt) - bend * 1.2**2 * 0.03
        x_kNm = 68.0 * height_m * x_mps2 + 1.2 * q_kPa * arm * np.cos(rel)
        y_kNm = growth * (68.0 * height_m * y_mps2 - 1.2 * q_kPa * arm * np.sin(rel))
        offset_kNm = 68.0 * STANDARD_GRAVITY_MPS2 * cosine * 0.05 * 40.0 / 68.0
        left_m.append(3.0 - (side * x_kNm + offset_kNm) / normal_kN)
        left_m.append(0.9 - (side * y_kNm + growth * offset_kNm) / normal_kN)
    assert min(left_m) == pytest.approx(height_m * np.tan(np.radians(4.0)), rel=1e-6)


def test_group_loads_hold_the_whole_weight(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    """Without any allowance the groups share exactly the weight, and every line carries the same."""
    trailer = trailer_of(levelling_tolerance_deg=0.0)
    trailer = trailer.model_copy(update={"deck_torsion_stiffness_MNm_per_rad": 1e-9})
    still = {"unit_mass_tolerance_t": 0.0, "unit_centre_of_mass_tolerance_m": 0.0}
    still |= {"deceleration_mps2": 0.0, "start_mps2": 0.0}
    flat = stand_of(trailer, None, **still)
    assert np.all(flat["group_load_min_t"].values < flat["group_load_max_t"].values)
    names = ("grade_ratio", "grade_se_ratio", "curvature_per_m", "curvature_se_per_m", "crossfall_ratio")
    level = stand_of(trailer, road_of(1, **dict.fromkeys(names, 0.0)), **still)
    np.testing.assert_allclose(level["group_load_min_t"], 17.0)
    np.testing.assert_allclose(level["group_load_max_t"], 17.0)
    np.testing.assert_allclose(level["axle_line_load_t"], 8.5)
    assert float(level["transport_mass_t"]) == 68.0


def test_three_groups_against_four(trailer_of: TrailerOf, stand_of: StandOf) -> None:
    """Bare angles: halving the lateral span is what the grouping costs; a lost group leaves nothing."""
    three, four = (stand_of(trailer_of(count)) for count in (3, 4))
    by_name = dict(zip(four["grouping"].values, four["stability_angle_bare_deg"].values, strict=True))
    assert by_name["as declared"] == by_name["four groups, lines halved"]
    assert by_name["three groups, single in front"] == pytest.approx(float(three["stability_angle_bare_deg"][0]))
    assert by_name["three groups, single in front"] < 0.55 * by_name["as declared"]
    np.testing.assert_allclose(four["stability_angle_group_lost_deg"], 0.0, atol=1e-9)
    assert np.all(three["stability_angle_group_lost_deg"].values <= 0.0)
    assert np.all(limit(three) <= limit(four))
    assert np.any(limit(three) < 0.6 * limit(four))


def test_deck_attitude_has_the_signs_of_the_frame(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    road = road_of(2, grade_ratio=[0.06, -0.06], crossfall_ratio=[0.03, -0.03], curvature_per_m=[0.03, -0.03])
    levelled, parallel = (stand_of(trailer_of(levels_crossfall=levels), road) for levels in (True, False))
    worse = np.degrees(np.arctan(0.064)) + 1.0
    np.testing.assert_allclose(levelled["deck_pitch_deg"], [worse, -worse])
    leaned = float(levelled["roll_amplification_ratio"])  # the springs give way to the low side
    assert leaned > 1.05
    np.testing.assert_allclose(levelled["deck_roll_deg"], [leaned, -leaned])  # with the bend: it pushes to the low side
    falls = leaned * (np.degrees(np.arctan(0.034)) + 1.0)
    np.testing.assert_allclose(parallel["deck_roll_deg"], [falls, -falls])  # falls to the right: left side up


def test_levelling_stroke_closes_the_road(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    """1.8 m track x (0.30 + 2 x 0.002) = 0.5472 m, flat profile: within 0.6 m, not within 0.5 m."""
    road = road_of(crossfall_ratio=-0.30, grade_se_ratio=0.0)
    for stroke, expected in ((0.6, np.inf), (0.5, 0.0)):
        stand = stand_of(trailer_of(levelling_stroke_m=stroke), road)
        np.testing.assert_allclose(stand["levelling_stroke_need_m"], 0.5472)
        assert np.all(limit(stand, LEVELLING) == expected)


def test_nothing_given_is_changed(trailer_of: TrailerOf, road_of: RoadOf, stand_of: StandOf) -> None:
    road = road_of()
    before = road.copy(deep=True)
    stand_of(trailer_of(), road)
    xr.testing.assert_identical(road, before)


def loss_by_hand(at: dict[str, float]) -> float:
    turned = at["n_x"] * at["M_x"] + at["e"] * at["n_y"] * at["M_y"]
    return max(-turned, 0.0) + at["A_l"] * max(at["s_l"], 0.0)


def _by_hand(title: str, at: dict[str, float]) -> float:
    formulas: dict[str, Any] = {
        "Height of the combined centre of mass": lambda: (
            (at["m_u"] * at["z_u"] + at["m_t"] * at["z_t"]) / (at["m_u"] + at["m_t"])
        ),
        "Distance left between the resultant and the edge, still air": lambda: (
            at["d_0"] - at["r"] - at["h"] * at["f"] / (at["g"] * at["c"])
        ),
        "Stability angle after all allowances, still air": lambda: np.degrees(np.arctan(at["d"] / at["h"])),
        "Gust that uses up the reserve": lambda: np.sqrt(2000.0 * at["C"] / (at["rho"] * at["D"])),
        "Moment left about the edge above the required angle, still air": lambda: (
            at["m"] * (at["g"] * min(at["c"] * at["s_1"], at["s_1"]) - at["h"] * at["f"])
        ),
        "Load that the group may still take, still air": lambda: at["g"] * (at["P"] * at["n"] / 2.0 - at["F"]),
        "Loss of the reserve per kPa of gust pressure": lambda: loss_by_hand(at),
        "Loss of the reserve per kPa of mean wind": lambda: loss_by_hand(at),
        "Heaviest axle line, still air": lambda: 2.0 * at["F"] / at["n"],
        "Stroke needed by crossfall and profile": lambda: at["u_c"] + at["L"] * at["A"] / 4.0,
        "Lever of the horizontal shaking about the edge": lambda: np.sqrt(
            (at["n"] * at["h"]) ** 2 + at["s"] ** 2 - (at["s"] * at["c"] - at["h"] * at["f"] / at["g"]) ** 2
        ),
        "Moment left about the edge beside the earthquake, no wind": lambda: (
            at["m"]
            * (
                min((at["g"] * at["c"] - at["a_v"]) * at["s"], (at["g"] + at["a_v"]) * at["s"])
                - at["h"] * at["f"]
                - at["a_h"] * at["l"]
            )
        ),
        "Gust whose mean wind uses up the reserve": lambda: at["r"] * np.sqrt(2000.0 * at["C"] / (at["rho"] * at["D"])),
        "Sideways acceleration in the plane of the deck": lambda: (
            at["g"] * np.sin(np.radians(at["phi"])) + at["e"] * at["v"] ** 2 * (at["kappa"] + at["s"])
        ),
    }
    formulas |= {
        "Net roll stiffness; it must stay above 0": lambda: at["k"] - at["m"] * at["g"] * at["h"] / 1000.0,
        "Force that the twisted deck shifts to one diagonal": lambda: 1000.0 * at["k"] * at["w"] / at["b"],
        "Greatest pressure of the governing group, still air": lambda: at["F"] / (at["n"] * at["A"]),
        "Least pressure of the governing group, still air": lambda: (at["F"] - at["n"] * at["W"]) / (at["n"] * at["A"]),
        "Gust that uses up the reserve of pressure": lambda: np.sqrt(2000.0 * at["C"] / (at["rho"] * at["D"])),
        "Pressure under the shadow of the heaviest axle line, still air": lambda: (
            at["P"] * at["g"] / (at["a"] * at["B"])
        ),
        "Pressure below one tyre, spread 2:1, still air": lambda: (
            (at["P"] * at["g"] / at["t"]) / (np.sqrt(at["P"] * at["g"] / (at["t"] * at["q"])) + at["z"]) ** 2
        ),
        "Tilt of the deck once the group stands on its stops": lambda: np.degrees(np.arctan(at["u"] / at["l"])),
        "Centre of mass to the edge of the groups that carry": lambda: (
            at["n_x"] * at["x"] + at["n_y"] * at["y"] + at["e"]
        ),
        "Distance left between the resultant and that edge, still air": lambda: (
            at["s_1"] - at["h"] * at["f"] / (at["g"] * at["c"])
        ),
        "Share of that distance that is used up, still air": lambda: 1.0 - at["d"] / at["s"],
        "Share of the rating that the heaviest axle line uses, still air": lambda: 2.0 * at["F"] / (at["n"] * at["C"]),
    }
    return float(formulas[title]())


@pytest.mark.parametrize("groups", [3, 4])
def test_calculation_lines_can_be_checked_by_hand(trailer_of: TrailerOf, stand_of: StandOf, groups: int) -> None:
    stand = stand_of(trailer_of(groups, minimum_stability_angle_deg=4.0))
    lines = lines_of(stand)
    for line in lines:
        at = {symbol: value for symbol, value, _, _ in line.values}
        assert line.result[1] == pytest.approx(_by_hand(line.title, at), rel=1e-9, abs=1e-12), line.title
    assert {line.check for line in lines} == {*stand["limit_state"].values, "one hydraulic group lost"}
    for check in (TIPPING, "axle-line load", EARTHQUAKE):
        gust = [line for line in lines if line.check == check][-1]
        taken = {symbol: value for symbol, value, _, _ in gust.values}
        for symbol in ("C", "D"):
            own = next(line.result[1] for line in lines if line.check == check and line.result[0] == symbol)
            assert taken[symbol] == pytest.approx(own, rel=1e-9), (check, symbol)
    ends = {line.check: line.result[1] for line in lines}
    assert ends[EARTHQUAKE] == pytest.approx(limit(stand, EARTHQUAKE).min())
    assert ends[LATERAL] == pytest.approx(float(stand["lateral_acceleration_mps2"].max()))
    result = {line.title: line.result[1] for line in lines if line.check == TIPPING}
    assert result["Gust that uses up the reserve"] == pytest.approx(limit(stand).min())
    assert (
        min(result["Stability angle after all allowances, still air"], 90.0)
        >= float(stand["stability_angle_deg"].min()) - 1e-9
    )


def test_nothing_known_has_no_lines(road_of: RoadOf, trailer_of: TrailerOf, stand_of: StandOf) -> None:
    stand = stand_of(trailer_of(), road_of(grade_ratio=np.nan, crossfall_ratio=np.nan))
    assert lines_of(stand) == ()
    assert np.all(np.isnan(stand["gust_limit_mps"].values))


def test_results_carry_units_and_words(stand_of: StandOf) -> None:
    stand = stand_of()
    assert stand["gust_limit_mps"].dims == ("limit_state", "station", "wind_from")
    assert stand["gust_limit_mps"].attrs["units"] == "m s-1"
    assert list(stand["limit_state"].values) == list(STATES)
    assert all(text for text in [*stand["clause"].values, *stand["remedy"].values])
    assert not any("safe" in text for text in [*stand["clause"].values, *stand["remedy"].values])
