"""Laws of the limits: nothing worse ever raises one, they scale as their groups say, unknown stays unknown."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.arrays import Array
from transport.cover import limits
from transport.cover.contact import clearance_by_radius_mps, clearance_mps, watch_mps
from transport.cover.pressure import downward_ratio, gust_mps, largest_pressure_Pa
from transport.cover.situation import Situation, persistent
from transport.cover.states import LIMIT_STATES

CALM = np.zeros(1)
ROUND_OFF = 1.0 + 1e-9


@st.composite
def situations(draw: st.DrawFn) -> Situation:
    """Covers of every sort that the inputs accept, at rest or on a rough road."""

    def between(low: float, high: float) -> float:
        return draw(st.floats(low, high))

    radius, low = between(0.8, 5.0), between(50.0, 6000.0)
    height = between(0.1, 1.5)
    pitch = between(0.1, 0.8)
    return Situation(
        underside=draw(st.sampled_from(["closed", "open"])),
        radius_m=radius,
        mirror_radius_m=radius * between(0.5, 0.99),
        curvature_radius_m=radius * between(1.5, 20.0),
        height_m=height,
        kept_free_m=height * between(0.1, 0.9),
        areal_mass_kg_per_m2=between(0.3, 2.0),
        tension_low_N_per_m=low,
        tension_high_N_per_m=low + between(0.0, 3000.0),
        stiffness_N_per_m=between(5e4, 2e6),
        ring_is_stiff=draw(st.booleans()),
        poisson_ratio=between(0.2, 0.5),
        strength_N_per_m=between(5e3, 1.6e5),
        bending_stiffness_Nm=between(5e-4, 0.05),
        free_hem_m=between(0.0, 0.05),
        pitch_m=pitch,
        hem_span_m=pitch,
        fastener_capacity_N=between(200.0, 2e4),
        factors=persistent(),
        fasteners_missing_count=0,
        vented=True,
        air_density_kg_per_m3=between(0.7, 1.35),
    )


def all_limits(cover: Situation, vertical_mps2: Array = CALM) -> dict[str, float]:
    return {state.name: float(np.broadcast_to(state.gust_mps(cover, vertical_mps2), (1,))[0]) for state in LIMIT_STATES}


def never_raised(before: dict[str, float], after: dict[str, float], free: frozenset[str] = frozenset()) -> None:
    raised = {name: (before[name], after[name]) for name in before if not after[name] <= before[name] * ROUND_OFF}
    assert not {name: pair for name, pair in raised.items() if name not in free}


worse = st.floats(0.3, 1.0)


@settings(deadline=None)
@given(situations(), worse)
def test_less_tension_never_raises_a_limit(cover: Situation, part: float) -> None:
    slack = replace(cover, tension_low_N_per_m=part * cover.tension_low_N_per_m)
    never_raised(all_limits(cover), all_limits(slack))


@settings(deadline=None)
@given(situations(), worse)
def test_more_tension_at_the_fastenings_never_raises_a_limit(cover: Situation, part: float) -> None:
    never_raised(all_limits(cover), all_limits(replace(cover, tension_high_N_per_m=cover.tension_high_N_per_m / part)))


@settings(deadline=None)
@given(situations(), worse)
def test_larger_radius_never_raises_a_limit(cover: Situation, part: float) -> None:
    """The fastenings stay as many, so their pitch grows with the ring."""
    wide = replace(
        cover,
        radius_m=cover.radius_m / part,
        pitch_m=cover.pitch_m / part,
        hem_span_m=cover.hem_span_m / part,
    )
    never_raised(all_limits(cover), all_limits(wide))


@settings(deadline=None)
@given(situations(), worse)
def test_less_clearance_never_raises_a_limit(cover: Situation, part: float) -> None:
    low = cover.kept_free_m + part * (cover.height_m - cover.kept_free_m)
    never_raised(all_limits(cover), all_limits(replace(cover, height_m=low)))


@settings(deadline=None)
@given(situations(), worse, st.floats(0.0, 5.0))
def test_denser_air_never_raises_a_limit(cover: Situation, part: float, vertical_mps2: float) -> None:
    dense = replace(cover, air_density_kg_per_m3=cover.air_density_kg_per_m3 / part)
    shaken = np.array([vertical_mps2])
    never_raised(all_limits(cover, shaken), all_limits(dense, shaken))


@settings(deadline=None)
@given(situations(), worse)
def test_heavier_fabric_never_raises_a_limit(cover: Situation, part: float) -> None:
    """But for the free hem: a heavier one is steadier (hem_flutter.csv, mass ratios below 0.5)."""
    heavy = replace(cover, areal_mass_kg_per_m2=cover.areal_mass_kg_per_m2 / part)
    never_raised(all_limits(cover), all_limits(heavy), free=frozenset({"cover hem"}))


@settings(deadline=None)
@given(situations(), st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_rougher_road_never_raises_a_limit(cover: Situation, one: float, two: float) -> None:
    smooth, rough = sorted((one, two))
    never_raised(all_limits(cover, np.array([smooth])), all_limits(cover, np.array([rough])))


@settings(deadline=None)
@given(situations(), worse)
def test_a_longer_hem_never_raises_a_limit(cover: Situation, part: float) -> None:
    never_raised(all_limits(replace(cover, free_hem_m=part * cover.free_hem_m)), all_limits(cover))


@settings(deadline=None)
@given(situations())
def test_an_open_underside_never_raises_a_limit(cover: Situation) -> None:
    never_raised(all_limits(replace(cover, underside="closed")), all_limits(replace(cover, underside="open")))


@settings(deadline=None)
@given(situations())
def test_a_flexible_ring_never_raises_a_limit(cover: Situation) -> None:
    never_raised(all_limits(replace(cover, ring_is_stiff=True)), all_limits(replace(cover, ring_is_stiff=False)))


@settings(deadline=None)
@given(situations())
def test_one_lost_fastening_never_raises_the_limits_of_the_fabric_skin(cover: Situation) -> None:
    free = frozenset({"cover uplift", "cover fastening"})
    never_raised(all_limits(cover), all_limits(cover.one_lost()), free=free)


@settings(deadline=None)
@given(situations(), st.floats(0.5, 2.0))
def test_speeds_scale_with_the_root_of_density(cover: Situation, factor: float) -> None:
    dense = replace(cover, air_density_kg_per_m3=factor * cover.air_density_kg_per_m3, free_hem_m=0.0)
    thin = replace(cover, free_hem_m=0.0)
    for state in LIMIT_STATES[1:-1]:
        ratio = state.gust_mps(dense, CALM) * np.sqrt(factor) / np.maximum(state.gust_mps(thin, CALM), 1e-12)
        assert np.all((np.abs(ratio - 1.0) < 1e-6) | (ratio == 0.0))
    still, dense_still = (clearance_by_radius_mps(one, CALM, 1.5) for one in (thin, dense))
    assert dense_still * np.sqrt(factor) == pytest.approx(still, rel=1e-6)


@settings(deadline=None)
@given(situations(), st.floats(0.5, 2.0))
def test_limits_keep_when_everything_grows_alike(cover: Situation, scale: float) -> None:
    """Lengths and forces per length times s, forces times s^2: pressures, and so the gusts, stay."""
    lengths = (
        "radius_m",
        "mirror_radius_m",
        "curvature_radius_m",
        "height_m",
        "kept_free_m",
        "pitch_m",
        "hem_span_m",
    )
    per_length = ("tension_low_N_per_m", "tension_high_N_per_m", "stiffness_N_per_m", "strength_N_per_m")
    grown: dict[str, Any] = {name: scale * getattr(cover, name) for name in (*lengths, *per_length)}
    large = replace(cover, **grown, free_hem_m=0.0, fastener_capacity_N=scale**2 * cover.fastener_capacity_N)
    small = replace(cover, free_hem_m=0.0)
    before, after = all_limits(small), all_limits(large)
    for name in set(before) - {"cover clearance"}:
        assert after[name] == pytest.approx(before[name], rel=1e-6), name
    assert clearance_by_radius_mps(large, CALM, 2.0) == pytest.approx(
        clearance_by_radius_mps(small, CALM, 2.0), rel=1e-6
    )


@settings(deadline=None)
@given(situations())
def test_the_clearance_rule_lies_between_its_two_dynamic_factors(cover: Situation) -> None:
    hard, soft = (np.min(clearance_by_radius_mps(cover, CALM, factor)) for factor in (1.5, 2.0))
    assert soft <= clearance_mps(cover, CALM)[0] <= hard
    assert clearance_mps(cover, CALM)[0] in (hard, soft, float(watch_mps(cover)))


def test_unknown_shaking_leaves_the_clearance_unknown(rigged: Situation) -> None:
    shaken = np.array([0.2, np.nan])
    assert np.isnan(clearance_mps(rigged, shaken)).tolist() == [False, True]


@pytest.mark.parametrize(
    ("state", "field"),
    [
        ("cover clearance", "air_density_kg_per_m3"),
        ("cover clearance", "tension_low_N_per_m"),
        ("cover clearance", "height_m"),
        ("cover clearance", "areal_mass_kg_per_m2"),
        ("cover divergence", "tension_low_N_per_m"),
        ("cover divergence", "air_density_kg_per_m3"),
        ("cover uplift", "fastener_capacity_N"),
        ("cover uplift", "air_density_kg_per_m3"),
        ("cover fastening", "tension_high_N_per_m"),
        ("cover fastening", "fastener_capacity_N"),
        ("cover fastening, one lost", "tension_high_N_per_m"),
        ("cover fabric", "strength_N_per_m"),
        ("cover fabric", "tension_high_N_per_m"),
        ("cover hem", "tension_low_N_per_m"),
        ("cover hem", "bending_stiffness_Nm"),
    ],
)
def test_unknown_input_is_never_a_limit(rigged: Situation, state: str, field: str) -> None:
    """Unknown gives NaN, which no gust passes; at worst a closed road, never a number above 0."""
    check = next(one for one in LIMIT_STATES if one.name == state)
    found = check.gust_mps(replace(rigged, **{field: float("nan")}), CALM)
    assert np.all(np.isnan(found) | (found == 0.0))


def test_unknown_tension_is_nan(rigged: Situation) -> None:
    unknown = replace(rigged, tension_low_N_per_m=float("nan"), tension_high_N_per_m=float("nan"))
    found = all_limits(unknown)
    names = ["cover clearance", "cover divergence", "cover fabric", "cover hem"]
    assert all(np.isnan(found[name]) for name in names)


def test_rebound_from_suction_governs_a_step_gust() -> None:
    assert downward_ratio(1.5, 0.5, 1.2) == pytest.approx(0.75)
    assert downward_ratio(2.0, 0.5, 1.2) == pytest.approx(1.2)


def test_no_pressure_left_is_no_gust() -> None:
    assert gust_mps(np.array([-5.0, 0.0]), 1.25).tolist() == [0.0, 0.0]
    assert np.isnan(gust_mps(np.array([np.nan]), 1.25)).all()


def test_largest_pressure_keeps_unknown_and_closed() -> None:
    found = largest_pressure_Pa(lambda q: q <= 40.0, np.array([100.0, 10.0, -3.0, np.nan]))
    assert found[:3] == pytest.approx([40.0, 10.0, 0.0])
    assert np.isnan(found[3])


def test_gates_close_the_road(rigged: Situation) -> None:
    assert float(limits.hem_mps(replace(rigged, free_hem_m=0.051))) == 0.0
    assert float(limits.hem_mps(replace(rigged, free_hem_m=0.050))) > 0.0
    assert float(limits.hem_mps(replace(rigged, free_hem_m=float("nan")))) == 0.0
    assert float(limits.fastening_mps(replace(rigged, fasteners_missing_count=1))) == 0.0
    assert float(limits.vents_mps(replace(rigged, vented=False))) == 0.0
    assert np.isinf(limits.vents_mps(rigged))
    assert np.isinf(limits.vents_still_ratio(replace(rigged, vented=False)))
    assert np.isinf(limits.hem_still_ratio(replace(rigged, free_hem_m=0.2)))
    assert np.isinf(limits.fastening_still_ratio(replace(rigged, fasteners_missing_count=2)))
