"""Rank histogram: how often the observed gust lay below all members, between them, above all of them."""

from collections.abc import Iterator

import numpy as np
import xarray as xr
from markupsafe import Markup

from shared.verification import Verification
from transport.reports.drawing import Scale, chart, element, group
from transport.reports.frame import LEFT_PX, RIGHT_PX, left_axis, words
from transport.reports.kind_marks import legend
from transport.reports.notation import plain
from transport.reports.verified_text import count, kinds

__all__ = ["draw"]

TOP_PX, BOTTOM_PX = 44.0, 220.0


def draw(result: Verification) -> Markup:
    """Bars for the forecast as issued, open bars for the calibrated one, a dashed line where all would be even."""
    scores = result.scores
    top = float(np.nanmax(scores["rank_count"].values, initial=1.0))
    across = Scale(0.0, float(scores.sizes["place_rank"]), LEFT_PX, RIGHT_PX)
    up = Scale(0.0, 1.12 * max(top, float(scores["rank_even_count"])), BOTTOM_PX, TOP_PX)
    even_px = up(float(scores["rank_even_count"]))
    parts = (
        group(left_axis(up, "cases")),
        *(group(_bars(scores.sel(forecast_kind=kind), kind, across, up)) for kind in kinds(scores)),
        element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=even_px, y2=even_px, class_="even"),
        element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=BOTTOM_PX, y2=BOTTOM_PX, class_="axis"),
        words("below all members", LEFT_PX, BOTTOM_PX + 20.0, class_="tick"),
        words("above all members", RIGHT_PX, BOTTOM_PX + 20.0, text_anchor="end", class_="tick"),
        words("place of the observed gust", 510.0, BOTTOM_PX + 20.0, text_anchor="middle", class_="tick"),
        group(legend(kinds(scores))),
    )
    return chart("rank-chart", "Rank histogram", _told(scores), BOTTOM_PX + 32.0, *parts)


def _bars(one: xr.Dataset, kind: str, across: Scale, up: Scale) -> Iterator[Markup]:
    narrow = 0.12 if kind == "raw" else 0.3
    for number, cases in enumerate(one["rank_count"].values):
        if np.isfinite(cases):
            left, right = across(number + narrow), across(number + 1 - narrow)
            box = {"x": left, "y": up(cases), "width": right - left, "height": BOTTOM_PX - up(cases)}
            yield element("rect", element("title", f"{count(cases)} cases"), **box, class_=f"rank {kind}")


def _told(scores: xr.Dataset) -> str:
    even = plain(float(scores["rank_even_count"]), 3)
    ends = (f"{kind}: {count(row[0])} below all, {count(row[-1])} above all" for kind, row in _rows(scores))
    return f"{'; '.join(ends)}; even would be {even} in each place."


def _rows(scores: xr.Dataset) -> Iterator[tuple[str, np.ndarray]]:
    for kind in kinds(scores):
        yield kind, scores["rank_count"].sel(forecast_kind=kind).values
