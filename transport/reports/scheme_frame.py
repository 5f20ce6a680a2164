"""Frame of a view: its title, its scale, the way forward, and a bar of metres that a ruler on the print can check."""

import math
from itertools import pairwise

from transport.reports.drawing import ticks
from transport.reports.scheme_arrangement import Scheme
from transport.reports.scheme_marks import arrow
from transport.reports.scheme_paper import INK, SIZE_MM, SMALL_MM, WHITE, Box, Paper
from transport.reports.scheme_scale import Reach, View, scale_number

__all__ = ["bar", "head_line", "metres", "scale_words"]

ABOVE_MM, BELOW_MM, BAR_MM = 3.6, 3.4, 1.2
NUMBER_MM = 6.5  # room of a number under the bar


def metres(value_m: float) -> str:
    """A length as a dimension: to the centimetre, to the millimetre where it has any."""
    written = f"{value_m + 0.0:.3f}"
    return f"{written.removesuffix('0')} m"


def scale_words(made: Scheme) -> str:
    """The scale and what a metre measures on the print."""
    number = scale_number(made)
    return f"scale 1:{number:g} on A4, 1 m is {1000.0 / number:.4g} mm"


def head_line(paper: Paper, made: Scheme, title: str, way: str, right_mm: float, left_mm: float = 1.0) -> None:
    """Above everything: title and scale to the left, an arrow with its word to the right."""
    y = paper.high_mm - ABOVE_MM
    box = paper.write(title, (left_mm, y), 2.6, bold=True)
    if way == "forward":
        end = right_mm - 1.0
        arrow(paper, (end - 11.0, y - 0.9), (end, y - 0.9), 0.6, 2.6)
        paper.write(way, (end - 12.0, y), 2.6, anchor="end", bold=True)
        paper.write(scale_words(made), (box.right + 3.0, y), SIZE_MM)
    else:
        begin = box.right + 4.0
        arrow(paper, (begin + 9.0, y - 0.9), (begin, y - 0.9), 0.6, 2.6)
        paper.write(way, (begin + 10.0, y), 2.6, bold=True)


def bar(paper: Paper, view: View, reach: Reach, title: str) -> None:
    """A bar of whole metres below everything, black and white by turns, numbered in the trailer frame."""
    most = max(2, min(14, int(reach.span * view.mm_per_m / NUMBER_MM)))
    values = [value for value in ticks(reach.low, reach.high, most) if reach.low <= value <= reach.high]
    y = paper.low_mm + BELOW_MM
    end = view.name == "end"
    spots = [view.at((value, value, 0.0))[0] for value in values]
    for order, (begin, after) in enumerate(pairwise(spots)):
        box = Box(min(begin, after), y, max(begin, after), y + BAR_MM)
        paper.rectangle(box, 0.15, fill=WHITE if order % 2 else INK)
    for value, x in zip(values, spots, strict=True):
        paper.line((x, y), (x, y + BAR_MM + 0.7), 0.15)
        paper.write(f"{value + 0.0:g}", (x, y + BAR_MM + 2.7), SMALL_MM, anchor="middle")
    step_m = abs(values[1] - values[0]) if len(values) > 1 else math.nan
    measured = f"; one field measures {step_m * view.mm_per_m:.4g} mm" if len(values) > 1 and not end else ""
    paper.write(f"{title}{measured}", (min(spots), y + BAR_MM + 5.4), SMALL_MM)
