"""A feed with a url: fetch it, or take the copy from before, and say which, from when and why."""

import json
from collections.abc import Callable, Collection
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from transport.weather.feeds.box import Box
from transport.weather.feeds.inputs import Feed
from transport.weather.fetching.address import shown
from transport.weather.fetching.draft import drafted, settle
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.fetching.record import Arrival, Copy, Record, copy_of, write_record

__all__ = ["Means", "obtained"]

Read = Callable[[Path], xr.Dataset]


class Means(NamedTuple):
    """What fetching needs beside the feed: first bytes and standard names that can be read, the road, the limits."""

    kinds: Collection[bytes]
    standard_names: Collection[str]
    box: Box | None
    limits: Limits
    offline: bool


def obtained(feed: Feed, path: Path, read: Read, means: Means, deadline: Deadline) -> xr.Dataset:
    """The feed as its reader gives it, from the server if it can be had, else from the copy at the path.

    What comes is read before it takes the place of the copy, so that a refused answer costs nothing. `remarks` say
    when the copy was fetched and checked, and why it was not fetched now.
    Errors: InputError where there is neither an answer nor a copy that is believed; what the reader refuses.
    Source: house rule, the copy is never judged younger than its forecast (practice).
    """
    url = str(feed.url)
    reading = partial(_marked, read) if feed.format == "opendap" else read
    _check_place(path)
    copy = copy_of(path, url)
    if copy.foreign:
        raise _refusal(path, f"{copy.doubt}; move it away, or take the url out of the move")
    if means.offline:
        return _from_copy(path, reading, copy, "offline")
    try:
        return _from_server(feed, path, reading, copy.record, means, deadline)
    except FetchError as problem:
        return _from_copy(path, reading, copy, f"could not be fetched from {shown(url)} ({problem})")


def _marked(read: Read, path: Path) -> xr.Dataset:
    return read(path).assign_attrs(source_kind="OPeNDAP")


def _check_place(path: Path) -> None:
    if path.is_dir():
        raise _refusal(path, "is a folder; a Zarr folder is not fetched, only read: bring it there by other means")


def _refusal(path: Path, message: str) -> InputError:
    return InputError(Fault(path.name, "", message))


def _from_copy(path: Path, read: Read, copy: Copy, why: str) -> xr.Dataset:
    if copy.record is None:
        remedy = (
            "run without --offline" if why == "offline" else "try again, or bring the file there by hand without url"
        )
        raise _refusal(path, f"{why}, and {copy.doubt}; {remedy}")
    age_h = (datetime.now(UTC) - copy.record.fetched_at).total_seconds() / 3600.0
    when = f"the copy fetched {_clock(copy.record.fetched_at)}, {age_h:.1f} h old, is used"
    return _remarked(read(path), f"{path.name}: {why}: {when}")


def _from_server(
    feed: Feed, path: Path, read: Read, known: Record | None, means: Means, deadline: Deadline
) -> xr.Dataset:
    """Errors: FetchError; the draft is gone after each of them, the copy untouched."""
    with drafted(path) as draft:
        asked_at = datetime.now(UTC)
        arrival = _arrival(feed, draft, known, means, deadline)
        if isinstance(arrival, Record):
            write_record(path, arrival.model_copy(update={"checked_at": asked_at}))
            return _remarked(read(path), f"{_origin(path, arrival)}, unchanged there at {_clock(asked_at)}")
        data = _accepted(read, draft)
        if known is not None:
            _check_not_older(data, read, path)
        settle(draft, path)
    record = Record(url=str(feed.url), fetched_at=asked_at, checked_at=asked_at, **arrival._asdict())
    write_record(path, record)
    return _remarked(data, f"{_origin(path, record)} ({record.size_bytes / 1e6:.3g} MB)")


def _arrival(feed: Feed, draft: Path, known: Record | None, means: Means, deadline: Deadline) -> Arrival | Record:
    from transport.weather.fetching import download, opendap
    from transport.weather.fetching.tries import tried, within

    size_MB = feed.maximum_size_MB if feed.maximum_size_MB is not None else means.limits.size_MB
    limits = means.limits._replace(size_MB=size_MB)
    if feed.format == "opendap":
        if means.box is None:
            raise FetchError("the road is not known or crosses 180 degrees, so its surroundings cannot be asked for")
        box, names = means.box, sorted(means.standard_names)
        return tried(lambda: opendap.surroundings(str(feed.url), draft, box, names, limits, deadline), limits, deadline)
    proven = feed.sha256 is not None
    wanted = download.Wanted(str(feed.url), feed.format, means.kinds, round(size_MB * 1e6), proven)
    return tried(
        lambda: within(deadline, lambda: download.downloaded(wanted, draft, known, limits, deadline)), limits, deadline
    )


def _accepted(read: Read, draft: Path) -> xr.Dataset:
    try:
        return read(draft)
    except InputError as problem:
        raise FetchError(f"what came is refused: {'; '.join(map(str, problem.faults))}") from None


def _check_not_older(data: xr.Dataset, read: Read, path: Path) -> None:
    """A mirror that lags behind must not take a newer run, which may say no-go, out of the decision.

    Errors: FetchError; a copy that is not read any more proves nothing.
    """
    try:
        ours = _spoken(read(path))
    except InputError:
        return
    theirs = _spoken(data)
    if ours is not None and theirs is not None and theirs < ours:
        raise FetchError(f"the server gives one of {theirs} UTC, older than the copy of {ours} UTC")


def _spoken(data: xr.Dataset) -> np.datetime64 | None:
    """When a forecast was made, or until when an instrument was heard."""
    text = data.attrs.get("forecast_reference_time", data.attrs.get("observed_until"))
    return None if text is None else np.datetime64(str(text).removesuffix("Z"), "s")


def _origin(path: Path, record: Record) -> str:
    return f"{path.name}: fetched {_clock(record.fetched_at)} from {shown(record.url)}"


def _clock(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M} UTC"


def _remarked(data: xr.Dataset, remark: str) -> xr.Dataset:
    others = json.loads(data.attrs.get("remarks", "[]"))
    return data.assign_attrs(remarks=json.dumps([remark, *others], ensure_ascii=False))
