"""Reliability: what was forecast against what happened, a column a bin, so that the lowest chances stay readable.

Columns are of equal width and the scale upwards is a logarithm with a shelf for 0: a straight diagram would press
everything below 5 %, where the decision falls, into its corner.
"""

import math
from collections.abc import Iterator

import xarray as xr
from markupsafe import Markup

from shared.verification import Verification
from transport.reports.drawing import Scale, chart, element, group
from transport.reports.frame import LEFT_PX, RIGHT_PX, words
from transport.reports.kind_marks import legend, mark
from transport.reports.notation import gust
from transport.reports.verified_text import count, first_threshold, kinds

__all__ = ["draw"]

TOP_PX, BOTTOM_PX, SHELF_PX = 44.0, 344.0, 368.0
LOWEST, TICKS = 0.002, (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
APART_PX = 20.0


def draw(result: Verification) -> Markup:
    """The chart for the threshold that is shown first."""
    one = result.scores.sel(threshold=first_threshold(result))
    parts = (
        group(_scale()),
        group(_bins(one)),
        *(group(_kind(one.sel(forecast_kind=kind), kind, order)) for order, kind in enumerate(kinds(one))),
        group(legend(kinds(one), "forecast chance", "observed, with its bar")),
        words("chance forecast, in bins", RIGHT_PX, _last_px(one) + 30.0, text_anchor="end", class_="axis-title"),
    )
    title = f"Reliability of the chance of a gust above {gust(first_threshold(result))}"
    told = "Each bin of forecast chance with the share observed and its bar; the table below holds every value."
    return chart("reliability-chart", title, told, _last_px(one) + 40.0, *parts)


def up_px(share_ratio: float) -> float:
    """Pixel of a share on the logarithm; what is below the scale lies on the shelf."""
    if share_ratio < LOWEST:
        return SHELF_PX
    scale = Scale(math.log(LOWEST), 0.0, BOTTOM_PX, TOP_PX)
    return scale(math.log(share_ratio))


def _scale() -> Iterator[Markup]:
    yield words("happened, share of the cases, %", LEFT_PX + 4.0, TOP_PX - 10.0, class_="axis-title")
    for value in (0.0, *TICKS):
        y_px = up_px(value)
        yield element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=y_px, y2=y_px, class_="axis" if value == 0.0 else "grid")
        yield words(f"{100 * value:g}", LEFT_PX - 8.0, y_px + 4.0, text_anchor="end", class_="tick")


def _columns(one: xr.Dataset) -> Scale:
    return Scale(0.0, float(one.sizes["probability_bin"]), LEFT_PX, RIGHT_PX)


def _last_px(one: xr.Dataset) -> float:
    return SHELF_PX + 26.0 + 18.0 * len(kinds(one))


def _bins(one: xr.Dataset) -> Iterator[Markup]:
    """Edges of the bins, and under each how many cases it holds."""
    across = _columns(one)
    for number in range(one.sizes["probability_bin"]):
        low, high = (100 * float(one[name][number]) for name in ("bin_from_ratio", "bin_until_ratio"))
        yield element("line", x1=across(number), x2=across(number), y1=TOP_PX, y2=SHELF_PX, class_="grid")
        yield words(f"{low:g}-{high:g} %", across(number + 0.5), SHELF_PX + 18.0, text_anchor="middle", class_="tick")
    for order, kind in enumerate(kinds(one)):
        y_px = SHELF_PX + 36.0 + 18.0 * order
        yield words("cases", LEFT_PX - 8.0, y_px, text_anchor="end", class_="tick")
        for number, cases in enumerate(one["bin_case_count"].sel(forecast_kind=kind).values):
            x_px = across(number + 0.5)
            yield mark(kind, x_px - 22.0, y_px - 4.0, 3.5)
            yield words(count(cases), x_px - 14.0, y_px, class_="tick")


def _kind(one: xr.Dataset, kind: str, order: int) -> Iterator[Markup]:
    across, aside = _columns(one), (order - 0.5) * APART_PX
    names = ("bin_forecast_ratio", "bin_observed_ratio", "bin_bar_low_ratio", "bin_bar_high_ratio")
    for number in range(one.sizes["probability_bin"]):
        forecast, observed, low, high = (float(one[name][number]) for name in names)
        if math.isnan(observed):
            continue
        x_px = across(number + 0.5) + aside
        told = f"{kind}: forecast {forecast:.1%}, observed {observed:.1%}"
        yield element("line", x1=x_px, x2=x_px, y1=up_px(low), y2=up_px(high), class_=f"bar {kind}")
        yield element("line", x1=x_px - 9.0, x2=x_px + 9.0, y1=up_px(forecast), y2=up_px(forecast), class_="promised")
        yield mark(kind, x_px, up_px(observed), 5.0, told)
