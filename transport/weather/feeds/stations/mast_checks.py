"""What of an instrument's record can be believed: spikes, stuck and frozen stretches become unknown and are counted."""

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.fields import bounds_of

__all__ = ["believed", "believed_gust"]


def believed(values: Array, field: str, name: str, interval_h: float) -> tuple[Array, list[str]]:
    """Values with what cannot be believed set to NaN, and a sentence for each kind of it.

    values: one an interval, on an even grid, of a field of the normal form.
    Source: plausible range, longest run of one number (practice).
    """
    bounds = bounds_of(field)
    spikes = ~np.isnan(values) & ~((values >= bounds.low) & (values <= bounds.high))
    kept, said = np.where(spikes, np.nan, values), []
    if spikes.any():
        far = float(values[spikes][np.argmax(np.abs(values[spikes]))])
        said = [
            f"{name}: {int(spikes.sum())} values outside {bounds.low:g} to {bounds.high:g} are unknown, such as {far:g}"
        ]
    if field not in ("mean_wind_mps", "gust_mps", "wind_from_deg"):
        return kept, said
    for zero, key, what in ((False, "weather_stuck_h", "stuck"), (True, "weather_frozen_h", "frozen at zero")):
        lost = _runs(kept, figure(key) / interval_h) & ((kept == 0.0) == zero)
        kept = np.where(lost, np.nan, kept)
        if lost.any():
            said.append(f"{name}: {int(lost.sum())} values are unknown, {what} for longer than {figure(key):g} h")
    return kept, said


def _runs(values: Array, longest: float) -> np.ndarray:
    """True where a value belongs to a run of equal numbers of more intervals than `longest`."""
    starts = np.flatnonzero(np.concatenate([[True], values[1:] != values[:-1]]))
    lengths = np.diff(np.append(starts, len(values)))
    return np.repeat(lengths > longest, lengths) & ~np.isnan(values)


def believed_gust(mean_mps: Array, gust_mps: Array, file: str) -> tuple[Array, Array, list[str]]:
    """Mean and gust, both unknown where the gust lies below the mean; too many such rows refuse the file.

    Errors: InputError: then the columns are mixed up, or one has another unit.
    Source: definition; share (practice).
    """
    wrong = gust_mps < mean_mps - figure("weather_gust_below_mean_mps")
    both = int((~np.isnan(mean_mps) & ~np.isnan(gust_mps)).sum())
    if not wrong.any():
        return mean_mps, gust_mps, []
    count = int(wrong.sum())
    if not count <= figure("weather_gust_below_share_ratio") * both:
        what = f"the gust lies below the mean in {count} of {both} rows; are the columns or units mixed up?"
        raise InputError(Fault(file, "wind_speed_of_gust", what))
    said = [f"{count} rows with a gust below the mean are unknown"]
    return np.where(wrong, np.nan, mean_mps), np.where(wrong, np.nan, gust_mps), said
