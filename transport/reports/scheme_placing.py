"""Where a label stands: outward of its point, on nothing written, on as few lines as can be."""

import math
from collections.abc import Iterator

from transport.reports.scheme_paper import Box, Paper, Spot, Stroke

__all__ = ["covered_mm", "place_label"]

GAP_MM = 0.4
EDGE_MM = 0.5
STEPS_RAD = [sign * step * math.pi / 12.0 for step in range(13) for sign in (1, -1) if step or sign > 0]
TURN_COST_MM = 1.2  # a radian away from outward counts as much as this distance
COVER_COST_RATIO = 1.5
CROSS_COST_MM = 2.5  # for each line that the leader crosses
LEADER_WEIGHT = 3.0
FAR_MM = 60.0  # from here on a leader may cross what is drawn


def place_label(paper: Paper, start: Spot, outward_rad: float, half: Spot, near_mm: float = 1.4) -> Spot:
    """The middle of a label of this half width and height for the point; its room and its leader are then taken.

    Rings around the point grow until a free place is found; below and above the drawing there is always one.
    """
    best, least = start, math.inf
    for reach_mm in _reaches(near_mm):
        if reach_mm > least:
            break
        for spot, cost in _ring(paper, start, outward_rad, half, reach_mm):
            if cost < least:
                best, least = spot, cost
    paper.keep(Box.around(best, *half))
    paper.strokes.append(Stroke(start, best, LEADER_WEIGHT))
    return best


def covered_mm(stroke: Stroke, box: Box) -> float:
    """Length of the line that lies inside the box."""
    (x, y), (x_end, y_end) = stroke.begin, stroke.end
    along, after = 0.0, 1.0
    for begin, way, low, high in ((x, x_end - x, box.left, box.right), (y, y_end - y, box.top, box.bottom)):
        if way == 0.0:
            if not low < begin < high:
                return 0.0
            continue
        first, second = sorted(((low - begin) / way, (high - begin) / way))
        along, after = max(along, first), min(after, second)
    return max(0.0, after - along) * math.hypot(x_end - x, y_end - y)


def _reaches(near_mm: float) -> Iterator[float]:
    reach_mm = near_mm
    while True:
        yield reach_mm
        reach_mm += max(1.0, 0.15 * reach_mm)


def _ring(paper: Paper, start: Spot, outward_rad: float, half: Spot, reach_mm: float) -> Iterator[tuple[Spot, float]]:
    for step_rad in STEPS_RAD:
        across, down = math.cos(outward_rad + step_rad), math.sin(outward_rad + step_rad)
        clear_mm = min(half[0] / max(abs(across), 1e-9), half[1] / max(abs(down), 1e-9))
        spot = (start[0] + (reach_mm + clear_mm) * across, start[1] + (reach_mm + clear_mm) * down)
        box = Box.around(spot, *half)
        if _free(paper, box) and (reach_mm > FAR_MM or _clear(paper, start, spot)):
            hidden_mm = sum(stroke.weight * covered_mm(stroke, box) for stroke in paper.strokes)
            crossed = sum(stroke.weight for stroke in paper.strokes if _cross(start, spot, stroke))
            turned_mm = TURN_COST_MM * abs(step_rad)
            yield spot, reach_mm + turned_mm + COVER_COST_RATIO * hidden_mm + CROSS_COST_MM * crossed


def _free(paper: Paper, box: Box) -> bool:
    inside = box.left >= EDGE_MM and box.right <= paper.width_mm - EDGE_MM
    return inside and not any(box.meets(other, GAP_MM) for other in paper.taken)


def _clear(paper: Paper, start: Spot, spot: Spot) -> bool:
    """Whether the leader crosses nothing that is taken, but what stands at its own point."""
    leader = Stroke(start, spot, 1.0)
    point = Box.around(start, 0.01, 0.01)
    return not any(covered_mm(leader, other) > 0.2 and not other.meets(point) for other in paper.taken)


def _cross(start: Spot, spot: Spot, stroke: Stroke) -> bool:
    """Whether the leader meets the line, other than at its own beginning."""
    begin = (start[0] + 0.1 * (spot[0] - start[0]), start[1] + 0.1 * (spot[1] - start[1]))
    sides = _side(begin, spot, stroke.begin) * _side(begin, spot, stroke.end)
    return sides < 0.0 and _side(stroke.begin, stroke.end, begin) * _side(stroke.begin, stroke.end, spot) < 0.0


def _side(begin: Spot, end: Spot, spot: Spot) -> float:
    return (end[0] - begin[0]) * (spot[1] - begin[1]) - (end[1] - begin[1]) * (spot[0] - begin[0])
