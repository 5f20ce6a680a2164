"""The bar of the starts under the gust: height and word tell the verdict, a short name what governs."""

from collections.abc import Iterator
from itertools import pairwise
from typing import cast

from markupsafe import Markup

from transport.reports.drawing import Scale, element, spans
from transport.reports.frame import LEFT_PX, seconds, words
from transport.reports.starts import Start

__all__ = ["DARK", "draw", "shades", "spacing_s"]

DARK = "daylight"
HEIGHTS_PX = {"go": 34.0, "no-go": 14.0, "undecided": 24.0}
SHORT = {DARK: "night", "dew margin": "dew", "own gust limit": "own limit"}
SIGN_PX = 7.0


def draw(rows: tuple[Start, ...], across: Scale, bottom_px: float) -> Iterator[Markup]:
    """The pieces of the bar, each with what governs it where there is room, and the verdicts above them."""
    yield words("starts", 8.0, bottom_px - 12.0, class_="axis-title")
    edges = _edges(rows, across)
    for begin, end, pair in spans((row.verdict, row.governed_by) for row in rows):
        verdict, governed_by = cast(tuple[str, str], pair)
        height = HEIGHTS_PX.get(verdict, 24.0)
        box = {"x": edges[begin], "y": bottom_px - height, "width": edges[end] - edges[begin], "height": height}
        yield element("rect", element("title", f"{verdict}: {governed_by}"), **box, class_=f"start {verdict}")
        name, top_px = SHORT.get(governed_by, governed_by), bottom_px - height - 4.0
        yield from _named(name, edges[begin], edges[end], top_px, "tick")
    for begin, end, word in spans(row.verdict for row in rows):
        top_px = bottom_px - HEIGHTS_PX.get(str(word), 24.0) - 17.0
        yield from _named(str(word), edges[begin], edges[end], top_px, "tick strong")


def shades(rows: tuple[Start, ...], across: Scale, top_px: float, bottom_px: float) -> Iterator[Markup]:
    """The hours whose starts daylight closes."""
    edges = _edges(rows, across)
    for begin, end, dark in spans(row.governed_by == DARK for row in rows):
        if dark:
            box = {"x": edges[begin], "y": top_px, "width": edges[end] - edges[begin], "height": bottom_px - top_px}
            yield element("rect", **box, class_="dark")


def spacing_s(rows: tuple[Start, ...]) -> float:
    """From one start to the next."""
    return min((seconds(b.start) - seconds(a.start) for a, b in pairwise(rows)), default=600.0)


def _edges(rows: tuple[Start, ...], across: Scale) -> list[float]:
    last_px = across(seconds(rows[-1].start) + spacing_s(rows)) if rows else LEFT_PX
    return [*(across(seconds(row.start)) for row in rows), last_px]


def _named(name: str, begin_px: float, end_px: float, y_px: float, kind: str) -> Iterator[Markup]:
    if SIGN_PX * len(name) < end_px - begin_px:
        yield words(name, (begin_px + end_px) / 2, y_px, text_anchor="middle", class_=kind)
