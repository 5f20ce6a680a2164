"""The curves of the polar plot: each its own dash and letter, so that they can be told apart in black and white."""

import math
from itertools import pairwise
from typing import Any

import numpy as np

from transport.reports.capacity_data import Curve
from transport.reports.drawing import spans
from transport.reports.notation import letter
from transport.reports.polar_disc import Disc
from transport.reports.scheme_marks import BLUE
from transport.reports.scheme_metrics import text_width_mm
from transport.reports.scheme_paper import GREY, INK, SIZE_MM, WHITE, Box, Paper, Spot, Stroke
from transport.reports.scheme_placing import place_label

__all__ = ["draw_curve", "draw_sample", "number_curves"]

FIELD, FIELD_OPACITY = "#a9c6e2", "0.5"
BEYOND_RATIO = 3.0
DASHES = ((4.0, 0.8), (1.6, 0.7), (4.0, 0.7, 0.6, 0.7), (0.7, 0.7), (2.4, 0.5, 0.4, 0.5, 0.4, 0.5))


def draw_curve(paper: Paper, disc: Disc, curve: Curve, number: int) -> None:
    """The curve, with a gap where it is not known; the usable field is filled."""
    for run, closed in _runs(curve):
        spots = [disc.at(*_held_back(curve, index, disc)) for index in run]
        if curve.kind == "usable":
            paper.polygon(
                spots if closed else [disc.middle, *spots], stroke="none", fill=FIELD, fill_opacity=FIELD_OPACITY
            )
        paper.polygon(spots, closed=closed, **_style(curve, number))
        round_trip = [*spots, spots[0]] if closed else spots
        weight = 0.6 if curve.kind == "model" else 1.0
        paper.strokes += [Stroke(a, b, weight) for a, b in pairwise(round_trip)]


def draw_sample(paper: Paper, spot: Spot, curve: Curve, number: int) -> None:
    """A piece of the curve for the key."""
    end = (spot[0] + 8.0, spot[1])
    if curve.kind == "usable":
        paper.rectangle(
            Box(spot[0], spot[1] - 0.2, end[0], spot[1] + 1.2), stroke="none", fill=FIELD, fill_opacity=FIELD_OPACITY
        )
    paper.polygon([spot, end], closed=False, **_style(curve, number))


def number_curves(paper: Paper, disc: Disc, made: list[Curve]) -> None:
    """The letter of each curve, where it lies farthest from the others."""
    for number, curve in enumerate(made):
        index = _apart(made, number, disc.limit)
        if index is None:
            continue
        start = disc.at(float(curve.direction_deg[index]), float(curve.ratio[index]))
        text = letter(number).lower()
        half = (text_width_mm(text, SIZE_MM, bold=True) / 2.0 + 0.5, 1.3)
        outward = math.atan2(start[1] - disc.middle[1], start[0] - disc.middle[0])
        spot = place_label(paper, start, outward, half, 0.8)
        paper.line(start, spot, 0.15, stroke=GREY)
        paper.circle(start, 0.3, stroke="none", fill=INK)
        paper.rectangle(Box.around(spot, *half), stroke="none", fill=WHITE, fill_opacity="0.85")
        paper.write(text, (spot[0], spot[1] + 0.8), SIZE_MM, anchor="middle", bold=True)


def _apart(made: list[Curve], number: int, limit: float) -> int | None:
    """Index of the direction where the curve is inside the plot and no other is near."""
    curve, others = made[number], [other.ratio for order, other in enumerate(made) if order != number]
    gaps = np.min([np.abs(other - curve.ratio) for other in others], axis=0) if others else np.ones(curve.ratio.size)
    inside = curve.ratio < 0.92 * limit
    marked = np.where(inside & np.isfinite(gaps), np.minimum(gaps, 0.1 * limit), -1.0)
    marked = np.where(inside, marked, -2.0)
    best = int(np.argmax(np.where(marked >= 0.0, marked - _near_axis(curve, limit), marked)))
    return best if inside[best] else None


def _near_axis(curve: Curve, limit: float) -> np.ndarray:
    """The axes carry the demand: a letter stands better beside them."""
    return np.where(curve.direction_deg % 90.0 == 0.0, 0.05 * limit, 0.0)


def _runs(curve: Curve) -> list[tuple[list[int], bool]]:
    """Neighbouring directions that are known, round the circle; whether they close it."""
    known, count = ~np.isnan(curve.ratio), curve.ratio.size
    if known.all():
        return [(list(range(count)), True)]
    if not known.any():
        return []
    first = int(np.flatnonzero(~known)[0])
    turned = [(first + order) % count for order in range(count)]
    return [(turned[a:b], False) for a, b, held in spans(known[turned].tolist()) if held]


def _held_back(curve: Curve, index: int, disc: Disc) -> tuple[float, float]:
    """Direction and value, far outside where the value is beyond the plot."""
    return float(curve.direction_deg[index]), min(float(curve.ratio[index]), BEYOND_RATIO * disc.limit)


def _style(curve: Curve, number: int) -> dict[str, Any]:
    if curve.kind == "usable":
        return {"width": 0.7, "stroke": BLUE, "stroke_linejoin": "round"}
    if curve.kind == "lost":
        return {"width": 0.6, "stroke": INK, "dash": (2.4, 1.2)}
    if curve.kind == "upper":
        return {"width": 0.55, "stroke": GREY, "dash": (0.01, 1.2), "stroke_linecap": "round"}
    return {"width": 0.25, "stroke": INK, "dash": DASHES[number % len(DASHES)]}
