"""Where the result comes from, as tables: inputs with their hashes, numbers nobody has read, defaults, options."""

from shared.assessment import Assessment
from shared.tables import Used, published
from transport.reports.listings import Listing
from transport.reports.notation import one_line, unit

__all__ = ["STATUS", "default_listing", "input_listing", "option_listing", "table_listings", "unread_listing"]

STATUS = {"memory": "from memory", "practice": "common practice", "own": "own value"}
SETTINGS = {"weather_feed_time_s", "weather_feed_size_MB"}


def input_listing(result: Assessment) -> Listing:
    """The input files with their SHA-256."""
    rows = tuple((one_line(file.path), file.sha256) for file in result.provenance.inputs)
    return Listing("Inputs", ("file", "SHA-256"), rows)


def unread_listing(result: Assessment) -> Listing:
    """The published numbers that nobody has confirmed by reading their source."""
    rows = tuple(
        (used.name, used.value, unit(used.unit), used.source, STATUS.get(used.status, used.status))
        for used in sorted(result.provenance.unread, key=_is_setting)
    )
    return Listing("Numbers not confirmed by reading", ("number", "value", "unit", "source", "status"), rows)


def _is_setting(used: Used) -> bool:
    """Whether a number only sets the program, and so stands last."""
    return used.status == "practice" and (used.name in SETTINGS or "_negligible_" in used.name)


def table_listings(result: Assessment) -> list[Listing]:
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


def default_listing(result: Assessment) -> Listing:
    """The values that the move did not give and practice filled in."""
    rows = tuple((item.field, one_line(item.value), item.why) for item in result.provenance.defaults)
    return Listing("Values taken by practice, not given in the move", ("field", "value", "why"), rows)


def option_listing(result: Assessment) -> Listing:
    """Version, clock and options of the run."""
    facts = result.provenance
    fixed = (("version", facts.version), ("as of", facts.as_of.strftime("%Y-%m-%d %H:%M:%S UTC")))
    rows = fixed + tuple((name, one_line(value)) for name, value in sorted(facts.options.items()))
    return Listing("Run", ("what", "value"), rows)
