"""The feeds of a move: those with a url are fetched first, all of them are read into the normal form."""

import json
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

import numpy as np
import xarray as xr

from shared.folder import inside
from transport.weather.feeds.box import Box, box_of
from transport.weather.feeds.feed import READERS, read
from transport.weather.feeds.netcdf import STANDARD_NAMES
from transport.weather.fetching.address import shown
from transport.weather.fetching.limits import Deadline, Limits, usual_limits
from transport.weather.fetching.obtain import Means, obtained
from transport.window.inputs import Move
from transport.window.outlook import learned_of

__all__ = ["feeds_of", "fetched_remarks", "to_fetch"]


def feeds_of(
    move: Move, folder: Path, road: xr.Dataset | None, *, offline: bool = False, limits: Limits | None = None
) -> list[xr.Dataset]:
    """Every feed of the move in its normal form; the ones with a url one after the other within one deadline.

    road: only its surroundings are read, and asked for over OPeNDAP; without one the whole of every feed.
    offline: nothing is fetched, the copies are taken.
    Errors: InputError for a feed that is refused, or that can neither be fetched nor taken from a copy.
    """
    fields = (f"weather.feed[{number}].path" for number in range(len(move.weather.feed)))
    paths = [inside(folder, feed.path, next(fields), or_folder=True) for feed in move.weather.feed]
    box = None if road is None else _surroundings(move, folder, road)
    count = sum(feed.url is not None for feed in move.weather.feed)
    if not count:
        return [read(path, feed, box) for path, feed in zip(paths, move.weather.feed, strict=True)]
    means = Means(tuple(READERS), STANDARD_NAMES, box, limits or usual_limits(), offline)
    return list(_all(move, paths, means, Deadline(means.limits.total_s), count))


def to_fetch(move: Move) -> list[str]:
    """What would be fetched from where, a sentence for each feed with a url."""
    return [f"{feed.path}: would be fetched from {shown(feed.url)}" for feed in move.weather.feed if feed.url]


def fetched_remarks(move: Move, feeds: Sequence[xr.Dataset]) -> list[str]:
    """Of each feed with a url, when its copy was fetched; the first of its remarks."""
    pairs = zip(move.weather.feed, feeds, strict=False)
    return [json.loads(data.attrs["remarks"])[0] for feed, data in pairs if feed.url]


def _all(move: Move, paths: list[Path], means: Means, deadline: Deadline, left_count: int) -> Iterator[xr.Dataset]:
    for path, feed in zip(paths, move.weather.feed, strict=True):
        if feed.url is None:
            yield read(path, feed, means.box)
        else:
            yield obtained(feed, path, partial(read, feed=feed, box=means.box), means, deadline.share(left_count))
            left_count -= 1


def _surroundings(move: Move, folder: Path, road: xr.Dataset) -> Box | None:
    """The road, and where an instrument or the mast of the calibration stands: the forecast is looked up there too."""
    places = [(feed.station.longitude_deg, feed.station.latitude_deg) for feed in move.weather.feed if feed.station]
    if (learned := learned_of(move, folder)) is not None:
        places.append((learned.calibration.mast.longitude_deg, learned.calibration.mast.latitude_deg))
    apart = np.array(places, dtype=np.float64).reshape(-1, 2)
    columns = (road["longitude_deg"].values, road["latitude_deg"].values)
    return box_of(*(np.append(column, apart[:, axis]) for axis, column in enumerate(columns)))
