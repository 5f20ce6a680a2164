"""A maximum stamped at the end of a step holds for the whole step."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.window.overlap import Stay, Steps, largest, largest_at

HOUR = 3600.0
GUSTS = np.array([12.0, 25.0, 14.0], dtype=np.float32)[None, :, None]
STEPS = Steps(np.arange(3) * HOUR, (np.arange(3) + 1) * HOUR)


def met(early_h: float, late_h: float) -> float:
    stay = Stay(np.array([0.0]), np.array([(late_h - early_h) * HOUR]))
    return float(largest(GUSTS, stay, STEPS, np.array([early_h * HOUR]))[0, 0])


@pytest.mark.parametrize(
    ("early_h", "late_h", "expected_mps"),
    [(1 + 1 / 3, 1 + 5 / 6, 25.0), (0.5, 2 + 1 / 6, 25.0), (2.0, 2.5, 14.0), (0.2, 0.9, 12.0)],
)
def test_gust_of_a_stay(early_h: float, late_h: float, expected_mps: float) -> None:
    """Interval semantics of CF conventions 7.3 (read), hand-worked: 12, 25, 14 m/s at interval ends 1, 2, 3 h."""
    assert met(early_h, late_h) == expected_mps


def test_interpolation_would_have_missed_it() -> None:
    """Linear interpolation at 01:20 gives 16.3 m/s; the stay 01:20 to 01:50 can meet 25 m/s."""
    wrong = float(np.interp(4 / 3, [1.0, 2.0, 3.0], GUSTS[0, :, 0]))
    assert wrong == pytest.approx(16.333, abs=1e-3)
    assert met(4 / 3, 11 / 6) > wrong


@pytest.mark.parametrize(("early_h", "late_h"), [(-0.1, 0.5), (2.5, 3.01), (4.0, 5.0), (-2.0, -1.0)])
def test_outside_the_forecast_is_unknown(early_h: float, late_h: float) -> None:
    assert np.isnan(met(early_h, late_h))


PLACES = st.integers(1, 40)


@settings(derandomize=True, max_examples=200)
@given(places=PLACES, steps=st.integers(1, 12), seed=st.integers(0, 10**6), holes=st.booleans())
def test_largest_equals_the_plain_maximum(places: int, steps: int, seed: int, holes: bool) -> None:
    """Checked against a plain loop over every place, step and start; NaN comes through."""
    random = np.random.default_rng(seed)
    values = random.uniform(0, 30, (places, steps, 3)).astype(np.float32)
    if holes:
        values[random.integers(places), random.integers(steps), 1] = np.nan
    early = np.cumsum(random.uniform(0, 300, places))
    stay = Stay(early, early + np.cumsum(random.uniform(1, 400, places)))
    clock = Steps(np.arange(steps) * HOUR, (np.arange(steps) + 1) * HOUR)
    starts = np.sort(random.uniform(-HOUR, steps * HOUR, 17))
    expected = np.array([plain(values, stay, clock, start) for start in starts])
    np.testing.assert_array_equal(largest(values, stay, clock, starts), expected)


def plain(values: np.ndarray, stay: Stay, steps: Steps, start_s: float) -> np.ndarray:
    """The definition, written as loops."""
    if start_s + stay.early_s[0] < steps.begin_s[0] or start_s + stay.late_s[-1] > steps.end_s[-1]:
        return np.full(values.shape[2], np.nan)
    touched = [
        values[place, step]
        for place in range(values.shape[0])
        for step in range(values.shape[1])
        if steps.end_s[step] > start_s + stay.early_s[place] and steps.begin_s[step] < start_s + stay.late_s[place]
    ]
    return np.max(touched, axis=0)


def test_the_place_and_step_are_named_and_unknown_comes_first() -> None:
    values = np.array([[1.0, 3.0], [9.0, 2.0]])
    stay = Stay(np.array([0.0, 0.0]), np.array([HOUR, 2 * HOUR]))
    steps = Steps(np.array([0.0, HOUR]), np.array([HOUR, 2 * HOUR]))
    assert largest_at(values, stay, steps, 0.0) == (1, 0)
    values[1, 1] = np.nan
    assert largest_at(values, stay, steps, 0.0) == (1, 1)
    assert largest_at(values, stay, steps, 1.0) is None
