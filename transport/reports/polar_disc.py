"""The disc of a polar plot: forward to the right and left upwards, as on the plan; rings with their values, a rim."""

import math
from typing import NamedTuple

from transport.reports.scheme_metrics import text_width_mm
from transport.reports.scheme_paper import GREY, SIZE_MM, SMALL_MM, WHITE, Box, Paper, Spot

__all__ = ["Disc", "draw_rim", "draw_rings", "write_rings"]

FORWARD_DEG = 0.0  # where forward lies on the paper, counter-clockwise from the right; 90 would set it upwards
SCALE_DEG = 37.5  # between the directions that are calculated
NAMED = {0: "forward", 90: "left", 180: "rearward", 270: "right"}


class Disc(NamedTuple):
    """Middle and radius on the paper, and the value at the rim."""

    middle: Spot
    radius_mm: float
    limit: float

    def at(self, direction_deg: float, value: float) -> Spot:
        """The place of a value in a direction, 0 forward, 90 left."""
        turn, reach = math.radians(direction_deg + FORWARD_DEG), self.radius_mm * value / self.limit
        return (self.middle[0] + reach * math.cos(turn), self.middle[1] - reach * math.sin(turn))


def draw_rings(paper: Paper, disc: Disc, values: list[float]) -> None:
    """Rings and rays."""
    for direction_deg in range(0, 360, 30):
        paper.line(disc.middle, disc.at(direction_deg, disc.limit), 0.12, stroke="#b8bfc6")
    for value in values:
        paper.circle(disc.middle, disc.radius_mm * value / disc.limit, 0.12, stroke="#b8bfc6")


def write_rings(paper: Paper, disc: Disc, values: list[float]) -> None:
    """The values of the rings."""
    for value in values:
        spot, text = disc.at(SCALE_DEG, value), f"{value:g}"
        half = (text_width_mm(text, SMALL_MM) / 2.0 + 0.3, 1.1)
        paper.rectangle(Box.around(spot, *half), stroke="none", fill=WHITE, fill_opacity="0.8")
        paper.write(text, (spot[0], spot[1] + 0.75), SMALL_MM, anchor="middle", fill=GREY)


def draw_rim(paper: Paper, disc: Disc) -> None:
    """The rim with the directions in degrees, four of them in words."""
    paper.circle(disc.middle, disc.radius_mm, 0.25)
    for direction_deg in range(0, 360, 30):
        x, y = disc.at(direction_deg, disc.limit * (1.0 + 2.4 / disc.radius_mm))
        across = math.cos(math.radians(direction_deg + FORWARD_DEG))
        anchor = "middle" if abs(across) < 0.1 else ("start" if across > 0.0 else "end")
        down = 0.8 - 1.0 * math.sin(math.radians(direction_deg + FORWARD_DEG))
        name = NAMED.get(direction_deg)
        degrees = f"{direction_deg}°"
        if name and anchor != "middle":
            paper.write(name, (x, y - 0.5), SIZE_MM, anchor=anchor, bold=True)
            paper.write(degrees, (x, y + 2.6), SIZE_MM, anchor=anchor)
        else:
            text = f"{name}, {degrees}" if name else degrees
            paper.write(text, (x, y + down), SIZE_MM, anchor=anchor, bold=bool(name))
