"""Marks of the scheme: anchor, pad, stop, centre of mass, wind, labels, arrows and dimension lines."""

import math

from transport.reports.scheme_metrics import ASCENT_RATIO, text_width_mm
from transport.reports.scheme_paper import GREY, INK, SIZE_MM, SMALL_MM, WHITE, Box, Paper, Spot

__all__ = [
    "BLUE",
    "arrow",
    "dimension_across",
    "dimension_up",
    "label_half",
    "mark_anchor",
    "mark_centre",
    "mark_load_end",
    "mark_pad",
    "mark_stop",
    "mark_wind",
    "rows_of",
    "write_label",
]

BLUE = "#0b4f8a"
ROW_MM = 2.7
LABEL_ROOM_MM = 24.0
STOP_MM = 4.2  # length of the arrow
PAD_MM, ANCHOR_MM, CENTRE_MM, WIND_MM = 1.25, 0.75, 1.8, 3.0  # half sides, radius, half diagonal


def arrow(paper: Paper, begin: Spot, end: Spot, width: float = 0.35, head_mm: float = 1.6, fill: str = INK) -> None:
    """A line with a filled head at its end."""
    turn = math.atan2(end[1] - begin[1], end[0] - begin[0])
    back = (end[0] - head_mm * math.cos(turn), end[1] - head_mm * math.sin(turn))
    side = (0.33 * head_mm * math.sin(turn), -0.33 * head_mm * math.cos(turn))
    paper.line(begin, back, width, stroke=fill, weight=0.5)
    wings = [(back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])]
    paper.polygon([end, *wings], stroke="none", fill=fill)


def dimension_across(paper: Paper, begin: Spot, end: Spot, y: float, text: str) -> None:
    """A level dimension line at y between the two points, with lines up to them; a long text stands beside."""
    for spot in (begin, end):
        paper.line(spot, (spot[0], y + 0.8), 0.12, stroke=GREY)
    _arrows(paper, (begin[0], y), (end[0], y))
    room_mm, long_mm = abs(end[0] - begin[0]), text_width_mm(text, SMALL_MM)
    if long_mm + 1.0 <= room_mm:
        paper.write(text, ((begin[0] + end[0]) / 2.0, y - 0.6), SMALL_MM, anchor="middle")
    elif max(begin[0], end[0]) + long_mm + 2.0 <= paper.width_mm:
        paper.write(text, (max(begin[0], end[0]) + 1.2, y + 0.7), SMALL_MM)
    else:
        paper.write(text, (min(begin[0], end[0]) - 1.2, y + 0.7), SMALL_MM, anchor="end")


def dimension_up(paper: Paper, low: Spot, high: Spot, x: float, text: str) -> None:
    """An upright dimension line at x between the two points, read from the right."""
    for spot in (low, high):
        paper.line(spot, (x + math.copysign(0.8, x - spot[0]), spot[1]), 0.12, stroke=GREY)
    _arrows(paper, (x, low[1]), (x, high[1]))
    if text_width_mm(text, SMALL_MM) + 1.0 <= low[1] - high[1]:
        paper.write(text, (x - 0.6, (low[1] + high[1]) / 2.0), SMALL_MM, anchor="middle", upright=True)
    else:
        paper.write(text, (x + 0.7, high[1] - 1.2), SMALL_MM, upright=True)


def mark_anchor(paper: Paper, spot: Spot, free: bool = False) -> None:
    """A square at an anchor: full where a chain ends, empty where none does."""
    box = Box.around(spot, ANCHOR_MM, ANCHOR_MM)
    paper.rectangle(box, 0.25, fill=WHITE if free else INK)
    paper.keep(box)


def mark_load_end(paper: Paper, spot: Spot) -> None:
    """A ring where a chain leaves the load."""
    paper.circle(spot, 0.6, 0.25, fill=WHITE)
    paper.keep(Box.around(spot, 0.7, 0.7))


def mark_pad(paper: Paper, spot: Spot) -> None:
    """A crossed square at a pad; its size means nothing."""
    box = Box.around(spot, PAD_MM, PAD_MM)
    paper.rectangle(box, 0.35, fill=WHITE)
    paper.line(box[:2], box[2:], 0.2)
    paper.line((box.left, box.bottom), (box.right, box.top), 0.2)
    paper.keep(box)


