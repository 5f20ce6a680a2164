"""window: the start times."""

from datetime import datetime
from pathlib import Path

import click

from transport.cli.asking import asks_for_move, emit_json

__all__ = ["command"]


def window(move: Path, as_of: datetime, as_json: bool, out: Path | None, offline: bool) -> str:
    """Read, assess, show every start."""
    from shared.output import write_atomic
    from transport.reports import record, spreadsheet, terminal
    from transport.window.assess import assess

    result = assess(move, as_of=as_of, offline=offline)
    if out:
        write_atomic(out / "window.csv", spreadsheet.csv_bytes(result))
        click.echo(f"wrote {out / 'window.csv'}", err=True)
    if as_json:
        emit_json(record.record(result, "window/1"))
    else:
        terminal.show(terminal.Starts(result))
    return result.verdict


command = asks_for_move(
    "Every start time with verdict, margin, chance, what governs, where and when; the windows; what would open one.\n\n"
    "With --out DIR it writes window.csv.",
    reads_feeds=True,
)(window)
