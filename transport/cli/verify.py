"""verify: what the forecasts of the archive have been worth."""

from datetime import datetime
from pathlib import Path

import click

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]


def verify(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Read the archive and the mast, score, show; write the page."""
    from shared.output import write_atomic
    from transport.reports.verified_page import verified_page
    from transport.reports.verified_part import verified_extract
    from transport.window.verifying import verify as verified

    result = verified(move, as_of=as_of)
    if out:
        path = out / "verification.html"
        write_atomic(path, verified_page(result).encode())
        click.echo(f"wrote {path}", err=True)
    show_extract(verified_extract(result), "verify/1", as_json=as_json, out=out, name="verification")
    return "nothing to decide"


command = asks_for_move(
    "How much the archived forecasts were worth at the mast: every missed exceedance of the limit, with its bound, "
    "then the scores, of the forecast as it is and calibrated.\n\n"
    "With --out DIR it writes verification.json and verification.html."
)(verify)