def mark_stop(paper: Paper, spot: Spot, way: Spot) -> None:
    """A bar at a stop and an arrow along its normal into the unit; a ring where the normal points at the reader."""
    long = math.hypot(*way)
    if long < 0.2:
        paper.circle(spot, 1.2, 0.35, fill=WHITE)
        paper.circle(spot, 0.4, fill=INK)
    else:
        x, y = way[0] / long, way[1] / long
        paper.line((spot[0] - 1.8 * y, spot[1] + 1.8 * x), (spot[0] + 1.8 * y, spot[1] - 1.8 * x), 0.8)
        end = (spot[0] + STOP_MM * x, spot[1] + STOP_MM * y)
        arrow(paper, spot, end, 0.4)
        paper.keep(Box.around(((spot[0] + end[0]) / 2.0, (spot[1] + end[1]) / 2.0), *_arrow_half(x, y)))
    paper.keep(Box.around(spot, 1.3, 1.3))


def mark_centre(paper: Paper, spot: Spot, half_mm: float = 0.0) -> None:
    """The quartered circle of the centre of mass, and the box of its tolerance to scale."""
    x, y = (10.0 * value for value in spot)
    r = 10.0 * CENTRE_MM
    paper.circle(spot, CENTRE_MM, 0.3, fill=WHITE)
    for side in (1.0, -1.0):
        quarter = f"M{x:.1f} {y:.1f} h{side * r:.1f} A{r:.1f} {r:.1f} 0 0 0 {x:.1f} {y - side * r:.1f} Z"
        paper.path(quarter, spot, stroke="none", fill="#8b939b")
    paper.circle(spot, CENTRE_MM, 0.3)
    paper.line((spot[0] - CENTRE_MM, spot[1]), (spot[0] + CENTRE_MM, spot[1]), 0.15)
    paper.line((spot[0], spot[1] - CENTRE_MM), (spot[0], spot[1] + CENTRE_MM), 0.15)
    if half_mm > 0.0:
        paper.rectangle(Box.around(spot, half_mm, half_mm), 0.25)
    paper.keep(Box.around(spot, max(CENTRE_MM, half_mm), max(CENTRE_MM, half_mm)))


def mark_wind(paper: Paper, spot: Spot) -> None:
    """An empty rhomb at the centre of the area that the wind meets."""
    x, y = spot
    paper.polygon([(x, y - WIND_MM), (x + WIND_MM, y), (x, y + WIND_MM), (x - WIND_MM, y)], 0.25)
    paper.keep(Box.around(spot, WIND_MM, WIND_MM))


def rows_of(labels: list[str]) -> list[str]:
    """Labels in one ring, in rows that are not too wide."""
    rows = [labels[0]]
    for label in labels[1:]:
        longer = f"{rows[-1]}, {label}"
        if text_width_mm(longer, SIZE_MM, bold=True) <= LABEL_ROOM_MM:
            rows[-1] = longer
        else:
            rows[-1] += ","
            rows.append(label)
    return rows


def label_half(rows: list[str]) -> Spot:
    """Half width and half height of a ring around these rows."""
    wide_mm = max(text_width_mm(row, SIZE_MM, bold=True) for row in rows)
    half_height_mm = max(2.0, ROW_MM * len(rows) / 2.0 + 0.5)
    return max(wide_mm / 2.0 + 0.7, half_height_mm), half_height_mm


def write_label(paper: Paper, spot: Spot, rows: list[str], half: Spot) -> None:
    """A ring, longer where the rows ask for it, with the tags of the chains."""
    paper.rectangle(Box.around(spot, *half), 0.3, round_mm=min(half[1], 2.2), stroke=BLUE, fill=WHITE)
    first = spot[1] + 0.5 * ASCENT_RATIO * SIZE_MM * 0.92 - ROW_MM * (len(rows) - 1) / 2.0
    for order, row in enumerate(rows):
        paper.write(row, (spot[0], first + ROW_MM * order), SIZE_MM, anchor="middle", bold=True)


def _arrow_half(x: float, y: float) -> Spot:
    return max(0.5 * STOP_MM * abs(x), 0.6), max(0.5 * STOP_MM * abs(y), 0.6)


def _arrows(paper: Paper, begin: Spot, end: Spot) -> None:
    paper.line(begin, end, 0.15, weight=0.3)
    long = math.hypot(end[0] - begin[0], end[1] - begin[1])
    if long >= 4.0:
        middle = ((begin[0] + end[0]) / 2.0, (begin[1] + end[1]) / 2.0)
        arrow(paper, middle, begin, 0.15, 1.4)
        arrow(paper, middle, end, 0.15, 1.4)
    else:
        for x, y in (begin, end):
            paper.line((x - 0.5, y + 0.5), (x + 0.5, y - 0.5), 0.3)
