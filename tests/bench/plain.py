"""The same job as a competent user would script it, to measure against: same inputs, same numbers out.

Both take the gust and the wind components on the grid, carry them to the road, find the direction, look up the limit
of the worst sector within the spread, divide, and take the largest over the stay of each place.
"""

import numpy as np
import xarray as xr
from numpy.typing import NDArray

__all__ = ["whole_array", "widest", "xarray_per_start"]

Values = NDArray[np.float32]
Array = NDArray[np.float64]
SECTOR_DEG = 15.0


def widest(limit: Array, reach: int = 3) -> Array:
    """Least limit within `reach` sectors on either side. Shapes: (place, sector)."""
    return np.min([np.roll(limit, shift, axis=1) for shift in range(-reach, reach + 1)], axis=0)


def xarray_per_start(
    fields: xr.Dataset, places: xr.Dataset, limit: Array, starts: NDArray[np.datetime64], step: np.timedelta64
) -> Values:
    """For each start: cut the hours of the operation, interpolate to the road, mask by passage, take the maximum."""
    least = xr.DataArray(widest(limit), dims=("station", "sector"))
    found = []
    for start in starts:
        first, last = start + places["early"].values, start + places["late"].values
        hours = fields.sel(time=slice(first.min(), last.max() + step))
        there = hours.interp(latitude=places["latitude"], longitude=places["longitude"])
        from_deg = np.rad2deg(np.arctan2(-there["eastward_wind_mps"], -there["northward_wind_mps"])) % 360.0
        sector = np.rint(from_deg / SECTOR_DEG).astype(int) % least.sizes["sector"]
        used = there["gust_mps"] / least.isel(sector=sector)
        begin, end = xr.DataArray(first, dims="station"), xr.DataArray(last, dims="station")
        touched = (used["time"] > begin) & (used["time"] - step < end)
        found.append(used.where(touched).max(["time", "station"]).values)
    return np.array(found, dtype=np.float32)


def whole_array(
    fields: dict[str, Values],
    weighted: tuple[NDArray[np.intp], Values],
    limit: Array,
    stay: tuple[Array, Array],
    end_s: Array,
    start_s: Array,
) -> Values:
    """All starts at once with numpy: carry everything to the road once, then gather every step that a stay can touch.

    Shapes: fields (member, step, node), corner and weight (place, 4), limit (place, sector), stay (place), end (step).
    """
    corner, weight = weighted
    there = {name: np.einsum("mtpc,pc->mtp", field[:, :, corner], weight) for name, field in fields.items()}
    from_deg = np.rad2deg(np.arctan2(-there["eastward_wind_mps"], -there["northward_wind_mps"])) % 360.0
    sector = np.rint(from_deg / SECTOR_DEG).astype(int) % limit.shape[1]
    place = np.arange(limit.shape[0])
    used = (there["gust_mps"] / widest(limit)[place, sector]).astype(np.float32)
    hour = end_s[1] - end_s[0]
    first = np.searchsorted(end_s, start_s[:, None] + stay[0], side="right")
    last = np.searchsorted(end_s - hour, start_s[:, None] + stay[1], side="left") - 1
    worst = np.zeros((used.shape[0], start_s.size), dtype=np.float32)
    for offset in range(int((last - first).max()) + 1):
        index = np.minimum(first + offset, last)
        worst = np.maximum(worst, used[:, index, place].max(axis=2))
    return worst.T
