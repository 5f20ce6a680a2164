"""The scores of a verification as tables: misses first, accuracy last, the kinds of forecast side by side."""

from collections.abc import Callable, Iterator
from typing import Any

import xarray as xr

from shared.verification import Verification
from transport.reports.listings import Listing
from transport.reports.notation import gust, share
from transport.reports.verified_text import (
    chosen,
    count,
    enough,
    few,
    first_threshold,
    kinds,
    ratio,
    speed,
)

__all__ = [
    "bin_listing",
    "event_listing",
    "general_listing",
    "headline_listing",
    "lead_listing",
    "sector_listing",
    "stake_listing",
    "value_listing",
]

Writer = Callable[[Any], str]

GENERAL = (
    ("CRPS, m/s", "crps_mps", speed),
    ("CRPS, any size of ensemble, m/s", "crps_fair_mps", speed),
    ("mean error, m/s", "mean_error_mps", speed),
    ("error of the mean, m/s", "rms_error_mps", speed),
    ("spread, m/s", "spread_mps", speed),
    ("spread over error", "spread_error_ratio", ratio),
)
EVENTS: tuple[tuple[str, str, Writer], ...] = (
    ("events", "event_count", count),
    ("missed", "miss_count", count),
    ("spells of weather with an event", "event_spell_count", count),
    ("spells with a missed event", "missed_spell_count", count),
    ("spells that may hold a miss, at most", "missed_spell_bound_ratio", lambda value: share(float(value))),
    ("events missed, at most, if all were independent", "miss_bound_ratio", lambda value: share(float(value))),
    ("warned and passed", "hit_count", count),
    ("warned in vain", "false_alarm_count", count),
    ("neither", "correct_negative_count", count),
    ("share of events detected (POD)", "detected_ratio", ratio),
    ("share of warnings in vain (FAR)", "false_alarm_ratio", ratio),
    ("share of quiet cases warned of (POFD)", "false_detection_ratio", ratio),
    ("critical success index (CSI)", "critical_success_ratio", ratio),
    ("warnings over events (bias)", "frequency_bias_ratio", ratio),
    ("Heidke skill score (HSS)", "heidke_ratio", ratio),
    ("Brier score", "brier_score_ratio", ratio),
    ("Brier skill against the share of events", "brier_skill_ratio", ratio),
    ("reliability part", "brier_reliability_ratio", ratio),
    ("resolution part", "brier_resolution_ratio", ratio),
    ("uncertainty part", "brier_uncertainty_ratio", ratio),
    ("variance within the bins", "brier_within_variance_ratio", ratio),
    ("covariance within the bins", "brier_within_covariance_ratio", ratio),
    ("right forecasts (accuracy)", "accuracy_ratio", ratio),
)
STAKES = (
    ("above the chance that cost and loss ask for", "stake_expense"),
    ("by the rule of the move", "stake_rule_expense"),
    ("knowing only how often it happens", "stake_climate_expense"),
    ("knowing what comes", "stake_perfect_expense"),
)


def headline_listing(result: Verification) -> Listing:
    """Of each threshold and kind: events, missed ones, spells of weather, and how many may hold a miss."""
    one = chosen(result.scores)
    rows = tuple(
        _headline(one.sel(threshold=threshold, forecast_kind=kind))
        for threshold in one["threshold"].values
        for kind in kinds(one)
    )
    columns = ("above", "forecast", "events", "MISSED", "spells", "with a miss", "at most", "in vain")
    note = (
        "Spells are pieces of weather with an event. At most: share of such spells that may hold a miss, "
        f"{one.attrs['confidence_ratio']:.0%} sure."
    )
    return Listing("Missed events: gust above the limit without a warning", columns, rows, frozenset(range(8)), note)


def general_listing(result: Verification) -> Listing:
    """Scores of the whole distribution, all leads."""
    rows = tuple(_row(chosen(result.scores), line) for line in GENERAL)
    note = "" if enough(result.scores) else few(result.scores)
    return Listing("The gust at the mast, all leads", ("score", *_named(result)), rows, _right(result), note)


def event_listing(result: Verification, threshold: float) -> Listing:
    """Misses, the table of warned and passed, and the scores of the chance, all leads."""
    one = chosen(result.scores, threshold=threshold)
    rows = tuple(_row(one, line) for line in EVENTS)
    note = (
        "Brier score = reliability part - resolution part + uncertainty part + variance - covariance within the bins. "
        "A score that is not defined, as POD where nothing happened, is -."
    )
    return Listing(f"Gusts above {gust(threshold)}, all leads", ("what", *_named(result)), rows, _right(result), note)


def lead_listing(result: Verification) -> Listing:
    """By lead class, for the threshold that is shown first."""
    names = [f"{word} {kind}" for word in ("missed", "in vain", "CRPS") for kind in _kinds(result)]
    one = result.scores.sel(threshold=first_threshold(result))
    rows = tuple(_lead(one.isel(lead_class=number)) for number in range(one.sizes["lead_class"]))
    title = f"By lead: events above {gust(first_threshold(result))}, missed and warned in vain; CRPS in m/s"
    return Listing(title, ("lead", "pairs", "events", *names), rows, frozenset(range(9)))


