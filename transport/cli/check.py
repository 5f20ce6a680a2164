"""check: every input read and checked, all faults in one run."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TypeVar

import click

from shared.errors import Fault, InputError
from transport.cli.asking import asks_for_move, emit_json

__all__ = ["command"]

Result = TypeVar("Result")


def check(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Read the move, then its survey and its feeds, each on its own, then run the calculation."""
    from transport.window import assess, checks, outlook

    given = assess.move_of(move)
    road, faults = _tried(move, lambda: checks.road_of(given, move.parent))
    faults = faults + _tried(move, lambda: outlook.feeds_of(given, move.parent, road))[1]
    faults = faults + _tried(move, lambda: outlook.learned_of(given, move.parent))[1]
    faults = faults or _tried(move, lambda: assess.calculation(assess.plan_of(move)))[1]
    if faults:
        raise InputError.of(faults)
    names = [move.name, given.route.survey, *(feed.path for feed in given.weather.feed)]
    if as_json:
        emit_json({"schema": "check/1", "faults": [], "files": names})
    else:
        click.echo(f"no fault found in {', '.join(names)}")
    return "nothing to decide"


def _tried(move: Path, read: Callable[[], Result]) -> tuple[Result | None, list[Fault]]:
    from shared.inputs import locating

    try:
        with locating(move):
            return read(), []
    except InputError as problem:
        return None, list(problem.faults)


command = asks_for_move(
    "Read and check every input of MOVE.toml and list all faults in one run, each as\n\n"
    "file:line: field: what (got ...), allowed, remedy."
)(check)
