"""LC2 by hand."""

import numpy as np
import pytest

from transport.load_cases.operation import backward_mps2, still
from transport.load_cases.ride import Masses, Ride


def ride(**changes: float) -> Ride:
    values = {"deceleration_mps2": 1.5, "start_mps2": 0.3, "vertical_mps2": 0.8} | changes
    ends = np.array([[-7.0], [-6.0]]), np.array([[-1.0], [1.0]]), np.array([[0.02], [0.03]])
    return Ride(*ends, speed_mps=np.array([1.4]), **{name: np.array([value]) for name, value in values.items()})


def test_everything_at_once() -> None:
    """Statics in the moving frame, worked term by term."""
    found = still(Masses(31.0, 30.5, 31.5, 9.81), ride())
    sine, cosine = np.sin(np.deg2rad([6.0, 7.0])), np.cos(np.deg2rad([6.0, 7.0]))
    assert found.ahead_kN[1] == pytest.approx([31.5 * (9.81 * sine[1] + 1.5)])
    assert found.ahead_kN[0] == pytest.approx([-31.5 * 1.5])
    aside = 31.5 * 9.81 * cosine[0] * np.sin(np.deg2rad(1.0))
    assert found.left_kN[0] == pytest.approx([-aside - 31.5 * 1.4**2 * 0.03])
    assert found.left_kN[1] == pytest.approx([aside])
    assert found.carried_kN == pytest.approx([30.5 * (9.81 * cosine[1] * np.cos(np.deg2rad(1.0)) - 0.8)])


@pytest.mark.parametrize(
    ("stop", "start", "back"), [(1.5, 0.3, 1.5), (0.2, 0.6, 0.6), (-1.0, -0.5, 0.0), (np.nan, 0.6, np.nan)]
)
def test_the_stop_rebounds(stop: float, start: float, back: float) -> None:
    """Step response of a damped deck: a stop of 1.040 felt rebounds by 0.877 at its end, inside the bound."""
    found = backward_mps2(ride(deceleration_mps2=stop, start_mps2=start))
    assert found == pytest.approx([back], nan_ok=True)
    assert backward_mps2(ride(deceleration_mps2=1.040, start_mps2=0.3))[0] >= 0.877


@pytest.mark.parametrize("name", ["deceleration_mps2", "start_mps2", "vertical_mps2"])
def test_unknown_stays_unknown(name: str) -> None:
    found = still(Masses(31.0, 30.5, 31.5, 9.81), ride(**{name: np.nan}))
    assert np.isnan([*found.ahead_kN, *found.left_kN, found.carried_kN]).any()


def test_a_negative_stop_is_not_counted_in_favour() -> None:
    hard, none = (still(Masses(31.0, 30.5, 31.5, 9.81), ride(deceleration_mps2=value)) for value in (-1.0, 0.0))
    assert hard.ahead_kN[1] == none.ahead_kN[1]
