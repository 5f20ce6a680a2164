"""Polar plot of capacity against demand over all horizontal directions, turned as the plan of the scheme is."""

import math

import numpy as np

from shared.assessment import Assessment
from transport.reports.capacity_curves import draw_curve, draw_sample, number_curves
from transport.reports.capacity_data import (
    CodePoint,
    Curve,
    Push,
    code_points,
    curves,
    no_polar_words,
    pushes,
    unknown_directions,
)
from transport.reports.capacity_demand import draw_codes, draw_pushes, write_codes, write_pushes
from transport.reports.drawing import element, ticks
from transport.reports.notation import down, letter
from transport.reports.polar_disc import Disc, draw_rim, draw_rings, write_rings
from transport.reports.scheme_metrics import fitting
from transport.reports.scheme_paper import SIZE_MM, SMALL_MM, WIDTH_MM, Paper

__all__ = ["WIDTH_MM", "capacity_alt", "capacity_polar", "no_polar_words"]

MIDDLE_MM, RADIUS_MM = (66.0, 0.0), 49.0
KEY_MM, KEY_LINE_MM = 132.0, 4.0
CORE_RATIO, ROOM_RATIO = 1.8, 1.08
RING_RATIO = 0.94
MANY_COUNT = 6
SAME_RATIO = 1e-9  # the first of directions that hold as little but for rounding


def capacity_alt(result: Assessment) -> str:
    """One sentence for a reader who does not see the plot."""
    if reason := no_polar_words(result):
        return reason
    return (
        "Polar plot of the horizontal force that the securing holds over the weight of the unit, by direction, "
        f"against what codes and load cases ask for; usable: {_least(curves(result.checks['securing'])[0])}."
    )


def capacity_polar(result: Assessment) -> str:
    """Capacity and demand by direction; SVG of the natural width WIDTH_MM, nothing where it cannot be drawn."""
    if no_polar_words(result):
        return ""
    check = result.checks["securing"]
    made, (points, strangers), (worst, unknown) = curves(check), code_points(check), pushes(check)
    paper, limit = Paper(), _limit(made, points, worst)
    disc = Disc(MIDDLE_MM, RADIUS_MM, limit)
    rings = [value for value in ticks(0.0, limit, 6) if 0.0 < value <= RING_RATIO * limit]
    draw_rings(paper, disc, rings)
    _draw_inside(paper, disc, made)
    write_rings(paper, disc, rings)
    draw_rim(paper, disc)
    draw_codes(paper, disc, points)
    draw_pushes(paper, disc, worst)
    number_curves(paper, disc, made)
    _write_key(paper, made, points, worst)
    notes = [f"{name}: worst push not known, not drawn." for name in unknown]
    notes += [f"{name}: direction not known, not drawn." for name in strangers]
    notes += [] if points or worst else ["No demand is shown: the check gives neither code rows nor worst pushes."]
    _write_notes(paper, [*_notes(made, limit, bool(worst)), *notes])
    return paper.svg("capacity-polar", "Capacity against demand by direction", capacity_alt(result))


def _limit(made: list[Curve], points: list[CodePoint], worst: list[Push]) -> float:
    """Value at the rim: beyond all that is usable or asked for; a curve that is far larger may run out of the plot."""
    asked = [value for point in points for value in (point.sliding_ratio, point.tipping_ratio)]
    asked += [math.hypot(push.ahead_ratio, push.left_ratio) for push in worst]
    core = _greatest([*made[0].ratio.tolist(), *asked])
    highest = [_greatest(curve.ratio.tolist()) for curve in made]
    near = [value for value in highest if value <= CORE_RATIO * core]
    return ROOM_RATIO * max([core, *near] if core > 0.0 else highest) or 1.0


def _greatest(values: list[float]) -> float:
    return max((value for value in values if math.isfinite(value)), default=0.0)


def _draw_inside(paper: Paper, disc: Disc, made: list[Curve]) -> None:
    """The curves, cut at the rim."""
    inside = Paper()
    for number, curve in enumerate(made):
        draw_curve(inside, disc, curve, number)
    x, y = (f"{10.0 * value:.1f}" for value in disc.middle)
    round_ = element("circle", cx=x, cy=y, r=f"{10.0 * disc.radius_mm:.1f}")
    paper.parts.append(element("clipPath", round_, id="capacity-polar-rim"))
    paper.parts.append(element("g", *inside.parts, clip_path="url(#capacity-polar-rim)"))
    paper.strokes += inside.strokes


def _write_key(paper: Paper, made: list[Curve], points: list[CodePoint], worst: list[Push]) -> None:
    y = disc_top = MIDDLE_MM[1] - RADIUS_MM
    room_mm = WIDTH_MM - KEY_MM - 13.5
    paper.write("Held, over the weight", (KEY_MM, disc_top), SIZE_MM, bold=True)
    for number, curve in enumerate(made):
        y += KEY_LINE_MM
        draw_sample(paper, (KEY_MM, y - 0.8), curve, number)
        paper.write(letter(number).lower(), (KEY_MM + 10.0, y), SIZE_MM, bold=True)
        paper.write(fitting(curve.name, room_mm, SMALL_MM), (KEY_MM + 13.0, y), SMALL_MM)
    y = write_pushes(paper, (KEY_MM, y + 2.0 * KEY_LINE_MM), worst)
    write_codes(paper, (KEY_MM, y), points)


def _notes(made: list[Curve], limit: float, pushed: bool) -> list[str]:
    notes = ["Level deck, calculated at the corners of the curves; angles as on the plan, the way the load is pushed."]
    notes += [_capital(f"{curve.name}: {_least(curve)}.") for curve in made if curve.kind in {"usable", "lost"}]
    if pushed:
        notes.append(
            "Worst pushes also carry moments and vertical parts that a plot cannot show: the load cases decide."
        )
    for curve in made:
        if (highest := float(np.max(curve.ratio, initial=0.0, where=~np.isnan(curve.ratio)))) > limit:
            words = "without bound" if math.isinf(highest) else f"up to {down(highest, 2)} times the weight"
            notes.append(_capital(f"{curve.name} runs out of the plot, {words}."))
        if gaps := list(unknown_directions(curve)):
            more = f" and {len(gaps) - MANY_COUNT} more" if len(gaps) > MANY_COUNT else ""
            notes.append(
                _capital(f"{curve.name} not known at {', '.join(gaps[:MANY_COUNT])}{more}: a gap in the curve.")
            )
    return notes


def _least(curve: Curve) -> str:
    least = float(np.min(curve.ratio))
    if math.isnan(least):
        return "least value not known"
    where = curve.direction_deg[int(np.argmax(curve.ratio <= least + SAME_RATIO))]
    return f"least {down(least, 2)} times the weight at {where:g}°"


def _capital(sentence: str) -> str:
    return f"{sentence[:1].upper()}{sentence[1:]}"


def _write_notes(paper: Paper, notes: list[str]) -> None:
    y = paper.low_mm + 2.0
    for note in notes:
        y += 3.0
        paper.write(fitting(note, WIDTH_MM - 2.0, SMALL_MM), (1.0, y), SMALL_MM)
