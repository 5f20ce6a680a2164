"""The trailer under the unit: deck, axle lines, bogies and hydraulic groups; deck and lines are to scale."""

from collections.abc import Iterator

from transport.reports.scheme_arrangement import Bogies, Scheme
from transport.reports.scheme_metrics import text_width_mm
from transport.reports.scheme_paper import GREY, SMALL_MM, WHITE, Box, Paper, Spot, Stroke
from transport.reports.scheme_placing import place_label
from transport.reports.scheme_scale import View

__all__ = ["groups_from_above", "trailer_from_above", "trailer_from_behind", "trailer_from_the_side"]

WHEEL_RATIO = 0.28  # radius of a drawn wheel over the height of the deck
BOGIE_M = (0.40, 0.16)  # half length and half width of a drawn bogie
GROUP_M = 0.12


def trailer_from_above(paper: Paper, made: Scheme, view: View) -> None:
    """Outline of the deck, middle line, axle lines, bogies and the outline of each hydraulic group."""
    left, top = view.at((-made.length_m / 2.0, made.width_m / 2.0, 0.0))
    right, bottom = view.at((made.length_m / 2.0, -made.width_m / 2.0, 0.0))
    paper.rectangle(Box(left, top, right, bottom), 0.5)
    for x_m in made.line_x_m:
        x, _ = view.at((x_m, 0.0, 0.0))
        paper.line((x, top), (x, bottom), 0.12, stroke=GREY, dash=(1.2, 0.8))
        for side in (1.0, -1.0) if made.bogie_y_m else ():
            spot = view.at((x_m, side * (made.bogie_y_m or 0.0), 0.0))
            half = (BOGIE_M[0] * view.mm_per_m, BOGIE_M[1] * view.mm_per_m)
            paper.rectangle(Box.around(spot, *half), 0.15, round_mm=0.6, stroke=GREY)
    _, middle = view.at((0.0, 0.0, 0.0))
    paper.line((left, middle), (right, middle), 0.12, stroke=GREY, dash=(4.0, 0.8, 0.4, 0.8))
    for edge in ((left, top, right, top), (left, bottom, right, bottom)):
        paper.line(edge[:2], edge[2:], 0.5, weight=0.4)


def groups_from_above(paper: Paper, made: Scheme, view: View) -> None:
    """A dashed outline around the bogies that share one pressure, with its letter."""
    for group in made.groups:
        for run in _runs(group, made):
            box = _around(run, view)
            paper.rectangle(box, 0.2, round_mm=1.0, stroke=GREY, dash=(0.6, 0.6))
            _write_letter(paper, group.label, (box.left, (box.top + box.bottom) / 2.0))


def trailer_from_the_side(paper: Paper, made: Scheme, view: View) -> None:
    """Deck at height 0, ground line, one wheel to an axle line."""
    left, deck = view.at((-made.length_m / 2.0, 0.0, 0.0))
    right, ground = view.at((made.length_m / 2.0, 0.0, -made.height_m))
    radius = WHEEL_RATIO * (ground - deck)
    for x_m in made.line_x_m:
        x, _ = view.at((x_m, 0.0, 0.0))
        paper.circle((x, ground - radius), radius, 0.2, stroke=GREY)
        paper.circle((x, ground - radius), 0.3, 0.2, stroke=GREY, fill=GREY)
        paper.line((x, deck), (x, ground - radius), 0.12, stroke=GREY, dash=(1.2, 0.8))
        paper.strokes.append(Stroke((x - radius, ground - radius), (x + radius, ground - radius), 0.15))
    _deck_and_ground(paper, (left, deck), (right, ground))


def trailer_from_behind(paper: Paper, made: Scheme, view: View) -> None:
    """Deck at height 0, ground line, wheels at the bogies."""
    left, deck = view.at((0.0, made.width_m / 2.0, 0.0))
    right, ground = view.at((0.0, -made.width_m / 2.0, -made.height_m))
    radius = WHEEL_RATIO * (ground - deck)
    for side in (1.0, -1.0) if made.bogie_y_m and made.line_x_m else ():
        x, _ = view.at((0.0, side * (made.bogie_y_m or 0.0), 0.0))
        half = (BOGIE_M[1] * view.mm_per_m, radius)
        paper.rectangle(Box.around((x, ground - radius), *half), 0.2, round_mm=0.6, stroke=GREY)
        paper.line((x, deck), (x, ground - 2.0 * radius), 0.12, stroke=GREY, dash=(1.2, 0.8))
    _deck_and_ground(paper, (left, deck), (right, ground))


def _deck_and_ground(paper: Paper, left_top: Spot, right_bottom: Spot) -> None:
    (left, deck), (right, ground) = left_top, right_bottom
    paper.line((left, deck), (right, deck), 0.7, weight=0.6)
    paper.line((left, ground), (right, ground), 0.35, weight=0.3)


def _write_letter(paper: Paper, label: str, corner: Spot) -> None:
    half = (text_width_mm(label, SMALL_MM) / 2.0 + 0.3, 1.0)
    spot = place_label(paper, corner, 0.0, half, 0.3)
    if abs(spot[0] - corner[0]) > 5.0 or abs(spot[1] - corner[1]) > 3.0:
        paper.line(corner, spot, 0.12, stroke=GREY)
    paper.rectangle(Box.around(spot, *half), stroke="none", fill=WHITE)
    paper.write(label, (spot[0], spot[1] + 0.75), SMALL_MM, anchor="middle", fill=GREY)


def _runs(group: Bogies, made: Scheme) -> Iterator[list[Spot]]:
    """Bogies of the group on neighbouring axle lines."""
    run: list[Spot] = []
    order = {x_m: number for number, x_m in enumerate(made.line_x_m)}
    for place in sorted(group.places):
        if run and order[place[0]] - order[run[-1][0]] > 1:
            yield run
            run = []
        run.append(place)
    yield run


def _around(run: list[Spot], view: View) -> Box:
    reach = [BOGIE_M[axis] + GROUP_M for axis in (0, 1)]
    x_m, y_m = zip(*run, strict=True)
    left, top = view.at((min(x_m) - reach[0], max(y_m) + reach[1], 0.0))
    right, bottom = view.at((max(x_m) + reach[0], min(y_m) - reach[1], 0.0))
    return Box(left, top, right, bottom)
