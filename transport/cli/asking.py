"""What every command asks and how every command ends: options, clock, refusals, exit status."""

import functools
import json
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from shared.errors import InputError

if TYPE_CHECKING:
    from transport.reports.extracts import Extract

__all__ = ["EXIT_STATUS", "REFUSED", "MoveFunction", "asks_for_move", "emit_json", "leave", "show_extract"]

EXIT_STATUS = {"nothing to decide": 0, "go": 0, "no-go": 10, "undecided": 11}
REFUSED = 3
EARLIEST_YEAR, LATEST_YEAR = 1990, 2100

MoveFunction = Callable[..., str]


class Moment(click.ParamType[datetime]):
    """A time with its offset from UTC; one without is refused, because nobody can know what it means."""

    name = "time"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Read an ISO 8601 time, aware, in UTC."""
        if isinstance(value, datetime):
            return value
        try:
            moment = datetime.fromisoformat(str(value))
        except ValueError:
            self.fail(f"'{value}' is not a time; write for example 2026-03-09T06:00:00Z", param, ctx)
        if moment.tzinfo is None:
            self.fail(f"'{value}' has no offset from UTC; write for example 2026-03-09T06:00:00Z", param, ctx)
        if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
            self.fail(f"'{value}' is not a year from {EARLIEST_YEAR} to {LATEST_YEAR}", param, ctx)
        return moment.astimezone(UTC)


def asks_for_move(help: str, *, reads_feeds: bool = False) -> Callable[[MoveFunction], click.Command]:
    """Make a command of a function of move, as_of, json and out that returns the verdict it leaves with.

    reads_feeds: the function is also told whether to stay off the network, as `offline`.
    """

    def wrap(function: MoveFunction) -> click.Command:
        @functools.wraps(function)
        def run(move: Path, as_of: datetime | None, as_json: bool, out: Path | None, **more: bool) -> None:
            try:
                from shared.inputs import locating

                with locating(move):
                    clock = as_of or datetime.now(tz=UTC).replace(microsecond=0)
                    verdict = function(move, clock, as_json, out, **more)
            except InputError as problem:
                leave(problem, as_json=as_json)
            sys.exit(EXIT_STATUS[verdict])

        run.__doc__ = help
        for option in reversed(_options(reads_feeds=reads_feeds)):
            run = option(run)
        return click.command(help=help)(run)

    return wrap


def leave(problem: InputError, *, as_json: bool) -> None:
    """Tell every fault, one line each, and leave with the status for a refused input."""
    for fault in problem.faults:
        click.echo(str(fault), err=True)
    if as_json:
        emit_json({"schema": "refused/1", "faults": [fault._asdict() for fault in problem.faults]})
    sys.exit(REFUSED)


def emit_json(answer: dict[str, Any]) -> None:
    """Print one object: sorted keys, no NaN."""
    click.echo(_as_text(answer))


def show_extract(extract: "Extract", schema: str, *, as_json: bool, out: Path | None, name: str = "") -> None:
    """Show one part of the result on the terminal or as JSON, and write it to a file where one is asked for.

    name: of the file; by default that of the schema.
    """
    from shared.output import write_atomic
    from transport.reports import terminal
    from transport.reports.record import explained

    answer = explained({"schema": schema, **extract.record})
    if out:
        path = out / f"{name or schema.partition('/')[0]}.json"
        write_atomic(path, f"{_as_text(answer)}\n".encode())
        click.echo(f"wrote {path}", err=True)
    if as_json:
        emit_json(answer)
    else:
        terminal.show(terminal.Part(extract))


def _as_text(answer: dict[str, Any]) -> str:
    return json.dumps(answer, sort_keys=True, allow_nan=False, ensure_ascii=False, indent=1)


def _options(*, reads_feeds: bool) -> tuple[Callable[[Any], Any], ...]:
    offline = click.option("--offline", is_flag=True, help="Fetch nothing: take the copies of feeds with a url.")
    return (
        click.argument("move", type=click.Path(path_type=Path), metavar="MOVE.toml"),
        click.option("--as-of", type=Moment(), metavar="TIME", help="Answer as known at this time (default: now)."),
        click.option("--json", "as_json", is_flag=True, help="Print one JSON object."),
        click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write files here."),
        *((offline,) if reads_feeds else ()),
    )
