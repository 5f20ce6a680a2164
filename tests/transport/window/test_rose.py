"""The least limit governs, unknown comes through, and a cell is never milder than its stations."""

import numpy as np
import pytest
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.datasets import dataset
from transport.window.rose import cell_edges_m, cells, rose, widened

WIND = np.arange(0.0, 360.0, 90.0)


def check(name: str, values: object) -> xr.Dataset:
    limit = np.broadcast_to(np.asarray(values, dtype=float), (5, 4))
    return dataset(
        {
            "gust_limit_mps": (("limit_state", "station", "wind_from"), limit[None]),
            "clause": ("limit_state", ["clause"]),
            "remedy": ("limit_state", ["remedy"]),
        },
        {"limit_state": [name], "station": np.arange(5) * 10.0, "wind_from": WIND},
    )


def test_the_least_limit_and_its_name() -> None:
    stacked = rose([check("cover", 9.0), check("tipping", [[20.0, 8.0, 20.0, 20.0]])])
    assert stacked["gust_limit_mps"].values[0].tolist() == [9.0, 8.0, 9.0, 9.0]
    assert stacked["governed_by"].values[0].tolist() == ["cover", "tipping", "cover", "cover"]
    assert stacked["gust_limit_mps"].attrs["units"] == "m s-1"


def test_unknown_governs_and_is_not_hidden_by_a_smaller_limit() -> None:
    stacked = rose([check("cover", 0.0), check("survey", np.nan)])
    assert np.isnan(stacked["gust_limit_mps"].values).all()
    assert set(stacked["governed_by"].values.ravel()) == {"survey"}


def test_a_cell_takes_the_least_of_its_stations() -> None:
    limit = np.array([[9.0], [8.0], [3.0], [9.0], [9.0]])
    places = cells(rose([check("cover", limit)]), np.array([0.0, 15.0, 40.0]))
    assert places["gust_limit_mps"].values[:, 0].tolist() == [3.0, 3.0]
    assert places["station"].values.tolist() == [7.5, 27.5]
    gap = cells(rose([check("cover", np.where(limit == 3.0, np.nan, limit))]), np.array([0.0, 15.0, 40.0]))
    assert np.isnan(gap["gust_limit_mps"].values).all()


def test_edges_break_where_something_begins() -> None:
    assert cell_edges_m(100.0, 30.0, [10.0, 0.0, 100.0, 120.0]).tolist() == [0.0, 10.0, 25.0, 50.0, 75.0, 100.0]


@pytest.mark.parametrize(("spread_deg", "expected"), [(0.0, [5.0, 1.0, 1.0, 1.0, 1.0]), (90.0, [1.0] * 5)])
def test_a_spread_of_directions_takes_the_least(spread_deg: float, expected: list[float]) -> None:
    """Even with no spread a direction may lie half a sector off, so the neighbours count; last: any direction."""
    assert widened(np.array([[9.0, 5.0, 1.0, 9.0]]), spread_deg)[0].tolist() == expected


@settings(derandomize=True, max_examples=100)
@given(
    st.lists(st.one_of(st.floats(0, 40), st.just(float("nan"))), min_size=24, max_size=24),
    st.floats(0, 180),
    st.floats(0, 180),
)
def test_a_wider_spread_never_raises_a_limit(limits: list[float], one_deg: float, other_deg: float) -> None:
    row = np.array([limits])
    narrow, wide = widened(row, min(one_deg, other_deg)), widened(row, max(one_deg, other_deg))
    assert (np.isnan(wide) | (wide <= narrow)).all()
    assert (np.isnan(narrow[:, :24]) | (narrow[:, :24] <= row)).all()


@settings(derandomize=True, max_examples=50)
@given(st.lists(st.floats(0, 40), min_size=24, max_size=24), st.integers(0, 23))
def test_a_turned_rose_turns(limits: list[float], shift: int) -> None:
    """Law: turning all directions turns the answer."""
    row = np.array([limits])
    turned = widened(np.roll(row, shift, axis=1), 30.0)
    assert (turned[:, :24] == np.roll(widened(row, 30.0)[:, :24], shift, axis=1)).all()
    assert turned[0, 24] == min(limits)
