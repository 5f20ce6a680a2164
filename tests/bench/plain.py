"""The same job as a competent user would script it, to measure against: same inputs, same numbers out.

Inputs: forecast gust (member, step, latitude, longitude), places with one limit each, early and late seconds of each place.
"""

import numpy as np
import xarray as xr
from numpy.typing import NDArray

__all__ = ["whole_array", "xarray_per_start"]

Values = NDArray[np.float32]
Array = NDArray[np.float64]


def xarray_per_start(
    gust: xr.DataArray, places: xr.Dataset, starts: NDArray[np.datetime64], step: np.timedelta64
) -> Values:
    """For each start: cut the hours of the operation, interpolate to the road, mask by passage, take the maximum."""
    found = []
    for start in starts:
        first, last = start + places["early"].values, start + places["late"].values
        hours = gust.sel(time=slice(first.min(), last.max() + step))
        there = hours.interp(latitude=places["latitude"], longitude=places["longitude"])
        used = there / places["limit"]
        begin, end = xr.DataArray(first, dims="station"), xr.DataArray(last, dims="station")
        touched = (used["time"] > begin) & (used["time"] - step < end)
        found.append(used.where(touched).max(["time", "station"]).values)
    return np.array(found, dtype=np.float32)


def whole_array(
    gust: Values, corner: NDArray[np.intp], weight: Values, limit: Array, early_s: Array, late_s: Array, end_s: Array, start_s: Array
) -> Values:
    """All starts at once with numpy: interpolate once, then gather every step that any stay can touch.

    Shapes: gust (member, step, node), corner and weight (place, 4), limit, early and late (place), end (step), start (start).
    """
    there = np.einsum("mtpc,pc->mtp", gust[:, :, corner], weight, dtype=np.float32)
    used = (there / limit.astype(np.float32)).astype(np.float32)
    hour = end_s[1] - end_s[0]
    first = np.searchsorted(end_s, start_s[:, None] + early_s, side="right")
    last = np.searchsorted(end_s - hour, start_s[:, None] + late_s, side="left") - 1
    place = np.arange(limit.size)
    worst = np.zeros((gust.shape[0], start_s.size), dtype=np.float32)
    for offset in range(int((last - first).max()) + 1):
        index = np.minimum(first + offset, last)
        worst = np.maximum(worst, used[:, index, place].max(axis=2))
    return worst.T
