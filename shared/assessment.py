"""The whole answer, as the reports receive it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

import xarray as xr

from shared.provenance import Provenance

__all__ = ["Ahead", "Assessment", "Opening", "Reported"]


class Reported(Protocol):
    """Any result that names its move and where it comes from."""

    @property
    def move(self) -> Mapping[str, Any]:
        """The tables of the move as plain objects."""

    @property
    def provenance(self) -> Provenance:
        """Version, clock, inputs, options and numbers used."""


@dataclass(frozen=True)
class Opening:
    """A run of start times that may go: when it opens and closes, its least margin, what governs it, by which feed."""

    opens: datetime
    closes: datetime
    latest_start: datetime
    margin_ratio: float
    governed_by: str
    governing_feed: str = ""


@dataclass(frozen=True)
class Assessment:
    """Verdict, reasons and windows, with the Datasets they rest on; remarks say what was not checked.

    proposals: what would close a securing that does not hold, as plain objects; none if it holds or nobody asked.
    opinions: the weather at the load by each second opinion; observations: each instrument beside the forecast;
    disagreement: how the second opinions differ from the forecast, nothing without one.
    """

    move: Mapping[str, Any]
    verdict: str
    reasons: tuple[str, ...]
    would_open: tuple[str, ...]
    openings: tuple[Opening, ...]
    road: xr.Dataset
    rose: xr.Dataset
    forecast: xr.Dataset
    window: xr.Dataset
    orders: xr.Dataset
    checks: Mapping[str, xr.Dataset]
    provenance: Provenance
    remarks: tuple[str, ...] = ()
    proposals: tuple[Mapping[str, Any], ...] = ()
    opinions: tuple[xr.Dataset, ...] = ()
    observations: tuple[xr.Dataset, ...] = ()
    disagreement: xr.Dataset | None = None


@dataclass(frozen=True)
class Ahead:
    """The weather alone: at the load by the forecast and each second opinion, at each instrument, and how they differ.

    disagreement holds the gust over the road on the steps of the forecast, also where there is no second opinion.
    """

    move: Mapping[str, Any]
    forecast: xr.Dataset
    opinions: tuple[xr.Dataset, ...]
    observations: tuple[xr.Dataset, ...]
    disagreement: xr.Dataset
    provenance: Provenance
    remarks: tuple[str, ...] = ()
