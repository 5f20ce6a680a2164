"""Value of the forecast over the ratio of cost to loss."""

import math
from collections.abc import Iterator
from itertools import pairwise

import xarray as xr
from markupsafe import Markup

from shared.verification import Verification
from transport.reports.drawing import Scale, chart, element, group
from transport.reports.frame import LEFT_PX, RIGHT_PX, left_axis, words
from transport.reports.kind_marks import legend, mark
from transport.reports.notation import gust
from transport.reports.verified_text import first_threshold, kinds, ratio

__all__ = ["draw"]

TOP_PX, BOTTOM_PX = 44.0, 264.0
LOWEST = -0.25
TICKS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5)


def draw(result: Verification) -> Markup:
    """A line a kind of forecast, acting above C / L but never above the cap; what lies below the frame at its foot."""
    one = result.scores.sel(threshold=first_threshold(result))
    costs = one["cost_ratio"].values
    across = Scale(math.log(costs.min()), math.log(costs.max()), LEFT_PX + 10.0, RIGHT_PX - 10.0)
    up = Scale(LOWEST, 1.0, BOTTOM_PX, TOP_PX)
    parts = (
        group(left_axis(up, "share of what a perfect forecast would save", values=(0.0, 0.25, 0.5, 0.75, 1.0))),
        words("below", LEFT_PX - 8.0, BOTTOM_PX + 4.0, text_anchor="end", class_="tick"),
        group(_costs(across)),
        group(_stake(result, across)),
        *(group(_line(one.sel(forecast_kind=kind), kind, across, up)) for kind in kinds(one)),
        group(legend(kinds(one))),
        words("cost over loss", RIGHT_PX, BOTTOM_PX + 38.0, text_anchor="end", class_="axis-title"),
    )
    title = f"Value of the chance of a gust above {gust(first_threshold(result))}"
    told = "Below 0 the forecast costs more than to know only how often it happens. The table holds every value."
    return chart("value-chart", title, told, BOTTOM_PX + 48.0, *parts)


def _costs(across: Scale) -> Iterator[Markup]:
    yield element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=BOTTOM_PX, y2=BOTTOM_PX, class_="axis")
    for cost in TICKS:
        x_px = across(math.log(cost))
        yield element("line", x1=x_px, x2=x_px, y1=BOTTOM_PX, y2=BOTTOM_PX + 5.0, class_="axis")
        yield words(f"{cost:g}", x_px, BOTTOM_PX + 18.0, text_anchor="middle", class_="tick")


def _stake(result: Verification, across: Scale) -> Iterator[Markup]:
    """Where the cost and the loss of the move lie."""
    if "stake_cost_ratio" in result.scores.attrs:
        x_px = across(math.log(result.scores.attrs["stake_cost_ratio"]))
        yield element("line", x1=x_px, x2=x_px, y1=TOP_PX, y2=BOTTOM_PX, class_="even")
        yield words("cost and loss of the move", x_px + 6.0, TOP_PX + 14.0, class_="tick")


def _line(one: xr.Dataset, kind: str, across: Scale, up: Scale) -> Iterator[Markup]:
    pairs = zip(one["cost_ratio"].values, one["value_ratio"].values, strict=True)
    points = [(across(math.log(cost)), float(value), float(cost)) for cost, value in pairs]
    for (x1, y1, _), (x2, y2, _) in pairwise(points):
        if math.isfinite(y1 + y2):
            ends = {"y1": up(max(y1, LOWEST)), "y2": up(max(y2, LOWEST))}
            yield element("line", x1=x1, x2=x2, **ends, class_=f"worth {kind}")
    for x_px, value, cost in points:
        if math.isfinite(value):
            told = f"{kind}: value {ratio(value)} at {cost:g}"
            yield mark(kind, x_px, up(max(value, LOWEST)), 4.0, told)
