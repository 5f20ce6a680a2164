"""What mast campaigns measured on stretches with relief, as a table."""

from collections.abc import Iterator, Mapping
from typing import Any

from transport.reports.extracts import Extract
from transport.reports.listings import Listing
from transport.reports.notation import one_line, up

__all__ = ["speed_up_extract"]

Plain = Mapping[str, Any]
KINDS = {"mean": "mean wind", "gust": "gust"}


def speed_up_extract(found: Plain) -> Extract:
    """The campaigns, given as the plain object of their file with `proved` beside each estimate."""
    columns = ("relief", "wind from", "kind", "ratio", "at most", "days", "cases", "to m/s", "alone")
    rows = tuple(_row(one, kind) for one in found["measured"] for kind in KINDS)
    title = (
        "Measured over forecast wind, and its upper bound at 95 %; alone: long and windy enough to replace the factor"
    )
    table = Listing(title, columns, rows, frozenset(range(3, 9)))
    return Extract("Speed-up by mast campaign", (table,), tuple(_sentences(found)), dict(found))


def _row(one: Plain, kind: str) -> tuple[str, ...]:
    estimate, sector = one[kind], one["wind_from_deg"]
    ratios = ("unknown" if estimate[name] is None else up(estimate[name], 2) for name in ("ratio", "upper_ratio"))
    return (
        one_line(one["relief"]),
        f"{sector[0]:g}-{sector[1]:g}°",
        KINDS[kind],
        *ratios,
        str(estimate["days"]),
        str(estimate["cases"]),
        f"{estimate['strongest_mps']:.1f}",
        "yes" if estimate["proved"] else "no",
    )


def _sentences(found: Plain) -> Iterator[str]:
    yield "until both stand alone, the larger of the stated factor and the upper bound counts; shelter is never counted"
    for one in found["measured"]:
        if one["without_direction"]:
            name = one_line(one["relief"])
            yield f"'{name}': {one['without_direction']} steps had no forecast direction and count in no sector"
