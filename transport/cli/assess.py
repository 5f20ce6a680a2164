"""assess: the main job."""

from datetime import datetime
from pathlib import Path

import click

from transport.cli.asking import asks_for_move, emit_json

__all__ = ["command"]


def assess(move: Path, as_of: datetime, as_json: bool, out: Path | None, offline: bool) -> str:
    """Read, assess, write the folder of results, show."""
    from transport.reports import files, record, terminal, text
    from transport.window.assess import assess as assessed

    result = assessed(move, as_of=as_of, proposing=True, offline=offline)
    for written in files.write(result, out) if out else ():
        click.echo(f"wrote {written}", err=True)
    if as_json:
        emit_json(record.record(result))
    else:
        terminal.show(text.Answer(result))
    return result.verdict


command = asks_for_move(
    "Whether, when and how the move of MOVE.toml can go.\n\nWith --out DIR it writes assessment.json, assessment.nc, "
    "window.csv, page.html, calculation.pdf and briefing.pdf.",
    reads_feeds=True,
)(assess)
