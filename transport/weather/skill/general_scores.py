"""Scores of the forecast as a distribution, whatever the threshold: by lead, by sector, and its rank histogram."""

from collections.abc import Mapping

import numpy as np

from transport.weather.skill.cases import Cases
from transport.weather.skill.classes import SECTORS, sector
from transport.weather.skill.issued import Issued
from transport.weather.skill.rank import error_mps, spread_mps
from transport.weather.skill.setting import Flags, Setting, Variables, by_lead

__all__ = ["general_scores"]


def general_scores(cases: Cases, issued: Mapping[str, Issued], setting: Setting) -> Variables:
    """CRPS, mean error, error of the mean, spread (forecast_kind, lead_class); counts; ranks (forecast_kind, rank)."""
    leads = by_lead(cases, setting.lead_edges_h)
    sectors = sector(cases.wind_from_deg)
    chosen = [sectors == number for number in range(len(SECTORS) + 1)]
    rows = [[_general(one, cases, flags, setting) for flags in leads.values()] for one in issued.values()]
    bias = [[_mean_error_mps(one, cases, flags, setting) for flags in chosen] for one in issued.values()]
    enough = len(cases.observed_mps) >= setting.least_pairs_count
    ranks = np.array([one.rank_counts for one in issued.values()])
    return {
        "pair_count": (("lead_class",), np.array([float(flags.sum()) for flags in leads.values()])),
        **{name: (("forecast_kind", "lead_class"), np.array([[cell[name] for cell in row] for row in rows]))
           for name in rows[0][0]},
        "sector_pair_count": (("wind_sector",), np.array([float(flags.sum()) for flags in chosen])),
        "sector_mean_error_mps": (("forecast_kind", "wind_sector"), np.array(bias)),
        "rank_even_count": ((), len(cases.observed_mps) / ranks.shape[1]),
        "rank_count": (("forecast_kind", "place_rank"), ranks if enough else np.full(ranks.shape, np.nan)),
    }  # fmt: skip


def _general(one: Issued, cases: Cases, chosen: Flags, setting: Setting) -> dict[str, float]:
    if chosen.sum() < setting.least_pairs_count:
        names = ("crps_mps", "crps_fair_mps", "mean_error_mps", "rms_error_mps", "spread_mps", "spread_error_ratio")
        return dict.fromkeys(names, np.nan)
    spread = float(spread_mps(one.variance_mps2[chosen], float(one.members_mps.shape[1])))
    error = float(error_mps(one.mean_mps[chosen], cases.observed_mps[chosen]))
    return {
        "crps_mps": float(one.crps_mps[chosen].mean()),
        "crps_fair_mps": float(one.crps_fair_mps[chosen].mean()),
        "mean_error_mps": _mean_error_mps(one, cases, chosen, setting),
        "rms_error_mps": error,
        "spread_mps": spread,
        "spread_error_ratio": spread / error if error > 0.0 else np.nan,
    }


def _mean_error_mps(one: Issued, cases: Cases, chosen: Flags, setting: Setting) -> float:
    if chosen.sum() < setting.least_pairs_count:
        return np.nan
    return float((one.mean_mps[chosen] - cases.observed_mps[chosen]).mean())
