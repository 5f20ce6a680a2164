"""How far the second opinions lie from the forecast: highest gust over the road on its steps, and starts."""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from shared.datasets import dataset
from transport.weather.steps import overlap, worst
from transport.window.answer import Answer
from transport.window.joint import Joint

__all__ = ["decided_differently", "disagreement", "told"]

Values = NDArray[np.float32]


def disagreement(forecast: xr.Dataset, opinions: Sequence[xr.Dataset], there_m: float | None = None) -> xr.Dataset:
    """Gust at the load of the forecast and of each second opinion, on the steps of the forecast.

    Of a second opinion the highest value over the steps that overlap a step of the forecast; NaN where it does not
    cover it. there_m: the station of which the highest member is given too. Shapes: (time), (opinion, time).
    """
    ours = _over_road(forecast)
    theirs = [_on_steps(_over_road(one), one, forecast) for one in opinions]
    levels = {
        "road_gust_low_mps": ours.min(axis=0),
        "road_gust_median_mps": np.median(ours, axis=0),
        "road_gust_high_mps": ours.max(axis=0),
    }
    pairs: dict[str, list[Values]] = {
        "opinion_gust_median_mps": [np.median(one, axis=0) for one in theirs],
        "opinion_gust_high_mps": [one.max(axis=0) for one in theirs],
        "opinion_above_mps": [one.max(axis=0) - levels["road_gust_high_mps"] for one in theirs],
    }
    if there_m is not None:
        pairs["opinion_gust_there_mps"] = [_there(one, forecast, there_m) for one in opinions]
    steps = forecast.sizes["time"]
    variables: dict[str, Any] = {name: ("time", value) for name, value in levels.items()}
    variables |= {name: (("opinion", "time"), np.reshape(rows, (-1, steps))) for name, rows in pairs.items()}
    files = np.array([str(one.attrs["file"]) for one in opinions], dtype=str)
    return dataset(variables, {"time": forecast["time"].values, "opinion": files})


def decided_differently(given: Joint, forecast: Answer, opinions: Sequence[Answer]) -> xr.Dataset:
    """How many starts each second opinion knows, decides differently from the forecast, and governs. Shapes: (opinion).

    Both know a start whose utilisation is known by each alone; they differ where one of them is over a limit.
    """
    ours = forecast.outcome.utilisation
    known = [~np.isnan(ours + one.outcome.utilisation) for one in opinions]
    over = [(ours > 1.0) != (one.outcome.utilisation > 1.0) for one in opinions]
    counts = {
        "starts_compared_count": [int(both.sum()) for both in known],
        "starts_differ_count": [int((both & other).sum()) for both, other in zip(known, over, strict=True)],
        "starts_governed_count": [_governed(given, one) for one in opinions],
    }
    return dataset({name: ("opinion", np.array(value, dtype=int)) for name, value in counts.items()})


def told(differing: xr.Dataset | None) -> Iterator[str]:
    """One sentence on each second opinion: how it differs from the forecast, and what it governs."""
    rows = [differing.isel(opinion=number) for number in range(differing.sizes["opinion"])] if differing else []
    for one in rows:
        known, differ, governs = (int(one[f"starts_{name}_count"]) for name in ("compared", "differ", "governed"))
        above = one["opinion_above_mps"].values
        most = f"; its highest gust is up to {np.nanmax(above):.1f} m/s above" if (above > 0.0).any() else ""
        decides = f"of the {known} starts that both know it decides {differ} otherwise than the forecast"
        yield f"{one['opinion'].values}: {decides}; it governs {governs}{most}"


def _governed(given: Joint, opinion: Answer) -> int:
    number = next((index for index, one in enumerate(given.answers) if one is opinion), -1)
    return int((given.by == number).sum())


def _over_road(weather: xr.Dataset) -> Values:
    """Highest gust over the road, (member, step); unknown at one place is unknown."""
    return np.asarray(weather["gust_apparent_mps"].max("station", skipna=False).transpose("realization", "time").values)


def _there(opinion: xr.Dataset, forecast: xr.Dataset, there_m: float) -> Values:
    gust = opinion["gust_apparent_mps"].sel(station=there_m, method="nearest").transpose("realization", "time").values
    return np.asarray(_on_steps(gust, opinion, forecast).max(axis=0))


def _on_steps(gust_mps: Values, opinion: xr.Dataset, forecast: xr.Dataset) -> Values:
    """A maximum holds for its whole step, so in each step of the forecast the highest that overlaps it counts."""
    edges = [data[name].values for data in (opinion, forecast) for name in ("time_start", "time")]
    return worst(gust_mps, overlap(edges[0], edges[1], edges[2], edges[3]), np.maximum)
