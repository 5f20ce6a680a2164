"""The demand in the polar plot: triangles for what codes ask for, arrows for the worst pushes of the load cases."""

import math

from transport.reports.capacity_data import CodePoint, Push
from transport.reports.polar_disc import Disc
from transport.reports.scheme_marks import arrow
from transport.reports.scheme_metrics import fitting, text_width_mm
from transport.reports.scheme_paper import INK, SIZE_MM, SMALL_MM, WHITE, WIDTH_MM, Box, Paper, Spot
from transport.reports.scheme_placing import place_label

__all__ = ["draw_codes", "draw_pushes", "write_codes", "write_pushes"]

RED = "#b34700"
LETTERS = {"EN 12195-1": "E", "CTU Code": "C", "49 CFR 393": "U"}
LINE_MM, SAME_MM = 4.0, 0.4


def draw_codes(paper: Paper, disc: Disc, points: list[CodePoint]) -> None:
    """A full triangle for sliding and an empty one for tipping, with the letter of the code."""
    letters = _letters(points)
    marks: dict[tuple[float, float, bool], list[str]] = {}
    for point in points:
        for value, slides in ((point.sliding_ratio, True), (point.tipping_ratio, False)):
            if math.isfinite(value):
                marks.setdefault((point.angle_deg, value, slides), []).append(letters[point.code])
    spots = {key: disc.at(key[0], key[1]) for key in marks}
    for (_, _, slides), spot in sorted(((key, spots[key]) for key in marks), key=lambda item: item[0][2]):
        _triangle(paper, spot, slides)
    labels: dict[Spot, list[str]] = {}
    for key, names in marks.items():
        labels.setdefault(spots[key], []).extend(name for name in names if name not in labels.get(spots[key], ()))
    for spot, names in labels.items():
        _label(paper, spot, ", ".join(names), math.atan2(spot[1] - disc.middle[1], spot[0] - disc.middle[0]) + 1.2)


def draw_pushes(paper: Paper, disc: Disc, worst: list[Push]) -> None:
    """An arrow from the middle to each worst push, with the name of its load case."""
    for push in worst:
        spot = _place(disc, push)
        if math.dist(spot, disc.middle) > 3.0:
            arrow(paper, disc.middle, spot, 0.45, 2.4, fill=RED)
        else:
            paper.circle(spot, 0.7, 0.25, stroke=RED, fill=RED)
    for spot, names in _by_place(disc, worst):
        text = fitting(", ".join(names), 24.0, SIZE_MM, bold=True)
        _label(paper, spot, text, math.atan2(spot[1] - disc.middle[1], spot[0] - disc.middle[0]))


def write_pushes(paper: Paper, spot: Spot, worst: list[Push]) -> float:
    """The key of the arrows; the height below it."""
    x, y = spot
    if not worst:
        return y
    paper.write("Asked for, over the weight", (x, y), SIZE_MM, bold=True)
    arrow(paper, (x, y + LINE_MM - 0.8), (x + 8.0, y + LINE_MM - 0.8), 0.45, 2.4, fill=RED)
    paper.write("worst push of a load case", (x + 10.0, y + LINE_MM), SMALL_MM)
    return y + 2.0 * LINE_MM


def write_codes(paper: Paper, spot: Spot, points: list[CodePoint]) -> None:
    """The key of the triangles and of the letters of the codes."""
    x, y = spot
    if not points:
        return
    for slides, words in ((True, "LC1: a code asks, sliding"), (False, "LC1: a code asks, tipping")):
        _triangle(paper, (x + 4.0, y - 0.8), slides)
        paper.write(words, (x + 10.0, y), SMALL_MM)
        y += LINE_MM
    for code, mark in _letters(points).items():
        paper.write(mark, (x + 3.4, y), SIZE_MM, bold=True)
        paper.write(fitting(code, WIDTH_MM - x - 10.5, SMALL_MM), (x + 10.0, y), SMALL_MM)
        y += LINE_MM


def _letters(points: list[CodePoint]) -> dict[str, str]:
    """The letter of each code; a number for one that has none."""
    codes = dict.fromkeys(point.code for point in points)
    return {code: LETTERS.get(code, str(order)) for order, code in enumerate(codes, start=1)}


def _triangle(paper: Paper, spot: Spot, full: bool) -> None:
    x, y = spot
    size = 1.0 if full else 1.5
    corners = [(x, y - 1.15 * size), (x + size, y + 0.6 * size), (x - size, y + 0.6 * size)]
    paper.polygon(corners, 0.25, fill=INK if full else WHITE)
    paper.keep(Box.around(spot, size, size))


def _label(paper: Paper, start: Spot, text: str, outward_rad: float) -> None:
    half = (text_width_mm(text, SIZE_MM, bold=True) / 2.0 + 0.3, 1.2)
    spot = place_label(paper, start, outward_rad, half, 1.6)
    paper.rectangle(Box.around(spot, *half), stroke="none", fill=WHITE, fill_opacity="0.85")
    paper.write(text, (spot[0], spot[1] + 0.85), SIZE_MM, anchor="middle", bold=True)


def _place(disc: Disc, push: Push) -> Spot:
    angle_deg = math.degrees(math.atan2(push.left_ratio, push.ahead_ratio))
    return disc.at(angle_deg, math.hypot(push.ahead_ratio, push.left_ratio))


def _by_place(disc: Disc, worst: list[Push]) -> list[tuple[Spot, list[str]]]:
    found: list[tuple[Spot, list[str]]] = []
    for push in worst:
        spot = _place(disc, push)
        near = [names for other, names in found if math.dist(spot, other) <= SAME_MM]
        if near:
            near[0].append(push.name)
        else:
            found.append((spot, [push.name]))
    return found
