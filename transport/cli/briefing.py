"""briefing: the driver's sheet."""

from datetime import datetime
from pathlib import Path

import click

from transport.cli.asking import asks_for_move, emit_json

__all__ = ["command"]


def briefing(move: Path, as_of: datetime, as_json: bool, out: Path | None, offline: bool) -> str:
    """Read, assess, write the sheet."""
    from shared.output import write_atomic
    from transport.reports import briefing as sheet
    from transport.reports import record
    from transport.window.assess import assess

    result = assess(move, as_of=as_of, offline=offline)
    path = (out or Path()) / "briefing.pdf"
    write_atomic(path, sheet.briefing(result))
    click.echo(f"wrote {path}", err=True)
    if as_json:
        emit_json(record.record(result, "briefing/1") | {"file": str(path)})
    else:
        click.echo(f"{result.verdict}: {path}")
    return result.verdict


command = asks_for_move(
    "Write the driver's sheet, briefing.pdf, into --out DIR (default: the folder you are in).", reads_feeds=True
)(briefing)
