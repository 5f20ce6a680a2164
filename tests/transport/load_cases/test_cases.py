"""The four cases side by side on an envelope that can be worked by hand."""

import numpy as np
import pytest

from transport.load_cases import accidental, earthquake, operation, statutory
from transport.load_cases.cases import Held, accidental_case, earthquake_case, operation_case, statutory_case
from transport.load_cases.codes import Codes
from transport.load_cases.combination import Still, Wind
from transport.load_cases.envelope import Envelope
from transport.load_cases.federal import Rule
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import Row
from transport.load_cases.tiedowns import Tiedowns

MASSES = Masses(30.0, 30.0, 30.0, 10.0)
WIND = Wind(np.full((2, 1), 20.0), np.zeros((2, 1)), 0.0, np.zeros(3), 1.25)
STILL = Still((np.array([0.0, 0.0]), np.array([60.0, np.nan])), (np.zeros(2), np.zeros(2)), np.full(2, 290.0))


def held(force_kN: float) -> Held:
    nodes = np.array([0.5, 1.0, 1.5])
    by_model = np.full((1, 4, 3, 24), force_kN)
    return Held(Envelope(nodes, by_model[0, 0], np.full((3, 3), 1e9), 300.0), by_model)


def codes(use: float, counting: float) -> Codes:
    """One row forward and one counting rule."""
    numbers = {"sliding_kN": 1.0, "tipping_kN": 1.0, "use_ratio": use, "frictionless_ratio": 1.0, "stop_kN": 0.0}
    words = {"level": "LC", "direction": "forward", "way": "chains", "source": ""}
    row = Row(
        "EN 12195-1",
        angle_deg=0.0,
        sliding_ratio=0.8,
        tipping_ratio=0.8,
        stop_needed_kN=1.0,
        slide_m=0.0,
        **numbers,
        **words,
    )  # type: ignore[arg-type]
    none = np.zeros(0)
    tied = Tiedowns((), none, none, none, none, none, none.astype(bool))
    return Codes(("EN 12195-1",), [], [row], [Rule("a", "b", counting, 1.0, "")], tied)


@pytest.mark.parametrize(
    ("force_kN", "counting", "limit"), [(240.0, 0.0, np.inf), (239.9, 0.0, 0.0), (999.0, 1.01, 0.0)]
)
def test_statutory_is_open_or_closed(force_kN: float, counting: float, limit: float) -> None:
    """0.8 W forward of 300 kN needs 240 kN."""
    case = statutory_case(held(force_kN), MASSES, codes(240.0 / force_kN, counting), (2, 24))
    assert case.name == statutory.NAME
    assert case.limit_mps.shape == (2, 24)
    assert (case.limit_mps == limit).all()
    assert case.clause.startswith("EN 12195-1:2010, table 2")
    assert case.push.use_ratio == pytest.approx(np.full(2, max(240.0 / force_kN, counting)))


def test_an_unknown_counting_rule_closes() -> None:
    case = statutory_case(held(999.0), MASSES, codes(0.5, np.inf), (2, 24))
    assert (case.limit_mps == 0.0).all()


@pytest.mark.parametrize(("use", "counting"), [(np.nan, 0.5), (0.5, np.nan)])
def test_what_is_not_known_is_never_open(use: float, counting: float) -> None:
    case = statutory_case(held(999.0), MASSES, codes(use, counting), (2, 24))
    assert np.isnan(case.limit_mps).all()
    assert np.isnan(case.push.use_ratio).all()


def test_operation_and_accident_by_hand() -> None:
    """q A = R - 60 kN; unknown push gives an unknown limit."""
    for make, name in ((operation_case, operation.NAME), (accidental_case, accidental.NAME)):
        case = make(held(100.0), STILL, WIND)
        assert case.name == name
        assert case.limit_mps[0, 0] == pytest.approx(np.sqrt(2 * 40_000 / (1.25 * 20.0)), abs=2e-3)
        assert np.isnan(case.limit_mps[1, 0])
        assert case.push.use_ratio[0] == pytest.approx(0.6)


def test_earthquake_spends_part_of_it_beforehand() -> None:
    """R - r with r the shaking, and the gust 1.4 times the mean: V = 1.4 sqrt(2 (R - r - 60) / (rho A))."""
    shaking = np.array([[20.0, 0.0], [20.0, 0.0]])
    case = earthquake_case(held(100.0), STILL, WIND, shaking)
    assert case.name == earthquake.NAME
    reach = 20.0 * np.hypot(1.0, 0.3)
    assert case.limit_mps[0, 0] == pytest.approx(1.4 * np.sqrt(2e3 * (40.0 - reach) / 25.0), rel=0.02)
    assert np.isnan(case.limit_mps[1, 0])
