"""The key of the scheme in words: every mark, then the names behind letters and numbers."""

from collections.abc import Callable, Iterator

from transport.reports.scheme_arrangement import Scheme
from transport.reports.scheme_bodies import TOP_OVER_DASH, top_over_pairs
from transport.reports.scheme_frame import metres, scale_words
from transport.reports.scheme_marks import (
    BLUE,
    label_half,
    mark_anchor,
    mark_centre,
    mark_load_end,
    mark_pad,
    mark_stop,
    mark_wind,
    write_label,
)
from transport.reports.scheme_metrics import fitting
from transport.reports.scheme_paper import GREY, SIZE_MM, SMALL_MM, Paper, Spot

__all__ = ["write_key"]

LINE_MM, MARK_MM = 4.2, 11.0
NAME_LINE_MM, COLUMN_COUNT = 3.0, 3
Row = tuple[Callable[[Paper, Spot], None], str]


def write_key(paper: Paper, made: Scheme, left_mm: float, top_mm: float) -> None:
    """Marks with their words to the right of the view; names in columns below everything."""
    paper.write("Key", (left_mm, top_mm), 2.6, bold=True)
    room_mm = paper.width_mm - left_mm - MARK_MM - 1.0
    y = top_mm
    for draw, words in _marks(made):
        y += LINE_MM
        draw(paper, (left_mm + MARK_MM / 2.0 - 1.0, y - 0.9))
        paper.write(fitting(words, room_mm, SIZE_MM), (left_mm + MARK_MM, y), SIZE_MM)
    _write_names(paper, list(_names(made)))


def _marks(made: Scheme) -> Iterator[Row]:
    x, y, z = (metres(value) for value in made.centre)
    box = "not known, no box" if made.tolerance_m is None else f"±{metres(made.tolerance_m)}, the box to scale"
    yield _chain, "chain, direct: ring on the load, square at its anchor"
    if any(chain.top_over for chain in made.chains):
        yield _top_over, "leg of a top-over pair; dashed: its strap over the load"
    if made.free_anchors:
        yield lambda paper, spot: mark_anchor(paper, spot, free=True), "anchor without a chain"
    yield _label(made), "number of a chain" if made.numbered else "tag of a chain, as in the chain schedule"
    if any(not contact.stop for contact in made.contacts):
        yield mark_pad, "pad, with its letter; size not to scale"
    if any(contact.stop for contact in made.contacts):
        yield _stop, "stop; arrow: normal into the unit; dot: seen end on"
    yield lambda paper, spot: mark_centre(paper, spot, 0.7), f"centre of mass: x {x}, y {y}, z {z}"
    yield _nothing, f"its tolerance: {box}"
    if made.wind_centre:
        yield mark_wind, "centre of the area that the wind meets"
    if made.mirror_m:
        yield _mirror, f"mirror, {metres(made.mirror_m)} across; its place is schematic"
    if made.given:
        yield _outline, "around the points given of the unit: not its shape"
    yield _wheel, "axle lines at their places; wheels, bogies schematic"
    yield _nothing, f"all views: {scale_words(made)}"


def _names(made: Scheme) -> Iterator[tuple[str, str]]:
    for contact in made.contacts:
        yield contact.letter, contact.name
    for group in made.groups:
        yield group.label, f"hydraulic group {group.name}"
    for chain in made.chains:
        if made.numbered:
            yield chain.label, f"chain {chain.tag}"
    for first, second in top_over_pairs(made.chains):
        yield f"{first.label}, {second.label}", f"top-over pair {first.pair}"


def _write_names(paper: Paper, names: list[tuple[str, str]]) -> None:
    top, wide_mm = paper.low_mm + 4.0, (paper.width_mm - 2.0) / COLUMN_COUNT
    rows = -(-len(names) // COLUMN_COUNT)
    for order, (label, name) in enumerate(names):
        x, y = 1.0 + wide_mm * (order // rows), top + NAME_LINE_MM * (order % rows)
        after = max(x + 7.0, paper.write(label, (x, y), SMALL_MM, bold=True).right + 1.5)
        paper.write(fitting(name, x + wide_mm - 2.0 - after, SMALL_MM), (after, y), SMALL_MM)


def _nothing(paper: Paper, spot: Spot) -> None:
    """A row of words that go with the row above."""


def _chain(paper: Paper, spot: Spot) -> None:
    paper.line((spot[0] - 4.0, spot[1]), (spot[0] + 4.0, spot[1]), 0.55, stroke=BLUE)
    mark_load_end(paper, (spot[0] - 4.0, spot[1]))
    mark_anchor(paper, (spot[0] + 4.0, spot[1]))


def _top_over(paper: Paper, spot: Spot) -> None:
    paper.line((spot[0] - 4.5, spot[1]), (spot[0] - 1.0, spot[1]), 0.3, stroke=BLUE, dash=(0.8, 0.6))
    paper.line((spot[0] - 1.0, spot[1]), (spot[0] + 4.0, spot[1]), 0.55, stroke=BLUE, dash=TOP_OVER_DASH)
    mark_load_end(paper, (spot[0] - 1.0, spot[1]))
    mark_anchor(paper, (spot[0] + 4.0, spot[1]))


def _label(made: Scheme) -> Callable[[Paper, Spot], None]:
    rows = [made.chains[0].label if made.chains else "1"]
    return lambda paper, spot: write_label(paper, spot, rows, label_half(rows))


def _stop(paper: Paper, spot: Spot) -> None:
    mark_stop(paper, (spot[0] - 2.0, spot[1]), (1.0, 0.0))


def _mirror(paper: Paper, spot: Spot) -> None:
    paper.line((spot[0] - 4.0, spot[1]), (spot[0] + 4.0, spot[1]), 0.3, stroke=GREY, dash=(2.4, 1.2))


def _outline(paper: Paper, spot: Spot) -> None:
    paper.line((spot[0] - 4.0, spot[1]), (spot[0] + 4.0, spot[1]), 0.2, stroke=GREY, dash=(0.3, 0.7))


def _wheel(paper: Paper, spot: Spot) -> None:
    paper.circle(spot, 1.4, 0.2, stroke=GREY)
    paper.circle(spot, 0.3, 0.2, stroke=GREY, fill=GREY)
