"""The starts as CSV: units in the header, UTC and local time, text that no spreadsheet takes for a formula."""

import csv
import io

from shared.assessment import Assessment
from transport.reports.masthead import local_zone
from transport.reports.starts import starts

__all__ = ["csv_bytes"]

COLUMNS = (
    *("start_utc", "start_local", "verdict", "utilisation_ratio", "chance_ratio", "margin_ratio"),
    *("governed_by", "action_against_limit", "stage", "station_m", "time_utc", "governing_feed"),
)


def csv_bytes(result: Assessment) -> bytes:
    """One row a start; what is unknown stands as NaN, never as an empty cell, which a spreadsheet counts as zero."""
    zone = local_zone(result)
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in starts(result):
        moments = (row.start.isoformat(), row.start.astimezone(zone).isoformat())
        numbers = (repr(row.utilisation_ratio), repr(row.chance_ratio), repr(row.margin_ratio))
        words = (_text(row.governed_by), _text(row.words), _text(row.stage))
        last = (_number(repr(row.station_m)), row.time.isoformat() if row.time else "NaN", _text(row.feed or "none"))
        writer.writerow((*moments, row.verdict, *map(_number, numbers), *words, *last))
    return text.getvalue().encode()


def _number(value: str) -> str:
    return "NaN" if value == "nan" else value


def _text(value: str) -> str:
    return f"'{value}" if value.startswith(("=", "+", "-", "@")) else value
