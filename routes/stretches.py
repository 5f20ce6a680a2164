"""Stretches a driver can remember: the named sections, and between them pieces of like grade and bends."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routes.bends import runs
from shared.arrays import Array

__all__ = ["Profile", "Span", "Stretch", "complete", "gaps", "index_of", "name_of", "pieces", "station_text"]

LEVEL_RATIO = 0.02
GRADE_BAND_RATIO = 0.03
SHORTEST_M = 100.0
MOST_COUNT = 12
ALIKE_RATIO = 0.01  # grades that differ by less are one climb
BEND_WORTH_RATIO = 0.02  # a difference in bends counts as much as this one in grade


@dataclass(frozen=True)
class Span:
    """A named piece of road in the direction of travel."""

    name: str
    from_station_m: float
    to_station_m: float


@dataclass(frozen=True)
class Profile:
    """What the pieces are cut by. Shapes: (station). NaN = unknown."""

    station_m: Array
    grade_ratio: Array
    radius_m: Array
    sharp: NDArray[np.bool_]

    def part(self, inside: NDArray[np.bool_]) -> "Profile":
        """The stations inside only."""
        return Profile(
            self.station_m[inside], self.grade_ratio[inside], self.radius_m[inside], self.sharp[inside]
        )


@dataclass(frozen=True)
class Stretch:
    """A piece between two stations (both inside), where it begins, its mean grade, its sharp bends."""

    first: int
    last: int
    begin_m: float
    grade_ratio: float
    bends_count: int
    radius_m: float


def station_text(station_m: float) -> str:
    """A station as surveyors write it: 1240 m is 1+240. Source: common practice, no source."""
    kilometres, metres = divmod(round(station_m), 1000)
    return f"{kilometres}+{metres:03d}"


def gaps(spans: Sequence[Span], length_m: float) -> list[tuple[float, float]]:
    """Pieces of road that no named section covers."""
    ends = [0.0, *(span.to_station_m for span in spans)]
    begins = [*(span.from_station_m for span in spans), length_m]
    return [(a, b) for a, b in zip(ends, begins, strict=True) if b - a > 1e-6]


def complete(spans: Sequence[Span], profile: Profile) -> list[Span]:
    """The named sections with the gaps between them filled; about 12 in all, more if more are named.

    Spans in the order of travel. Source: own, so that a driver can remember them.
    """
    station_m = profile.station_m
    open_gaps = gaps(spans, float(station_m[-1]))
    open_m = sum(end - begin for begin, end in open_gaps)
    filled = list(spans)
    for begin_m, end_m in open_gaps:
        inside = (station_m > begin_m - 1e-6) & (station_m < end_m + 1e-6)
        share = round((MOST_COUNT - len(spans)) * (end_m - begin_m) / open_m)
        parts = pieces(profile.part(inside), max(share, 1))
        borders_m = [begin_m, *(float(part.begin_m) for part in parts[1:]), end_m]
        filled += [
            Span(name_of(part, a, b), a, b)
            for part, a, b in zip(parts, borders_m, borders_m[1:], strict=False)
        ]
    return sorted(filled, key=lambda span: span.from_station_m)


def index_of(station_m: Array, begins_m: Array) -> NDArray[np.intp]:
    """Number of the span of each station; one on a border belongs to the span that begins there."""
    return np.clip(np.searchsorted(begins_m, station_m + 1e-6, side="right") - 1, 0, begins_m.size - 1)


def pieces(profile: Profile, most_count: int) -> list[Stretch]:
    """Pieces of like grade, sharp bends apart from straights, joined until they are few, long and unlike.

    None is shorter than 100 m if there is more than one, none is like its neighbour, and there are at most
    `most_count`. Source: own.
    """
    if profile.station_m.size == 0:
        return [Stretch(0, 0, 0.0, float("nan"), 0, float("nan"))]
    band = np.round(np.nan_to_num(profile.grade_ratio, nan=99.0) / GRADE_BAND_RATIO)
    label = band + np.where(profile.sharp, 1e6, 0.0)
    starts = np.flatnonzero(np.diff(label, prepend=np.inf) != 0.0)
    ends = np.append(starts[1:], label.size) - 1
    found = [_stretch(profile, int(a), int(b)) for a, b in zip(starts, ends, strict=True)]
    while (left := _next_to_join(found, float(profile.station_m[-1]), most_count)) is not None:
        merged = _stretch(profile, found[left].first, found[left + 1].last)
        found = [*found[:left], merged, *found[left + 2 :]]
    return found


def _next_to_join(found: list[Stretch], end_m: float, most_count: int) -> int | None:
    """Left one of the two to join next: a short piece and its likest neighbour, else the two most alike."""
    if len(found) == 1:
        return None
    unlike = np.array([_unlike(a, b) for a, b in itertools.pairwise(found)])
    length_m = np.diff([*(part.begin_m for part in found), end_m])
    shortest = int(np.argmin(length_m))
    if length_m[shortest] < SHORTEST_M:
        beside = [left for left in (shortest - 1, shortest) if 0 <= left < unlike.size]
        return min(beside, key=lambda left: unlike[left])
    if len(found) > most_count or unlike.min() < ALIKE_RATIO:
        return int(np.argmin(unlike))
    return None


def _unlike(one: Stretch, other: Stretch) -> float:
    difference = abs(one.grade_ratio - other.grade_ratio)
    bends_differ = bool(one.bends_count) != bool(other.bends_count)
    return (0.0 if np.isnan(difference) else difference) + BEND_WORTH_RATIO * bends_differ


def name_of(stretch: Stretch, from_station_m: float, to_station_m: float) -> str:
    """What the driver calls it: climb, descent or level, its bends, and where it is."""
    grade = stretch.grade_ratio
    if not np.isfinite(grade):
        kind = "grade unknown"
    elif abs(grade) < LEVEL_RATIO:
        kind = "level"
    else:
        kind = f"{'climb' if grade > 0.0 else 'descent'} {abs(grade) * 100.0:.0f} %"
    if stretch.bends_count:
        bends = "sharp bend" if stretch.bends_count == 1 else f"{stretch.bends_count} sharp bends"
        kind += f", {bends}" + (f" R {np.floor(stretch.radius_m):.0f} m" if stretch.radius_m > 0.0 else "")
    return f"{kind}, station {station_text(from_station_m)} to {station_text(to_station_m)}"


def _stretch(profile: Profile, first: int, last: int) -> Stretch:
    inside = slice(first, last + 1)
    bends_count = len(runs(profile.sharp[inside]))
    radius_m = float(np.min(profile.radius_m[inside]))
    begin_m = float(profile.station_m[first])
    return Stretch(first, last, begin_m, float(np.mean(profile.grade_ratio[inside])), bends_count, radius_m)
