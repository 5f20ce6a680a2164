"""A text file cut into aerodrome reports (METAR, SPECI, TAF), each with the date that stands above or before it."""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shared.errors import Fault, InputError
from transport.weather.feeds.stations.report_time import Stamp, stamp_of

__all__ = ["Report", "cut"]

KINDS = ("METAR", "SPECI", "TAF")
STATUS = ("AMD", "COR")
START = re.compile(r"(?:METAR|SPECI|TAF)(?: .*)?|(?:(?:AMD|COR) )?[A-Z][A-Z0-9]{3} [0-9]{6}Z(?: .*)?")
HEADING = re.compile(r"[A-Z]{4}[0-9]{2} [A-Z]{4} [0-9]{6}(?: [A-Z]{3})?|ZCZC(?: .*)?|NNNN|[0-9]{1,5}")


class Report(NamedTuple):
    """One report: the line where it begins, the date above it, its kind ("" if it does not say), its groups.

    status: AMD and COR words; identifier: the aerodrome, "" where it cannot be read; groups: what follows it.
    """

    line: int
    stamp: Stamp | None
    kind: str
    status: frozenset[str]
    identifier: str
    groups: tuple[str, ...]

    @property
    def text(self) -> str:
        """The report on one line, from the aerodrome on."""
        return " ".join((self.identifier, *self.groups))


class _Open:
    """A report that is being gathered."""

    def __init__(self, line: int, stamp: Stamp | None) -> None:
        self.line, self.stamp = line, stamp
        self.words: list[str] = []

    def only_named(self) -> bool:
        return set(self.words) <= {*KINDS, *STATUS}

    def closed(self) -> Report:
        words = list(self.words)
        kind = words[0] if words[0] in KINDS else ""
        while words and words[0] in (*KINDS, *STATUS):
            words.pop(0)
        lead = self.words[: len(self.words) - len(words)]
        named = bool(words) and re.fullmatch(r"[A-Z][A-Z0-9]{3}", words[0]) is not None
        status = frozenset(word for word in lead if word in STATUS)
        return Report(self.line, self.stamp, kind, status, words.pop(0) if named else "", tuple(words))


def cut(lines: Sequence[str], file: str) -> list[Report]:
    """Cut lines into reports: a report ends with "=", at the next one, or at a date or heading of a bulletin.

    Errors: InputError for a line that belongs to no report, so that a damaged beginning is never passed over.
    Source: WMO-No. 306, FM 15 and FM 51, code forms (read); end sign and headings of bulletins (memory).
    """
    found: list[_Open] = []
    stamp: Stamp | None = None
    report: _Open | None = None
    for number, line in enumerate(lines, start=1):
        here, text = stamp_of(line, f"{file}:{number}")
        if here is not None:
            stamp, report = here, None
        if not text or (HEADING.fullmatch(text) and (report is None or not text.isdigit())):
            report = report if not text else None
            continue
        for part, ended in _parts(text):
            report = _placed(part, report, _Open(number, stamp), file)
            if report not in found[-1:]:
                found.append(report)
            report = None if ended else report
    return [report.closed() for report in found]


def _parts(text: str) -> Iterator[tuple[str, bool]]:
    pieces = text.split("=")
    for number, piece in enumerate(pieces):
        if words := " ".join(piece.split()):
            yield words, number < len(pieces) - 1


def _placed(part: str, report: _Open | None, fresh: _Open, file: str) -> _Open:
    starts = START.fullmatch(part) is not None
    if report is None and not starts:
        shown = part if len(part) <= 60 else part[:57] + "..."
        what = f"'{shown}' belongs to no report"
        raise InputError(Fault(f"{file}:{fresh.line}", "", f"{what}; remove the line, or fetch the file again"))
    chosen = fresh if report is None or (starts and not report.only_named()) else report
    chosen.words += part.split()
    return chosen
