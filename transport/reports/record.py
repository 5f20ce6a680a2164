"""The result as one plain object for JSON: sorted keys, no NaN, and a reason for every null."""

import json
import math
from collections.abc import Iterator
from typing import Any

from shared.assessment import Assessment, Opening
from transport.reports.cautions import caution
from transport.reports.masthead import remarks
from transport.reports.notation import one_line
from transport.reports.sources import source_records, sources_of
from transport.reports.starts import Start, starts

__all__ = ["explained", "json_bytes", "record"]


def record(result: Assessment, schema: str = "assess/1") -> dict[str, Any]:
    """Everything a program needs; `nulls` says for each null whether the value is unknown or infinite."""
    facts = result.provenance
    found = {
        "schema": schema,
        "verdict": result.verdict,
        "windows": list(map(_window, result.openings)),
        "starts": list(map(_start, starts(result))),
        "reasons": list(result.reasons),
        "remarks": list(remarks(result)),
        "would_open": list(result.would_open),
        "proposals": [dict(one) for one in result.proposals],
        **source_records(sources_of(result)),
        "inputs": [{"path": file.path, "sha256": file.sha256} for file in facts.inputs],
        "unread_numbers": [used._asdict() for used in facts.unread],
        "defaults": [{"field": item.field, "value": _plain(item.value), "why": item.why} for item in facts.defaults],
        "options": {name: str(value) for name, value in facts.options.items()},
        "version": facts.version,
        "as_of": facts.as_of.isoformat(),
        "caution": caution(),
    }
    return explained(found)


def explained(found: dict[str, Any]) -> dict[str, Any]:
    """The same object with null for NaN and infinity; `nulls` says for each whether it is unknown or infinite."""
    return {**_without_gaps(found), "nulls": list(_gaps(found, ""))}


def json_bytes(result: Assessment) -> bytes:
    """The object as UTF-8 text, keys sorted."""
    text = json.dumps(record(result), sort_keys=True, allow_nan=False, ensure_ascii=False, indent=1)
    return f"{text}\n".encode()


def _window(opening: Opening) -> dict[str, Any]:
    return {
        "opens": opening.opens.isoformat(),
        "closes": opening.closes.isoformat(),
        "latest_start": opening.latest_start.isoformat(),
        "margin_ratio": opening.margin_ratio,
        "governed_by": opening.governed_by,
        "governing_feed": opening.governing_feed,
    }


def _start(row: Start) -> dict[str, Any]:
    return {
        "start": row.start.isoformat(),
        "verdict": row.verdict,
        "utilisation": row.utilisation_ratio,
        "chance": row.chance_ratio,
        "governed_by": row.governed_by,
        "governing_feed": row.feed,
        "station_m": row.station_m,
        "time": row.time.isoformat() if row.time else math.nan,
    }


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | float) else one_line(value)


def _gap(value: Any) -> bool:
    return isinstance(value, float) and not math.isfinite(value)


def _without_gaps(value: Any) -> Any:
    """The same object with null for NaN and infinity, which JSON cannot hold."""
    if isinstance(value, dict):
        return {key: _without_gaps(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_without_gaps(item) for item in value]
    return None if _gap(value) else value


def _gaps(value: Any, field: str) -> Iterator[dict[str, str]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _gaps(item, f"{field}.{key}".lstrip("."))
    elif isinstance(value, list):
        for order, item in enumerate(value):
            yield from _gaps(item, f"{field}[{order}]")
    elif _gap(value):
        yield {"field": field, "reason": "unknown" if math.isnan(value) else "infinite"}
