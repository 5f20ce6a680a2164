"""Laws of the demand: never lower for a worse case, continuous, unknown stays unknown."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from transport.seismic.deck import deck_mps2, governing_period_s, transmissibility_ratio
from transport.seismic.demand import demand
from transport.seismic.exposure import chance_ratio, return_period_years
from transport.seismic.rocking import rocking_mps2
from transport.seismic.sliding import needed_ratio, sliding_mps2
from transport.seismic.spectrum import Shape, damping_factor_ratio, elastic_mps2, shape
from transport.seismic.wording import one_digit

GROUNDS, TYPES = st.sampled_from("ABCDE"), st.sampled_from([1, 2])
SHAPES = st.builds(shape, st.sampled_from(["horizontal", "vertical"]), TYPES, GROUNDS)
FREQUENCIES = st.floats(0.4, 30.0)


@given(SHAPES, st.floats(0.0, 0.5))
def test_spectrum_is_continuous_and_never_above_its_plateau(known: Shape, damping: float) -> None:
    eta = damping_factor_ratio(damping)
    corners = np.array([known.tb_s, known.tc_s, known.td_s])
    before, after = (elastic_mps2(corners * (1.0 + step), 1.0, known, eta) for step in (-1e-9, 1e-9))
    assert before == pytest.approx(after, rel=1e-6)
    periods = np.linspace(0.0, 4.0, 2001)
    assert np.max(elastic_mps2(periods, 1.0, known, eta)) <= max(known.amplification_ratio * eta, 1.0) * (1.0 + 1e-12)


@given(SHAPES, FREQUENCIES)
def test_the_band_takes_its_worst_period(known: Shape, frequency: float) -> None:
    inside = 1.0 / (frequency * np.linspace(0.7, 1.3, 401))
    worst = np.max(elastic_mps2(inside, 1.0, known, 1.0))
    assert deck_mps2(frequency, 1.0, known, 1.0) >= worst * (1.0 - 1e-9)
    assert inside.min() - 1e-12 <= governing_period_s(frequency, known) <= inside.max() + 1e-12


@given(SHAPES, FREQUENCIES)
def test_an_unknown_frequency_is_the_worst(known: Shape, frequency: float) -> None:
    plateau = deck_mps2(float("nan"), 1.0, known, 1.0)
    assert plateau == pytest.approx(known.amplification_ratio)
    assert deck_mps2(frequency, 1.0, known, 1.0) <= plateau * (1.0 + 1e-12)


@given(SHAPES, FREQUENCIES, st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_less_damping_never_shakes_less(known: Shape, frequency: float, one: float, two: float) -> None:
    little, much = sorted((one, two))
    quiet = deck_mps2(frequency, 1.0, known, damping_factor_ratio(much))
    assert deck_mps2(frequency, 1.0, known, damping_factor_ratio(little)) >= quiet * (1.0 - 1e-12)


@given(st.floats(0.1, 5.0), st.floats(0.1, 5.0), TYPES, GROUNDS, st.floats(1.0, 2.0))
def test_stronger_ground_never_shakes_less(one: float, two: float, kind: int, ground: str, crest: float) -> None:
    weak, strong = (
        demand(
            level,
            kind,
            ground,
            topography_ratio=factor,
            horizontal_frequency_hz=2.0,
            vertical_frequency_hz=2.0,
            damping_ratio=0.1,
        )
        for level, factor in zip(sorted((one, two)), (1.0, crest), strict=True)
    )
    assert weak.deck_horizontal_mps2 <= strong.deck_horizontal_mps2
    assert weak.deck_vertical_mps2 <= strong.deck_vertical_mps2


@given(st.floats(0.0, 1000.0), st.floats(0.0, 1000.0), st.floats(20.0, 5000.0))
def test_longer_on_the_road_is_never_less_likely(one: float, two: float, years: float) -> None:
    short, long = sorted((one, two))
    assert 0.0 <= chance_ratio(short, years) <= chance_ratio(long, years) < 1.0


@given(st.floats(0.5, 5.0), st.floats(20.0, 3000.0), st.floats(1.0, 6.0), st.floats(0.15, 1.9))
def test_hazard_exponent_and_return_period_are_inverse(
    level: float, years: float, exponent: float, ratio: float
) -> None:
    other = return_period_years(ratio * level, level, years, exponent)
    if abs(ratio - 1.0) > 0.05:
        assert np.log(years / other) / np.log(1.0 / ratio) == pytest.approx(exponent, rel=1e-6)


@given(st.floats(0.0, 8.0), st.floats(0.0, 0.3), st.floats(0.0, 6.0))
def test_the_grip_needed_just_holds(horizontal: float, slope: float, vertical: float) -> None:
    needed = needed_ratio(horizontal, slope, -vertical)
    if np.isfinite(needed):
        assert float(sliding_mps2(needed, slope, -vertical)) == pytest.approx(horizontal, rel=1e-6, abs=1e-9)
        assert float(rocking_mps2(needed, 1.0, slope, -vertical)) == pytest.approx(horizontal, rel=1e-6, abs=1e-9)


@given(st.floats(0.0, 8.0), st.floats(0.0, 0.3), st.floats(0.0, 0.1), st.floats(0.0, 6.0), st.floats(0.0, 3.0))
def test_steeper_or_stronger_never_needs_less_grip(
    horizontal: float, slope: float, steeper: float, vertical: float, stronger: float
) -> None:
    least = needed_ratio(horizontal, slope, -vertical)
    assert least <= needed_ratio(horizontal, slope + steeper, -vertical) * (1.0 + 1e-12)
    assert least <= needed_ratio(horizontal + stronger, slope, -vertical) * (1.0 + 1e-12)
    assert least <= needed_ratio(horizontal, slope, -(vertical + stronger)) * (1.0 + 1e-12)


def test_no_weight_cannot_be_held() -> None:
    assert np.isinf(needed_ratio(1.0, 0.0, -9.80665))
    assert np.isinf(needed_ratio(1.0, 0.0, -12.0))


def test_unknown_slope_leaves_the_grip_unknown() -> None:
    assert np.isnan(needed_ratio(1.0, np.array([np.nan]), -1.0)).all()


@given(st.floats(0.01, 0.5))
def test_transmissibility_passes_one_at_root_two(damping: float) -> None:
    assert float(transmissibility_ratio(np.sqrt(2.0), damping)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (2.402e-6, "3 in 1 000 000"),
        (9.606e-6, "1 in 100 000"),
        (5.0e-5, "5 in 100 000"),
        (1.0e-3, "1 in 1 000"),
        (0.1016, "2 in 10"),
        (1.0, "1 in 1"),
        (0.97, "1 in 1"),
        (0.0, "0"),
        (float("nan"), "unknown"),
    ],
)
def test_a_chance_has_one_digit_rounded_up(chance: float, text: str) -> None:
    assert one_digit(chance) == text


@given(st.floats(1e-12, 1.0))
def test_a_chance_is_never_shown_smaller_than_it_is(chance: float) -> None:
    digit, whole = one_digit(chance).split(" in ")
    assert float(digit) / float(whole.replace(" ", "")) >= chance * (1.0 - 1e-8)
    assert digit in set("123456789")
