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


def check(move: Path, as_of: datetime, as_json: bool, out: Path | None, offline: bool) -> str:
    """Read the move, then its survey and its feeds, each on its own, then run the calculation."""
    from transport.window import assess, checks, feeds, ground, outlook

    given = assess.move_of(move)
    said = feeds.to_fetch(given) if offline else []
    road, faults = _tried(move, lambda: checks.road_of(given, move.parent))
    found, more = _tried(move, lambda: feeds.feeds_of(given, move.parent, road, offline=offline))
    faults = faults + more + _tried(move, lambda: outlook.learned_of(given, move.parent))[1]
    if road is not None:
        length_m = float(road["station"][-1])
        faults += _tried(move, lambda: ground.ground_of(given, move.parent, length_m))[1]
    faults = faults or _tried(move, lambda: assess.calculation(assess.plan_of(move)))[1]
    if faults:
        click.echo("".join(f"{sentence}\n" for sentence in said), err=True, nl=False)
        raise InputError.of(dict.fromkeys(faults))
    said += feeds.fetched_remarks(given, found or [])
    names = [move.name, given.route.survey, *(feed.path for feed in given.weather.feed)]
    names += dict.fromkeys(relief.measured for relief in given.site.relief if relief.measured)
    if given.weather.calibration is not None:
        names.append(given.weather.calibration.path)
    if as_json:
        emit_json({"schema": "check/1", "faults": [], "files": names, "feeds": said})
    else:
        click.echo("\n".join([f"no fault found in {', '.join(names)}", *said]))
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
    "file:line: field: what (got ...), allowed, remedy. Feeds with a url are fetched; with --offline it says\n"
    "what would be fetched, and reads the copies.",
    reads_feeds=True,
)(check)
