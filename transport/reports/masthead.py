"""What every output says at its head: names, zone, rule for forecast error, remarks."""

import json
from zoneinfo import ZoneInfo

from shared.assessment import Assessment, Reported
from transport.reports.notation import one_line, worded

__all__ = ["by_factor", "factor_ratio", "heading", "local_zone", "remarks", "rule"]


def heading(result: Reported) -> dict[str, str]:
    """Name, organisation, leg and author of the move; what is missing is said."""
    table = result.move.get("move", {})
    names = ("name", "organisation", "leg", "prepared_by", "prepared_on")
    return {name: one_line(table.get(name) or "not stated") for name in names}


def local_zone(result: Reported) -> ZoneInfo:
    """The site's time zone; UTC when the move has none."""
    return ZoneInfo(str(result.move.get("site", {}).get("time_zone", "UTC")))


def remarks(result: Assessment) -> tuple[str, ...]:
    """What was not checked or only estimated: of the move and the forecast, then of the survey and of each check."""
    found = [*result.remarks]
    for data in (result.road, *result.checks.values()):
        found += json.loads(data.attrs.get("remarks", "[]"))
    return tuple(dict.fromkeys(map(worded, found)))


def rule(result: Reported) -> str:
    """How the error of the forecast is allowed for, in one sentence."""
    table = result.move.get("decision", {})
    if table.get("rule") == "ensemble":
        chance, sure = table.get("acceptable_chance_ratio"), table.get("confidence_ratio")
        members = "ensemble" if not _calibration(result) else f"ensemble calibrated by {_calibration(result)}"
        return f"Forecast error: {members}, acceptable chance {chance:.0%}, confidence {sure:.0%}."
    if table.get("alpha") == "fitted":
        chance = table.get("acceptable_chance_ratio")
        fitted = f"factor on every wind limit fitted by {_calibration(result)}"
        return f"Forecast error: {fitted}, acceptable chance {chance:.0%}."
    if table.get("rule") == "alpha":
        return f"Forecast error: factor {table.get('alpha_ratio')} on every wind limit."
    return "Forecast error: no rule stated."


def _calibration(result: Reported) -> str:
    use = result.move.get("weather", {}).get("calibration") or {}
    return one_line(use.get("path") or "")


def by_factor(result: Reported) -> bool:
    """Whether forecast error is allowed for by a factor on the limits; then there is no chance."""
    return bool(result.move.get("decision", {}).get("rule") == "alpha")


def factor_ratio(result: Reported) -> float | None:
    """The factor on every wind limit, where one is stated."""
    table = result.move.get("decision", {})
    return table.get("alpha_ratio") if table.get("rule") == "alpha" else None
