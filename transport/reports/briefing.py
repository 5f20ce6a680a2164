"""The driver's briefing: when, how heavy, where slow, what wind stops me here, what I do if."""

from typing import Any

from shared.assessment import Assessment
from transport.reports import plots
from transport.reports.beaufort import BEAUFORT_NOTE, beaufort
from transport.reports.calculation import head, written
from transport.reports.listings import Listing, opening_listing, started
from transport.reports.notation import one_line
from transport.reports.rules import BEFORE, EMERGENCIES, RULES_HEADING, STOPS
from transport.reports.stretches import hold_listing, stretch_listing
from transport.reports.timetable import timetable_listing
from transport.reports.typesetting import page_count, typeset

__all__ = ["briefing"]

STOP_NOTES = {
    "no-go": "NO START. No window is open in the period asked for. This sheet is for preparation only.",
    "undecided": "NO START. Not enough is known to decide. This sheet is for preparation only.",
}
SIZES_PT = (10.4, 10.0, 9.6, 9.2, 8.8, 8.4, 8.0)
NAME_COUNT = 32
BLANKS = ("radio channel, back-up", "transport supervisor, telephone", "weather watch, telephone")


def briefing(result: Assessment) -> bytes:
    """The sheet as PDF, one or two pages."""
    data = head(result) | {
        "box_note": "in these windows only, when released" if result.verdict == "go" else "",
        "stop_note": "" if result.verdict == "go" else STOP_NOTES.get(result.verdict, STOP_NOTES["undecided"]),
        "second_note": _second(result),
        "openings": written(opening_listing(result).only("opens", "latest start", "closes", "margin")),
        "started": started(result),
        "timetable": written(timetable_listing(result)),
        "masses": written(_masses(result)),
        "strip": plots.strip_map(result),
        "strip_alt": "Strip map: height, hold points; for each stretch speed, grade, bend, gust limit as in the table.",
        "stretches": written(_stretches(result)),
        "holds": written(_holds(result)),
        "beaufort_note": BEAUFORT_NOTE,
        "stops": list(STOPS),
        "emergencies": [item._asdict() for item in EMERGENCIES],
        "rules_heading": RULES_HEADING,
        "before": list(BEFORE),
        "blanks": list(BLANKS),
    }
    return typeset("briefing.typ", data | {"size": _size_pt(data)}, result.provenance.as_of)


def _second(result: Assessment) -> str:
    """Where a second opinion governs a window: which, in one line; nothing where the forecast does."""
    seconds = {str(data.attrs["file"]) for data in result.opinions}
    named = sorted({opening.governing_feed for opening in result.openings} & seconds)
    names = " and ".join(map(one_line, named))
    return f"A second opinion on the weather, {names}, is worse than the forecast and governs." if named else ""


def _size_pt(data: dict[str, Any]) -> float:
    """The largest type that keeps the sheet on two pages."""
    fitting = (size for size in SIZES_PT if page_count("briefing.typ", data | {"size": size}) <= 2)
    return next(fitting, SIZES_PT[-1])


def _masses(result: Assessment) -> Listing:
    """Masses and the deck as the move gives them; no sum, the weighing slip counts."""
    unit, trailer, tractor = (result.move.get(name, {}) for name in ("unit", "trailer", "tractor"))
    rows = (
        ("unit", f"{_given(unit, 'mass_t')} t ± {_given(unit, 'mass_tolerance_t')} t"),
        ("trailer, empty", f"{_given(trailer, 'tare_t')} t"),
        ("tractor", f"{_given(tractor, 'mass_t')} t"),
        ("axle-line rating", f"{_given(trailer, 'axle_line_capacity_t')} t"),
        ("least stability angle", f"{_given(trailer, 'minimum_stability_angle_deg')}°"),
    )
    return Listing("Load", ("what", "as given"), rows, frozenset((1,)))


def _given(table: Any, name: str) -> str:
    return one_line(table.get(name, "not given"))


def _stretches(result: Assessment) -> Listing:
    """The stretches numbered as on the strip map, with the Beaufort word of the limit."""
    limits = [float(value) for value in _column(result, "gust_limit_mps", "stretch")]
    table = stretch_listing(result).only(
        *("no.", "stretch", "from", "to", "speed", "steepest", "tightest bend", "gust limit", "wind from")
    )
    rows = tuple(_row(row, beaufort(limit)) for row, limit in zip(table.rows, limits, strict=True))
    columns = ("no.", "stretch", "station", "km/h", "grade", "bend", "gust m/s", "Beaufort", "worst from")
    return Listing("Stretches", columns, rows, frozenset((0, 2, 3, 4, 5, 6, 8)))


def _row(row: tuple[str, ...], force: str) -> tuple[str, ...]:
    number, name, begin, end, speed, grade, bend, gust, wind = row
    station, slope = f"{begin.removesuffix(' m')}–{end}", grade.replace("up", "↑").replace("down", "↓")
    gust_mps, speed_kmh = gust.removesuffix(" m/s"), speed.removesuffix(" km/h")
    return number, _short(name), station, speed_kmh, slope, bend, gust_mps, force, wind


def _holds(result: Assessment) -> Listing:
    table = hold_listing(result)
    rows = tuple((number, _short(name), *rest, "") for number, name, *rest in table.rows)
    return table._replace(columns=(*table.columns, "released by, time"), rows=rows)


def _short(name: str) -> str:
    """A name that keeps the sheet on two pages; station has its own column; other outputs hold the name whole."""
    name = name.partition(", station ")[0]
    return name if len(name) <= NAME_COUNT else f"{name[: NAME_COUNT - 1]}…"


def _column(result: Assessment, name: str, kind: str) -> list[Any]:
    if name not in result.orders:
        return []
    pairs = zip(result.orders[name].values, result.orders["kind"].values, strict=True)
    return [value for value, given in pairs if str(given) == kind]
