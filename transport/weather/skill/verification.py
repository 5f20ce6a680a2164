"""How much the forecast has been worth at the mast: every score of every kind of forecast, in one Dataset."""

from collections.abc import Mapping

import numpy as np
import xarray as xr

from shared.datasets import dataset
from transport.weather.skill.cases import Cases, left_out
from transport.weather.skill.chance_scores import chance_scores
from transport.weather.skill.classes import SECTORS, UNKNOWN_SECTOR
from transport.weather.skill.event_scores import event_scores
from transport.weather.skill.general_scores import general_scores
from transport.weather.skill.issued import Issued
from transport.weather.skill.missed import left_out_list, missed_list
from transport.weather.skill.setting import Setting, Variables, by_lead

__all__ = ["verification"]


def verification(pairs: xr.Dataset, cases: Cases, issued: Mapping[str, Issued], setting: Setting) -> xr.Dataset:
    """Score the cases; `pairs` are all pairs, so that those that could not be scored are told as well.

    Dimensions: forecast_kind, threshold, lead_class (the first: all leads), wind_sector, probability_bin, place_rank,
    cost_ratio, missed, left_out. Counts are always known; a score is NaN where there are too few pairs
    (`least_pairs_count`) or where it is not defined, as the share of detected events where nothing happened.
    """
    variables: Variables = {}
    for part in (general_scores, event_scores, chance_scores, missed_list):
        variables |= part(cases, issued, setting)
    variables |= left_out_list(left_out(pairs, setting.gap_h))
    coords = {
        "forecast_kind": list(issued),
        "threshold": np.array(setting.thresholds_mps),
        "lead_class": list(by_lead(cases, setting.lead_edges_h)),
        "wind_sector": [*SECTORS, UNKNOWN_SECTOR],
        "cost_ratio": setting.cost_ratios,
    }
    return dataset(variables, coords, _facts(pairs, cases, setting))


def _facts(pairs: xr.Dataset, cases: Cases, setting: Setting) -> dict[str, object]:
    time = cases.time
    return {
        "pairs_count": int(pairs.sizes["case"]),
        "scored_count": int(time.size),
        "least_pairs_count": int(setting.least_pairs_count),
        "members_count": int(pairs.sizes["member"]),
        "runs_count": int(np.unique(cases.reference_time).size),
        "first_time": str(time.min().astype("datetime64[s]")) if time.size else "",
        "last_time": str(time.max().astype("datetime64[s]")) if time.size else "",
        "confidence_ratio": setting.confidence_ratio,
        "spell_gap_h": setting.gap_h,
        "cap_ratio": setting.cap_ratio,
        **({"stake_cost_ratio": setting.stake[0] / setting.stake[1]} if setting.stake else {}),
    }
