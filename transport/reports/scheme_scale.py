"""One scale for all views, round, so that a ruler on the print measures metres; and the projections of the views."""

from collections.abc import Iterable, Iterator
from itertools import count
from typing import NamedTuple

from transport.reports.scheme_arrangement import Point, Scheme
from transport.reports.scheme_paper import WIDTH_MM, Spot

__all__ = ["Reach", "View", "end_view", "plan_view", "scale_number", "side_view", "view_reach"]

ROOM_MM = (160.0, 100.0, 62.0, 80.0)  # along the deck, across it in plan, upright, across it from behind
STEPS = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5)  # scales found on three-edged rulers (practice, no source)
AXES = {"plan": (0, 1.0, 1), "side": (0, 1.0, 2), "end": (1, -1.0, 2)}


class Reach(NamedTuple):
    """Least and greatest coordinate in metres."""

    low: float
    high: float

    @property
    def span(self) -> float:
        """Greatest less least."""
        return self.high - self.low

    @property
    def middle(self) -> float:
        """Half way."""
        return 0.5 * (self.low + self.high)


class View(NamedTuple):
    """A parallel projection: which axis runs to the right (with its sign), which upwards, and where the origin is."""

    name: str
    mm_per_m: float
    origin: Spot

    def at(self, point: Point) -> Spot:
        """The place of a point on the paper."""
        right, sign, up = AXES[self.name]
        x, y = self.origin
        return (x + sign * point[right] * self.mm_per_m, y - point[up] * self.mm_per_m)


def scale_number(made: Scheme) -> float:
    """n of the scale 1:n: the first round one at which every view fits."""
    spans = [view_reach(made, axis).span for axis in (0, 1, 2)]
    needs_m = (spans[0], spans[1], spans[2], spans[1])
    rounds = (10.0 * step * 10.0**power for power in count() for step in STEPS)
    return next(n for n in rounds if all(1000.0 * m / n <= mm for m, mm in zip(needs_m, ROOM_MM, strict=True)))


def plan_view(made: Scheme) -> View:
    """Seen from above, forward to the right, left upwards."""
    mm_per_m = 1000.0 / scale_number(made)
    return View("plan", mm_per_m, (_along(made, mm_per_m), view_reach(made, 1).high * mm_per_m))


def side_view(made: Scheme) -> View:
    """Seen from the right, forward to the right, under the plan point by point."""
    mm_per_m = 1000.0 / scale_number(made)
    return View("side", mm_per_m, (_along(made, mm_per_m), view_reach(made, 2).high * mm_per_m))


def end_view(made: Scheme, left_mm: float) -> View:
    """Seen from behind, left to the left; the drawing begins at this distance from the edge."""
    mm_per_m = 1000.0 / scale_number(made)
    origin = (left_mm + view_reach(made, 1).high * mm_per_m, view_reach(made, 2).high * mm_per_m)
    return View("end", mm_per_m, origin)


def view_reach(made: Scheme, axis: int) -> Reach:
    """How far everything that is drawn reaches along an axis, 0 forward, 1 left, 2 up."""
    values = list(_values(made, axis))
    return Reach(min(values), max(values))


def _along(made: Scheme, mm_per_m: float) -> float:
    return WIDTH_MM / 2.0 - view_reach(made, 0).middle * mm_per_m


def _values(made: Scheme, axis: int) -> Iterator[float]:
    half = (made.length_m / 2.0, made.width_m / 2.0, 0.0)[axis]
    yield from (-half, half) if axis < 2 else (-made.height_m, 0.0)
    if axis == 0:
        yield from made.line_x_m
    tolerance_m = made.tolerance_m or 0.0
    yield from (made.centre[axis] - tolerance_m, made.centre[axis] + tolerance_m)
    if made.mirror_m and axis < 2:
        yield from (made.centre[axis] - made.mirror_m / 2.0, made.centre[axis] + made.mirror_m / 2.0)
    points: Iterable[Point] = (*made.given, *(chain.on_deck for chain in made.chains), *made.free_anchors)
    yield from (point[axis] for point in points)
    if made.wind_centre:
        yield made.wind_centre[axis]
