"""The return leg: laws of turning a road round."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import reversal

FIXED = settings(derandomize=True, deadline=None, max_examples=40)
NAMES = (
    *(
        "grade_ratio",
        "grade_long_ratio",
        "crossfall_ratio",
        "curvature_per_m",
        "grade_se_ratio",
        "heading_deg",
    ),
    *("width_left_m", "width_right_m", "elevation_m", "speed_mps"),
)


def road(seed: int, count: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    columns = {name: rng.uniform(0.0, 360.0, count) for name in NAMES}
    columns["crossfall_ratio"][0] = np.nan
    columns["surface"] = np.array([f"surface {index}" for index in range(count)])
    return columns | {"station": np.linspace(0.0, 5.0 * count, count)}


@FIXED
@given(seed=st.integers(0, 1000), count=st.integers(2, 30))
def test_reversing_twice_is_the_road_itself(seed: int, count: int) -> None:
    one = road(seed, count)
    twice = reversal.reversed_columns(reversal.reversed_columns(one))
    assert twice.keys() == one.keys()
    for name, values in one.items():
        if name == "surface":
            assert (twice[name] == values).all()
        else:
            assert twice[name] == pytest.approx(values, abs=1e-9, nan_ok=True)


def test_what_changes_sign_and_place() -> None:
    one = road(1, 5)
    back = reversal.reversed_columns(one)
    assert back["station"][0] == 0.0
    assert (np.diff(back["station"]) > 0.0).all()
    for name in ("grade_ratio", "grade_long_ratio", "curvature_per_m"):
        assert (back[name] == -one[name][::-1]).all()
    assert back["crossfall_ratio"][:-1].tolist() == (-one["crossfall_ratio"][::-1])[:-1].tolist()
    assert np.isnan(back["crossfall_ratio"][-1])
    assert (back["width_left_m"] == one["width_right_m"][::-1]).all()
    assert (back["width_right_m"] == one["width_left_m"][::-1]).all()
    assert (back["grade_se_ratio"] == one["grade_se_ratio"][::-1]).all()
    assert back["heading_deg"] == pytest.approx((one["heading_deg"][::-1] + 180.0) % 360.0)
    assert back["surface"][0] == "surface 4"


def test_the_road_given_is_not_changed() -> None:
    one = road(2, 6)
    kept = {name: values.copy() for name, values in one.items()}
    reversal.reversed_columns(one)
    assert all(np.array_equal(one[name], kept[name], equal_nan=name != "surface") for name in one)


@FIXED
@given(begin=st.floats(0.0, 500.0), length=st.floats(1.0, 500.0))
def test_a_piece_keeps_its_length(begin: float, length: float) -> None:
    first, last = reversal.reversed_span(begin, begin + length, 1000.0)
    assert last - first == pytest.approx(length)
    assert reversal.reversed_span(first, last, 1000.0) == pytest.approx((begin, begin + length))


def test_a_station_from_the_other_end() -> None:
    assert reversal.reversed_station_m(np.array([0.0, 400.0]), 1000.0).tolist() == [1000.0, 600.0]
