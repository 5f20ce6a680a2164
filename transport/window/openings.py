"""The windows: runs of starts that may go one after the other."""

from datetime import UTC, datetime

import numpy as np
import xarray as xr

from shared.assessment import Opening

__all__ = ["openings", "utc"]


def openings(window: xr.Dataset) -> tuple[Opening, ...]:
    """Runs of go starts; the least margin of a run and the check behind it are those of its tightest start."""
    going = window["verdict"].values == "go"
    edges = np.flatnonzero(np.diff(np.concatenate([[False], going, [False]]).astype(int)))
    return tuple(_opening(window.isel(start=slice(first, last))) for first, last in edges.reshape(-1, 2))


def utc(moment: np.datetime64) -> datetime:
    """A numpy time as an aware time in UTC."""
    return datetime.fromtimestamp(int(moment.astype("datetime64[s]").astype(np.int64)), tz=UTC)


def _opening(run: xr.Dataset) -> Opening:
    tightest = int(np.argmin(run["margin_ratio"].values))
    return Opening(
        opens=utc(run["start"].values[0]),
        closes=utc(run["finished_by"].values[-1]),
        latest_start=utc(run["start"].values[-1]),
        margin_ratio=float(run["margin_ratio"][tightest]),
        governed_by=str(run["governed_by"].values[tightest]),
        governing_feed=str(run["governing_feed"].values[tightest]),
    )