def sector_listing(result: Verification) -> Listing:
    """By the sector that the wind was forecast to come from, for the threshold that is shown first."""
    one = result.scores.sel(threshold=first_threshold(result))
    words = ("missed", "in vain", "error")
    names = [f"{word} {kind}" for word in words for kind in _kinds(result)]
    sectors = (one.isel(wind_sector=number) for number in range(one.sizes["wind_sector"]))
    rows = tuple(_sector(part) for part in sectors if float(part["sector_pair_count"]))
    title = f"By wind direction: events above {gust(first_threshold(result))}; mean error in m/s, above 0 too high"
    return Listing(title, ("wind from", "pairs", *names), rows, frozenset(range(9)))


def bin_listing(result: Verification) -> Listing:
    """The reliability diagram as numbers; bins without a case are not shown."""
    one = result.scores.sel(threshold=first_threshold(result))
    rows = tuple(
        _bin(row.sel(forecast_kind=kind), kind)
        for kind in kinds(one)
        for row in (one.isel(probability_bin=number) for number in range(one.sizes["probability_bin"]))
        if float(row.sel(forecast_kind=kind)["bin_case_count"])
    )
    columns = ("forecast", "chance", "cases", "days", "mean chance", "observed", "from", "to")
    return Listing("Reliability in numbers", columns, rows, frozenset(range(1, 8)))


def value_listing(result: Verification) -> Listing:
    """Value over the cost ratio, for the threshold that is shown first."""
    one = result.scores.sel(threshold=first_threshold(result))
    words = ("above p*", "by the rule", "best", "best above")
    names = [f"{word} {kind}" for word in words for kind in _kinds(result)]
    rows = tuple(_value(one.isel(cost_ratio=number)) for number in range(one.sizes["cost_ratio"]))
    note = "The best chance to act upon is found on the cases that it is judged by: it flatters."
    return Listing("Value by cost over loss", ("cost/loss", *names), rows, frozenset(range(9)), note)


def stake_listing(result: Verification) -> Listing:
    """Mean expense of a case in the currency of the move; no row where it states no stake or too little is known."""
    one = result.scores.sel(threshold=first_threshold(result))
    rows = tuple(_row(one, (words, name, ratio)) for words, name in STAKES if name in one)
    return Listing(f"Mean expense of a case, {result.currency}", ("acting", *_named(result)), rows, _right(result))


def _kinds(result: Verification) -> list[str]:
    return kinds(result.scores)


def _named(result: Verification) -> tuple[str, ...]:
    return tuple(kinds(result.scores))


def _right(result: Verification) -> frozenset[int]:
    return frozenset(range(1, 1 + len(kinds(result.scores))))


def _row(one: xr.Dataset, line: tuple[str, str, Writer]) -> tuple[str, ...]:
    words, name, written = line
    return (words, *(written(value) for value in one[name].values))


def _cells(one: xr.Dataset, *columns: tuple[str, Writer]) -> Iterator[str]:
    for name, written in columns:
        yield from map(written, one[name].values)


def _headline(row: xr.Dataset) -> tuple[str, ...]:
    names = ("event_count", "miss_count", "event_spell_count", "missed_spell_count")
    counts = (count(row[name]) for name in names)
    bound, kind = share(float(row["missed_spell_bound_ratio"])), str(row["forecast_kind"].values)
    return (gust(float(row["threshold"])), kind, *counts, bound, count(row["false_alarm_count"]))


def _lead(one: xr.Dataset) -> tuple[str, ...]:
    fixed = str(one["lead_class"].values), count(one["pair_count"]), count(one["event_count"].values[0])
    return (*fixed, *_cells(one, ("miss_count", count), ("false_alarm_count", count), ("crps_mps", speed)))


def _sector(one: xr.Dataset) -> tuple[str, ...]:
    columns = ("sector_miss_count", count), ("sector_false_alarm_count", count), ("sector_mean_error_mps", speed)
    return (str(one["wind_sector"].values), count(one["sector_pair_count"]), *_cells(one, *columns))


def _bin(row: xr.Dataset, kind: str) -> tuple[str, ...]:
    edges = f"{100 * float(row['bin_from_ratio']):g}-{100 * float(row['bin_until_ratio']):g} %"
    shares = ("bin_forecast_ratio", "bin_observed_ratio", "bin_bar_low_ratio", "bin_bar_high_ratio")
    counts = count(row["bin_case_count"]), count(row["bin_day_count"])
    return (kind, edges, *counts, *(share(float(row[name])) for name in shares))


def _value(one: xr.Dataset) -> tuple[str, ...]:
    names = ("value_ratio", "value_of_rule_ratio", "best_value_ratio")
    best = (_above(value) for value in one["best_act_above_ratio"].values)
    return (f"{float(one['cost_ratio']):g}", *_cells(one, *((name, ratio) for name in names)), *best)


def _above(value: float) -> str:
    return "always" if value < 0.0 else ratio(value)
