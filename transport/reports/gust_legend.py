"""The legend of the gust chart: what its lines are under the rule and the members of this move."""

from collections.abc import Iterator

from markupsafe import Markup

from shared.assessment import Assessment
from transport.reports.drawing import element
from transport.reports.frame import RIGHT_PX, words
from transport.reports.masthead import by_factor, factor_ratio
from transport.reports.start_strip import DARK
from transport.reports.starts import starts

__all__ = ["draw"]

SIGN_PX, KEY_PX, GAP_PX = 7.0, 34.0, 22.0


def draw(result: Assessment) -> Iterator[Markup]:
    """Keys in a row that ends at the right edge."""
    keys = list(_keys(result))
    x_px = RIGHT_PX - sum(KEY_PX + SIGN_PX * len(text) + GAP_PX for _, text in keys) + GAP_PX
    for kind, text in keys:
        if kind in {"band", "dark"}:
            yield element("rect", x=x_px, y=12.0, width=26.0, height=12.0, class_=kind)
        else:
            yield element("line", x1=x_px, x2=x_px + 26.0, y1=18.0, y2=18.0, class_=kind)
        yield words(text, x_px + KEY_PX, 22.0, class_="tick")
        x_px += KEY_PX + SIGN_PX * len(text) + GAP_PX


def _keys(result: Assessment) -> Iterator[tuple[str, str]]:
    factor = factor_ratio(result)
    if any(row.governed_by == DARK for row in starts(result)):
        yield "dark", "starts closed by daylight"
    if result.forecast.sizes.get("realization", 0) > 1:
        yield "band", "lowest to highest member"
        yield "median", "median member"
    else:
        yield "median", "forecast"
    whole = "fitted part of the limit at that place" if by_factor(result) else "limit at that place"
    yield "limit", whole if factor is None else f"{factor} of the limit at that place"
