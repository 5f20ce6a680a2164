"""Which messages of a GRIB file count: of each CF field the preferred kind, at one height."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from shared.errors import Fault, InputError
from transport.weather.feeds.grib.facts import Facts
from transport.weather.feeds.grib.fields import METHODS, Rule

__all__ = ["Chosen", "chosen_of"]

GROUND, GUST, GUST_HEIGHT_M = 1, "wind_speed_of_gust", 10.0


class Chosen(NamedTuple):
    """Messages of one field, all of one process over time and at one height; remark: what was taken for granted."""

    rule: Rule
    method: str
    height_m: float | None
    messages: np.ndarray
    remark: str = ""


def chosen_of(facts: Facts, rules: Sequence[Rule], file: str) -> tuple[list[Chosen], list[str]]:
    """The preferred kind of each CF field, and a sentence for each that is left out beside it.

    A maximum goes before the value of an instant, a stated height before the surface, then the order of the rules.
    Errors: InputError if the preferred kind stands at two heights.
    Source: a maximum over a time bounds each instant in it (practice).
    """
    chosen: dict[str, Chosen] = {}
    left_out = []
    for item in _kinds(facts, rules):
        first = chosen.setdefault(item.rule.standard_name, item)
        if first is not item:
            kind = f"{item.rule.name} (time: {item.method}, {len(item.messages)} messages)"
            left_out.append(f"{kind} not used beside {first.rule.name} (time: {first.method})")
    return [_checked(item, facts, file) for item in chosen.values()], left_out


def _kinds(facts: Facts, rules: Sequence[Rule]) -> list[Chosen]:
    found = []
    for number, rule in enumerate(rules):
        for process in rule.processes:
            for surface in rule.surfaces:
                same = (facts.rule == number) & (facts.process == process) & (facts.surface == surface)
                if same.any():
                    height_m = None if surface == GROUND else float("nan")
                    found.append(Chosen(rule, METHODS[process], height_m, np.flatnonzero(same)))
    return found


def _checked(item: Chosen, facts: Facts, file: str) -> Chosen:
    if item.height_m is None:
        if item.rule.standard_name != GUST:
            return item
        remark = f"{item.rule.name} is stated at the surface and is taken as the gust at {GUST_HEIGHT_M:g} m"
        return item._replace(height_m=GUST_HEIGHT_M, remark=remark)
    heights_m = np.unique(facts.height_mm[item.messages]) / 1000.0
    if len(heights_m) > 1:
        listed = " and ".join(f"{height_m:g}" for height_m in heights_m)
        raise InputError(Fault(file, item.rule.name, f"stands at {listed} m above ground; keep one height"))
    return item._replace(height_m=float(heights_m[0]))
