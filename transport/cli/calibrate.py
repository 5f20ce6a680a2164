"""calibrate: what the archive teaches about the gust at the mast."""

from datetime import datetime
from pathlib import Path

import click

from shared.errors import InputError
from transport.cli.asking import asks_for_move, emit_json

__all__ = ["command"]


def calibrate(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Read the archive, learn, write calibration.json, show; refused where nothing of it may be used."""
    from shared.learned import text_of
    from shared.output import write_atomic
    from transport.reports import terminal
    from transport.reports.learned import learned_extract
    from transport.window.learning import calibration_of, lacking

    found = calibration_of(move, as_of)
    path = (out or Path()) / "calibration.json"
    write_atomic(path, text_of(found).encode())
    click.echo(f"wrote {path}", err=True)
    plain = found.model_dump(mode="json", by_alias=True)
    if reasons := lacking(found):
        if not as_json:
            terminal.show(terminal.Part(learned_extract(plain)))
        raise InputError(*(f"nothing of this calibration may be used: {reason}" for reason in reasons))
    if as_json:
        emit_json(plain)
    else:
        terminal.show(terminal.Part(learned_extract(plain)))
    return "nothing to decide"


command = asks_for_move(
    "Learn from archived forecasts and mast observations how the gust follows the forecast.\n\n"
    "It writes calibration.json into --out DIR (default: the folder you are in), for [weather.calibration] of the move."
)(calibrate)
