"""Where the result comes from, as tables: inputs with their hashes, numbers nobody has read, defaults, options."""

import re

from shared.assessment import Reported
from shared.tables import Used, published
from transport.reports.listings import Listing
from transport.reports.notation import one_line, unit
from transport.reports.schedules import cell

__all__ = [
    "STATUS",
    "default_listing",
    "input_listing",
    "option_listing",
    "table_listings",
    "unread_listing",
    "unread_words",
]

STATUS = {"memory": "from memory", "practice": "common practice", "own": "own value"}
LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
FIRST = ("securing_", "load_cases_")
SETTINGS = {"weather_feed_time_s", "weather_feed_size_MB"}


def input_listing(result: Reported) -> Listing:
    """The input files with their SHA-256."""
    rows = tuple((one_line(file.path), file.sha256) for file in result.provenance.inputs)
    return Listing("Inputs", ("file", "SHA-256"), rows)


def unread_listing(result: Reported) -> Listing:
    """The published numbers that nobody has confirmed by reading their source."""
    rows = tuple(
        (used.name, used.value, unit(used.unit), used.source, STATUS.get(used.status, used.status))
        for used in sorted(result.provenance.unread, key=_rank)
    )
    return Listing("Numbers not confirmed by reading", ("number", "value", "unit", "source", "status"), rows)


def unread_words(result: Reported) -> list[tuple[str, str, str]]:
    """The same in short: name, value with the unit that its name does not tell, status."""
    return [
        (name, value if _tells(name, used_unit) else f"{value} {used_unit}", status)
        for name, value, used_unit, _, status in unread_listing(result).rows
    ]


def _tells(name: str, measure: str) -> bool:
    """Whether the end of a name is the unit already, m s⁻¹ as mps, 1/K as per_K."""
    flat = measure.translate(LOWERED).replace("(", "").replace(")", "").replace("degC", "c")
    over = re.sub(r"\s*\b([A-Za-z]+)-(\d)", lambda found: f"/{found[1]}{found[2] if found[2] != '1' else ''}", flat)
    spelt = over.replace("/", "_per_").replace(" ", "").replace("m_per_s", "mps").strip("_")
    return not measure or f"_{name}".lower().endswith(f"_{spelt}".lower())


def _rank(used: Used) -> int:
    """Numbers of the securing first, then of its load cases; those that only set the program last."""
    first = [order for order, start in enumerate(FIRST) if used.name.startswith(start)]
    return first[0] if first else len(FIRST) + _is_setting(used)


def _is_setting(used: Used) -> bool:
    return used.status == "practice" and (used.name in SETTINGS or "_negligible_" in used.name)


def table_listings(result: Reported) -> list[Listing]:
    """The published tables that the result records as used, each with its rows, source and status."""
    used = (*result.provenance.unread, *result.provenance.read)
    return [_table(one) for one in sorted(used) if one.value == "table"]


def _table(used: Used) -> Listing:
    try:
        rows = published(used.name).rows
    except FileNotFoundError:
        return Listing(_spaced(used.name), ("source",), ((used.source,),))
    columns = tuple(rows[0]) if rows else ()
    cells = tuple(tuple(row[name] or "-" for name in columns) for row in rows)
    note = f"Source: {used.source}. Status: {STATUS.get(used.status, used.status)}."
    return Listing(_spaced(used.name), tuple(map(_spaced, columns)), cells, frozenset(), note)


def _spaced(name: str) -> str:
    return name.replace("_", " ")


def default_listing(result: Reported) -> Listing:
    """The values that the move did not give and practice filled in."""
    rows = tuple((item.field, _told(item.value), item.why) for item in result.provenance.defaults)
    return Listing("Values taken by practice, not given in the move", ("field", "value", "why"), rows)


def _told(value: object) -> str:
    return cell(value) if isinstance(value, bool) else one_line(value)


def option_listing(result: Reported) -> Listing:
    """Version, clock and options of the run."""
    facts = result.provenance
    fixed = (("version", facts.version), ("as of", facts.as_of.strftime("%Y-%m-%d %H:%M:%S UTC")))
    rows = fixed + tuple((name, _told(value)) for name, value in sorted(facts.options.items()))
    return Listing("Run", ("what", "value"), rows)
