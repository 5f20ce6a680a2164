"""Messages put together: each field over members and steps, each there exactly once, or a refusal that names it."""

from typing import NamedTuple

import numpy as np

from shared.errors import Fault, InputError
from transport.weather.feeds.grib.facts import SINGLE, Facts
from transport.weather.feeds.grib.steps import Range
from transport.weather.fields import Values

__all__ = ["Cube", "cube_of", "hours", "members_of"]


class Cube(NamedTuple):
    """Numbers of the messages of one field, (member, range), and its ranges in order of their end."""

    messages: np.ndarray
    ranges: tuple[Range, ...]
    single: bool


def hours(span_s: Range) -> str:
    """A step or a range of steps, as a forecaster writes it."""
    start, end = (f"{part / 3600:g}" for part in span_s)
    return f"{end} h" if start == end else f"{start}-{end} h"


def members_of(members: np.ndarray, file: str) -> np.ndarray:
    """Labels of the members, -1 for a single forecast.

    Errors: InputError if a single forecast and an ensemble stand in one file.
    Source: WMO-No. 306 volume I.2, product templates 4.1 and 4.11 (read).
    """
    labels = np.unique(members)
    if SINGLE in labels and len(labels) > 1:
        raise InputError(Fault(file, "", "holds a single forecast beside an ensemble; ask for one of them"))
    return labels


def cube_of(name: str, chosen: np.ndarray, facts: Facts, labels: np.ndarray, file: str, copies: Values | None) -> Cube:
    """Arrange the chosen messages of one field.

    copies: values of all messages where copies that agree in each value count as one, as in the totals of rain, which
    some centres send twice; None where no copy is allowed.
    Errors: InputError for a message that stands twice, or that one member lacks and another has.
    Source: house rule, a file cut between two messages looks like a smaller ensemble (practice).
    """
    spans = np.stack([facts.end_s[chosen], facts.start_s[chosen]], axis=1)
    ranges, step = np.unique(spans, axis=0, return_inverse=True)
    span_s = tuple((int(start), int(end)) for end, start in ranges)
    messages = np.full((len(labels), len(span_s)), -1)
    rows = np.searchsorted(labels, facts.member[chosen])
    for message, row, column in zip(chosen, rows, step.ravel(), strict=True):
        first = messages[row, column]
        if first >= 0 and (copies is None or not np.array_equal(copies[first], copies[message], equal_nan=True)):
            what = f"stands twice {_of(labels[row])}at step {hours(span_s[column])}"
            raise InputError(Fault(file, name, f"{what}; one message for each is needed, fetch the file again"))
        messages[row, column] = message
    _check_whole(name, messages, span_s, labels, file)
    return Cube(messages, span_s, labels.tolist() == [SINGLE])


def _check_whole(name: str, messages: np.ndarray, ranges: tuple[Range, ...], labels: np.ndarray, file: str) -> None:
    lost = np.argwhere(messages < 0)
    if len(lost):
        row, column = lost[0]
        more = f", {len(lost) - 1} more are missing" if len(lost) > 1 else ""
        what = f"member {labels[row]} lacks {name} at step {hours(ranges[column])}{more}"
        raise InputError(Fault(file, name, f"{what}; the file was cut or fetched in part, fetch it again"))


def _of(label: int) -> str:
    return "" if label == SINGLE else f"of member {label} "
