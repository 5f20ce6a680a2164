"""What the chance of a gust above the limit was worth: reliability in fine bins, and value over the cost ratio."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from transport.weather.skill import cost_loss
from transport.weather.skill.bins import EDGES_RATIO
from transport.weather.skill.cases import Cases
from transport.weather.skill.contingency import table
from transport.weather.skill.issued import Issued
from transport.weather.skill.reliability import curve
from transport.weather.skill.setting import Setting, Variables, side_by_side

__all__ = ["chance_scores"]

BINS = {
    "bin_case_count": "cases_count",
    "bin_day_count": "days_count",
    "bin_forecast_ratio": "forecast_ratio",
    "bin_observed_ratio": "observed_ratio",
    "bin_bar_low_ratio": "low_ratio",
    "bin_bar_high_ratio": "high_ratio",
}
VALUES = ("value_ratio", "value_of_rule_ratio", "best_value_ratio", "best_act_above_ratio")
EXPENSES = ("stake_expense", "stake_rule_expense", "stake_climate_expense", "stake_perfect_expense")


def chance_scores(cases: Cases, issued: Mapping[str, Issued], setting: Setting) -> Variables:
    """Reliability (forecast_kind, threshold, probability_bin) and value (forecast_kind, threshold, cost_ratio).

    With a stake also the mean expense per case (forecast_kind, threshold).
    """
    day = cases.time.astype("datetime64[D]").astype(np.int64)
    enough = cases.observed_mps.size >= setting.least_pairs_count

    def reliable(one: Issued, threshold_mps: float) -> Mapping[str, Any]:
        event = cases.observed_mps > threshold_mps
        found = curve(one.chance(threshold_mps), event, day, EDGES_RATIO, setting.confidence_ratio)
        return {name: getattr(found, part) for name, part in BINS.items()}

    def worth(one: Issued, threshold_mps: float) -> Mapping[str, Any]:
        return _values(one, cases, threshold_mps, setting) if enough else _unknown(setting)

    thresholds = setting.thresholds_mps
    edges: Variables = {
        "bin_from_ratio": (("probability_bin",), EDGES_RATIO[:-1]),
        "bin_until_ratio": (("probability_bin",), EDGES_RATIO[1:]),
    }
    bins = side_by_side(reliable, issued, thresholds, ("probability_bin",))
    values = side_by_side(worth, issued, thresholds, ("cost_ratio",))
    if not (enough and setting.stake):
        return edges | bins | values
    paid = side_by_side(lambda one, at_mps: _paid(one, cases, at_mps, setting), issued, thresholds, ())
    return edges | bins | values | paid


def _values(one: Issued, cases: Cases, threshold_mps: float, setting: Setting) -> Mapping[str, Any]:
    """Value if one stays at home above p*, by the rule of the move, and above the chance that would have paid best."""
    event, chance, cost = cases.observed_mps > threshold_mps, one.chance(threshold_mps), setting.cost_ratios
    at_home = chance > cost_loss.least_chance_ratio(cost, setting.cap_ratio)[:, None]
    paid_best = cost_loss.best(chance, event, cost, setting.cap_ratio)
    found = (
        cost_loss.value_ratio(table(at_home, event), cost),
        cost_loss.value_ratio(table(one.warned(threshold_mps), event), cost),
        paid_best.value_ratio,
        paid_best.act_above_ratio,
    )
    return dict(zip(VALUES, found, strict=True))


def _paid(one: Issued, cases: Cases, threshold_mps: float, setting: Setting) -> Mapping[str, Any]:
    """Mean expense per case in the currency of the move: above p*, by its rule, always the same, with perfect sight."""
    cost, loss = setting.stake or (np.nan, np.nan)
    ratio, event = np.asarray(cost / loss), cases.observed_mps > threshold_mps
    at_home = one.chance(threshold_mps) > cost_loss.least_chance_ratio(ratio, setting.cap_ratio)
    acted, ruled = (table(flags, event) for flags in (at_home, one.warned(threshold_mps)))
    found = (
        cost_loss.expense_ratio(acted, ratio),
        cost_loss.expense_ratio(ruled, ratio),
        cost_loss.climate_expense_ratio(acted, ratio),
        cost_loss.perfect_expense_ratio(acted, ratio),
    )
    return {name: float(loss * expense) for name, expense in zip(EXPENSES, found, strict=True)}


def _unknown(setting: Setting) -> Mapping[str, Any]:
    return {name: np.full(setting.cost_ratios.shape, np.nan) for name in VALUES}
