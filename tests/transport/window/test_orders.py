"""What the driver is told of each stretch and hold point."""

import numpy as np
import pytest
import xarray as xr

from shared.datasets import dataset
from transport.window.orders import orders

STATION = np.arange(0.0, 105.0, 5.0)


@pytest.fixture
def road() -> xr.Dataset:
    """Two sections: a slow steep bend, then a fast level straight."""
    second = STATION >= 50.0
    return dataset(
        {
            "section": ("station", second.astype(int)),
            "section_name": ("section_index", ["bend", "straight"]),
            "speed_mps": ("station", np.where(second, 1.5, 0.5)),
            "grade_ratio": ("station", np.where(second, 0.0, -0.1)),
            "curvature_per_m": ("station", np.where(second, 0.0, 0.05)),
            "hold_name": ("hold", ["lay-by"]),
            "hold_station_m": ("hold", [20.0]),
            "hold_wait_h": ("hold", [0.5]),
        },
        {"station": STATION},
    )


@pytest.fixture
def cells() -> xr.Dataset:
    limit = np.array([[9.0, 12.0], [8.0, 12.0], [12.0, 12.0], [12.0, 10.0]])
    return dataset(
        {
            "gust_limit_mps": (("station", "wind_from"), limit),
            "governed_by": (("station", "wind_from"), np.where(limit < 10, "cover", "tipping")),
        },
        {"station": [12.5, 37.5, 62.5, 87.5], "wind_from": [0.0, 180.0]},
    )


def rows(road: xr.Dataset, cells: xr.Dataset, relief: float = 1.0) -> dict[str, dict[str, object]]:
    made = orders(road, cells, np.array([1.0, 1.0, relief, 1.0]))
    lines = (made.isel(stretch=index) for index in range(made.sizes["stretch"]))
    return {str(line["stretch_name"].values): {str(name): line[name].item() for name in line} for line in lines}


def test_a_stretch_takes_nothing_from_the_next(road: xr.Dataset, cells: xr.Dataset) -> None:
    found = rows(road, cells)
    bend, straight = found["bend"], found["straight"]
    assert (bend["speed_kmh"], straight["speed_kmh"]) == (pytest.approx(1.8), pytest.approx(5.4))
    assert (bend["grade_max_ratio"], straight["grade_max_ratio"]) == (-0.1, 0.0)
    assert (bend["radius_min_m"], straight["radius_min_m"]) == (pytest.approx(20.0), np.inf)


def test_the_least_limit_its_direction_and_its_name(road: xr.Dataset, cells: xr.Dataset) -> None:
    bend = rows(road, cells)["bend"]
    assert (bend["gust_limit_mps"], bend["wind_from_worst_deg"], bend["governed_by"]) == (8.0, 0.0, "cover")


def test_a_hold_point_is_released_by_the_gust_that_the_road_ahead_will_make_of_it(
    road: xr.Dataset, cells: xr.Dataset
) -> None:
    assert rows(road, cells)["lay-by"]["release_limit_mps"] == 8.0
    assert rows(road, cells, relief=2.0)["lay-by"]["release_limit_mps"] == 6.0


def test_unknown_limits_stay_unknown(road: xr.Dataset, cells: xr.Dataset) -> None:
    hole = cells["gust_limit_mps"].copy()
    hole[3, 1] = np.nan
    found = rows(road, cells.assign(gust_limit_mps=hole))
    assert np.isnan(found["straight"]["gust_limit_mps"])
    assert np.isnan(found["lay-by"]["release_limit_mps"])
