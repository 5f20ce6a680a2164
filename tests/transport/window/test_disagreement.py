"""How far second opinions lie from the forecast, step by step, with numbers to follow by eye."""

from collections.abc import Sequence

import numpy as np
import pytest
import xarray as xr

from transport.window.disagreement import disagreement, told

BEGIN = np.datetime64("2026-03-09T06:00", "ns")
HOUR = np.timedelta64(1, "h")


def weather(gust_mps: Sequence[Sequence[float]], step_h: int, file: str, first_h: int = 0) -> xr.Dataset:
    """Gust by member and step, a quarter less at the first of two places than at the second."""
    gust = np.array(gust_mps, dtype=np.float32)[:, :, None] * np.array([0.75, 1.0], dtype=np.float32)
    start = BEGIN + (first_h + step_h * np.arange(gust.shape[1])) * HOUR
    return xr.Dataset(
        {"gust_apparent_mps": (("realization", "time", "station"), gust)},
        {"time": start + step_h * HOUR, "time_start": ("time", start), "station": [0.0, 100.0]},
        {"file": file},
    )


FORECAST = weather([[1, 2, 3, 4], [3, 4, 5, 6], [2, 2, 2, 2]], 1, "forecast.nc")


def test_a_step_of_two_hours_counts_in_each_of_its_hours_and_beyond_its_reach_nothing_is_known() -> None:
    found = disagreement(FORECAST, [weather([[10.0], [20.0], [12.0]], 2, "second.nc", first_h=1)])
    np.testing.assert_array_equal(found["road_gust_low_mps"], [1, 2, 2, 2])
    np.testing.assert_array_equal(found["road_gust_median_mps"], [2, 2, 3, 4])
    np.testing.assert_array_equal(found["road_gust_high_mps"], [3, 4, 5, 6])
    np.testing.assert_array_equal(found["opinion_gust_median_mps"], [[np.nan, 12, 12, np.nan]])
    np.testing.assert_array_equal(found["opinion_gust_high_mps"], [[np.nan, 20, 20, np.nan]])
    np.testing.assert_array_equal(found["opinion_above_mps"], [[np.nan, 16, 15, np.nan]])
    assert found["opinion"].values.tolist() == ["second.nc"]


def test_an_hour_that_two_steps_share_takes_the_higher() -> None:
    half = weather([[4.0, 9.0, 5.0]], 2, "second.nc")
    earlier = np.timedelta64(30, "m")
    shifted = half.assign_coords(time=half["time"] - earlier, time_start=half["time_start"] - earlier)
    found = disagreement(FORECAST, [shifted])
    np.testing.assert_array_equal(found["opinion_gust_high_mps"], [[4, 9, 9, 9]])


def test_one_unknown_place_or_member_is_unknown() -> None:
    second = weather([[4.0] * 4, [5.0] * 4], 1, "second.nc")
    second["gust_apparent_mps"][0, 2, 0] = np.nan
    found = disagreement(FORECAST, [second], there_m=100.0)
    np.testing.assert_array_equal(found["opinion_gust_high_mps"], [[5, 5, np.nan, 5]])
    np.testing.assert_array_equal(found["opinion_gust_there_mps"], [[5, 5, 5, 5]])
    near = disagreement(FORECAST, [second], there_m=0.0)
    np.testing.assert_array_equal(near["opinion_gust_there_mps"], [[3.75, 3.75, np.nan, 3.75]])


def test_one_sentence_for_each() -> None:
    counts = {f"starts_{name}_count": ("opinion", value) for name, value in
              (("compared", [9, 4]), ("differ", [0, 3]), ("governed", [0, 2]))}  # fmt: skip
    found = disagreement(FORECAST, [weather([[0.5] * 4], 1, "mild.nc"), weather([[8.0] * 4], 1, "wild.nc")])
    mild, wild = told(found.assign(counts))
    assert mild == "mild.nc: of the 9 starts that both know it decides 0 otherwise than the forecast; it governs 0"
    assert wild == (
        "wild.nc: of the 4 starts that both know it decides 3 otherwise than the forecast; it governs 2; its highest "
        "gust is up to 5.0 m/s above"
    )
    assert list(told(None)) == []


@pytest.mark.parametrize("count", [1, 3])
def test_several(count: int) -> None:
    found = disagreement(FORECAST, [weather([[4.0] * 4], 1, f"{number}.nc") for number in range(count)])
    assert found["opinion_above_mps"].shape == (count, 4)
