"""How much a forecast has been worth, as the reports receive it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import xarray as xr

from shared.provenance import Provenance

__all__ = ["Verification"]


@dataclass(frozen=True)
class Verification:
    """Scores of every kind of forecast, the limit that counts, the currency of the stake, and what to keep in mind.

    `limit_mps` is the least gust limit of the move, one of the thresholds of the scores; NaN where it is none of them.
    """

    move: Mapping[str, Any]
    scores: xr.Dataset
    limit_mps: float
    currency: str
    remarks: tuple[str, ...]
    provenance: Provenance
