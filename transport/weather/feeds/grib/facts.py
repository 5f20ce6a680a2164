"""What the headers of GRIB messages say: run, time range, member. Every disagreement is refused."""

from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import numpy as np

from shared.errors import Fault, InputError
from transport.weather.feeds.grib.extract import FACTS, INSTANT
from transport.weather.fields import Instants

__all__ = ["SINGLE", "Facts", "facts_of"]

SINGLE, UNKNOWN = -1, 255
ALONG_GRID = 8  # flag table 3.3, bit 5; the library has a key for it, but not on every grid
UNIT_S = {0: 60, 1: 3600, 2: 86400, 10: 10800, 11: 21600, 12: 43200, 13: 1}  # code table 4.4
PRODUCTS = {  # code table 1.3
    **dict.fromkeys((1, 5, 7, 9, 11), "test products"),
    **dict.fromkeys((3, 8, 10), "a re-analysis, no forecast"),
    2: "research products",
}
CLOCK = ("year", "month", "day", "hour", "minute", "second")
STATISTICAL = (8, 11)
FORECAST_TIME_MOVES = 2  # code table 4.11: successive times of one run


class Facts(NamedTuple):
    """One row a message: rule of the field, height, process over time, start and end after the run, member."""

    rule: np.ndarray
    height_mm: np.ndarray
    surface: np.ndarray
    process: np.ndarray
    start_s: np.ndarray
    end_s: np.ndarray
    member: np.ndarray
    along_grid: np.ndarray
    run: np.datetime64
    members_stated: int
    remarks: tuple[str, ...]


class _Table:
    """The facts as columns, by their name."""

    def __init__(self, table: np.ndarray, file: str) -> None:
        self.table, self.file = table, file

    def __getitem__(self, fact: str) -> np.ndarray:
        return np.asarray(self.table[:, FACTS.index(fact)])

    def refuse(self, message: str) -> InputError:
        return InputError(Fault(self.file, "", message))


def facts_of(table: np.ndarray, file: str) -> Facts:
    """Read the table of facts that the decoder wrote.

    Errors: InputError for more than one run, a reference time that is not the start of the forecast, time ranges that
    are not understood or contradict themselves, values missing from a statistic.
    Source: WMO-No. 306 volume I.2, code tables 1.2, 1.3, 4.4, 4.6, 4.11, product template 4.11 (read), product
    templates 4.0, 4.1, 4.8 (memory).
    """
    columns = _Table(table, file)
    run, (start_s, end_s) = _run(columns), _range_s(columns)
    statistical = np.isin(columns["productDefinitionTemplateNumber"], STATISTICAL)
    return Facts(
        rule=columns["rule"],
        height_mm=columns["height_mm"],
        surface=columns["typeOfFirstFixedSurface"],
        process=np.where(statistical, columns["typeOfStatisticalProcessing"], INSTANT),
        start_s=start_s,
        end_s=end_s,
        member=np.where(columns["typeOfEnsembleForecast"] < 0, SINGLE, columns["perturbationNumber"]),
        along_grid=(columns["resolutionAndComponentFlags"] & ALONG_GRID) > 0,
        run=run,
        members_stated=_members_stated(columns["numberOfForecastsInEnsemble"]),
        remarks=_remarks(columns),
    )


def _run(columns: _Table) -> np.datetime64:
    if not np.isin(columns["significanceOfReferenceTime"], (0, 1)).all():
        raise columns.refuse("its reference time is not the start of the forecast, so its age is unknown; take another")
    runs = np.unique(_instants(columns, CLOCK))
    if len(runs) > 1:
        listed = ", ".join(f"{run} UTC" for run in runs[:4])
        raise columns.refuse(f"holds {len(runs)} forecast runs ({listed}), allowed is one; ask for one run")
    return np.datetime64(runs[0], "s")


def _instants(columns: _Table, keys: tuple[str, ...]) -> Instants:
    rows, back = np.unique(np.stack([columns[key] for key in keys], axis=1), axis=0, return_inverse=True)
    try:
        times = [_instant(*map(int, row)) for row in rows]
    except ValueError:
        raise columns.refuse("names a date that does not exist; fetch the file again") from None
    return np.array(times, dtype="datetime64[s]")[back.ravel()]


def _instant(year: int, month: int, day: int, hour: int, minute: int, second: int) -> datetime:
    return datetime(year, month, day, hour, minute, second, tzinfo=UTC).replace(tzinfo=None)


def _range_s(columns: _Table) -> tuple[np.ndarray, np.ndarray]:
    start_s = _seconds(columns, "forecastTime", "indicatorOfUnitOfTimeRange")
    end_s = start_s.copy()
    held = np.isin(columns["productDefinitionTemplateNumber"], STATISTICAL)
    if held.any():
        part = _Table(columns.table[held], columns.file)
        end_s[held] = _end_s(part, start_s[held])
    return start_s, end_s


def _seconds(columns: _Table, count: str, unit: str) -> np.ndarray:
    unknown = sorted({int(value) for value in columns[unit]} - set(UNIT_S))
    if unknown:
        raise columns.refuse(f"counts time in units of code {unknown[0]} of table 4.4; allowed are seconds to 12 hours")
    longest = np.abs(columns[count]).max(initial=0)
    if longest > timedelta(days=400) / timedelta(seconds=1):
        raise columns.refuse(f"names a forecast time of {longest} units; fetch the file again")
    return np.asarray(columns[count] * np.array([UNIT_S[int(value)] for value in columns[unit]], dtype=np.int64))


def _end_s(columns: _Table, start_s: np.ndarray) -> np.ndarray:
    if not (columns["numberOfTimeRange"] == 1).all():
        raise columns.refuse("holds a statistic of a statistic, which is not understood; ask for plain fields")
    if not np.isin(columns["typeOfTimeIncrement"], (FORECAST_TIME_MOVES, UNKNOWN)).all():
        raise columns.refuse("holds a statistic over several runs, which is no forecast; ask for plain fields")
    if (columns["numberOfMissingInStatisticalProcess"] > 0).any():
        raise columns.refuse("holds a statistic from which values were missing; a maximum may be too low, take another")
    length_s = _seconds(columns, "lengthOfTimeRange", "indicatorOfUnitForTimeRange")
    ends = _instants(columns, tuple(f"{part}OfEndOfOverallTimeInterval" for part in CLOCK))
    end_s = (ends - _instants(columns, CLOCK)) // np.timedelta64(1, "s")
    if not (end_s == start_s + length_s).all() or (length_s < 0).any():
        at = int(np.argmin(end_s == start_s + length_s))
        raise columns.refuse(
            f"a time range from {start_s[at] / 3600:g} h over {length_s[at] / 3600:g} h is said to end at "
            f"{end_s[at] / 3600:g} h; fetch the file again"
        )
    return np.asarray(end_s)


def _members_stated(counts: np.ndarray) -> int:
    return int(np.max(counts[counts < UNKNOWN], initial=0))


def _remarks(columns: _Table) -> tuple[str, ...]:
    kinds = {PRODUCTS.get(int(status)) for status in columns["productionStatusOfProcessedData"]} - {None}
    return tuple(f"the provider calls them {kind}" for kind in sorted(map(str, kinds)))
