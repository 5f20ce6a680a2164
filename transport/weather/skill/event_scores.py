"""Scores of "the gust passes the limit": misses first, by lead class and by wind sector."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from shared.arrays import Array
from shared.binomial import upper_bound_ratio
from transport.weather.skill import contingency
from transport.weather.skill.bins import EDGES_RATIO
from transport.weather.skill.brier import brier_ratio, decomposition, skill_ratio
from transport.weather.skill.cases import Cases
from transport.weather.skill.classes import SECTORS, sector, spell
from transport.weather.skill.issued import Issued
from transport.weather.skill.setting import Flags, Setting, Variables, by_lead, side_by_side

__all__ = ["event_scores"]

SCORES = {
    "detected_ratio": contingency.detected_ratio,
    "false_alarm_ratio": contingency.false_alarm_ratio,
    "false_detection_ratio": contingency.false_detection_ratio,
    "critical_success_ratio": contingency.critical_success_ratio,
    "frequency_bias_ratio": contingency.frequency_bias_ratio,
    "heidke_ratio": contingency.heidke_ratio,
    "accuracy_ratio": contingency.accuracy_ratio,
}
CELLS = ("hit_count", "false_alarm_count", "miss_count", "correct_negative_count")
PARTS = ("reliability", "resolution", "uncertainty", "within_variance", "within_covariance")
BRIER = ("brier_score_ratio", "brier_climate_ratio", "brier_skill_ratio", *(f"brier_{name}_ratio" for name in PARTS))


def event_scores(cases: Cases, issued: Mapping[str, Issued], setting: Setting) -> Variables:
    """Counts, misses with their bounds, scores of the table and of the chance (forecast_kind, threshold, lead_class).

    The counts stand whatever their number; scores only where there are as many pairs as the setting asks for.
    """
    leads, number = list(by_lead(cases, setting.lead_edges_h).values()), sector(cases.wind_from_deg)
    sectors = [number == one for one in range(len(SECTORS) + 1)]

    def leading(one: Issued, threshold_mps: float) -> Mapping[str, Any]:
        return _stacked([_scores(one, cases, threshold_mps, flags, setting) for flags in leads])

    def turning(one: Issued, threshold_mps: float) -> Mapping[str, Any]:
        found = _stacked([_counts(one, cases, threshold_mps, flags) for flags in sectors])
        return {f"sector_{name}": values for name, values in found.items()}

    thresholds = setting.thresholds_mps
    by_leads = side_by_side(leading, issued, thresholds, ("lead_class",))
    return by_leads | side_by_side(turning, issued, thresholds, ("wind_sector",))


def _stacked(rows: list[dict[str, float]]) -> dict[str, Array]:
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


def _counts(one: Issued, cases: Cases, threshold_mps: float, chosen: Flags) -> dict[str, float]:
    event = cases.observed_mps > threshold_mps
    counts = contingency.table(one.warned(threshold_mps)[chosen], event[chosen])
    return dict(zip(CELLS, map(float, counts), strict=True))


def _scores(one: Issued, cases: Cases, threshold_mps: float, chosen: Flags, setting: Setting) -> dict[str, float]:
    counts = _counts(one, cases, threshold_mps, chosen)
    event = cases.observed_mps > threshold_mps
    missed = event & ~one.warned(threshold_mps)
    enough = chosen.sum() >= setting.least_pairs_count
    cells = contingency.Table(*(np.asarray(counts[name]) for name in CELLS))
    table = {name: float(score(cells)) if enough else np.nan for name, score in SCORES.items()}
    chance = _of_chance(one.chance(threshold_mps)[chosen], event[chosen]) if enough else dict.fromkeys(BRIER, np.nan)
    return counts | _misses(cases, event & chosen, missed & chosen, setting) | table | chance


def _misses(cases: Cases, event: Flags, missed: Flags, setting: Setting) -> dict[str, float]:
    """How many spells of weather passed the limit, in how many a case was missed, and the share that may be missed."""
    number = spell(cases.time[event], setting.gap_h)
    spells, lost = float(np.unique(number).size), float(np.unique(number[missed[event]]).size)
    pairs = np.asarray(float(missed.sum())), np.asarray(float(event.sum()))
    return {
        "event_count": float(pairs[1]),
        "event_spell_count": spells,
        "missed_spell_count": lost,
        "miss_bound_ratio": float(upper_bound_ratio(*pairs, setting.confidence_ratio)),
        "missed_spell_bound_ratio": float(
            upper_bound_ratio(np.asarray(lost), np.asarray(spells), setting.confidence_ratio)
        ),
    }


def _of_chance(chance_ratio: Array, event: Flags) -> dict[str, float]:
    score, parts = brier_ratio(chance_ratio, event), decomposition(chance_ratio, event, EDGES_RATIO)
    skill = float(skill_ratio(np.asarray(score), np.asarray(parts.uncertainty)))
    return dict(zip(BRIER, (score, parts.uncertainty, skill, *parts), strict=True))
