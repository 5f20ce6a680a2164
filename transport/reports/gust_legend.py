"""The legend of the gust chart: what its lines are under the rule and the members of this move."""

from collections.abc import Iterator

from markupsafe import Markup

from shared.assessment import Assessment
from transport.reports.drawing import element
from transport.reports.frame import LEFT_PX, RIGHT_PX, words
from transport.reports.gust_marks import dot, opinion_class
from transport.reports.masthead import by_factor, factor_ratio
from transport.reports.notation import cut, one_line
from transport.reports.start_strip import DARK
from transport.reports.starts import starts

__all__ = ["draw", "draw_others", "others_px"]

SIGN_PX, KEY_PX, GAP_PX = 7.0, 34.0, 22.0
ROW_PX, NAME_COUNT = 20.0, 60


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


def draw_others(result: Assessment, top_px: float) -> Iterator[Markup]:
    """Keys of the second opinions and instruments, one a row below the chart."""
    y_px = top_px + ROW_PX / 2.0
    for number, data in enumerate(result.opinions):
        yield element("line", x1=LEFT_PX, x2=LEFT_PX + 26.0, y1=y_px, y2=y_px, class_=opinion_class(number))
        text = f"second opinion {_name(data.attrs['file'])}, highest member at that place"
        yield words(text, LEFT_PX + KEY_PX, y_px + 4.0, class_="tick")
        y_px += ROW_PX
    for number, data in enumerate(result.observations):
        yield dot(number, LEFT_PX + 13.0, y_px)
        text = f"gust observed at {_name(data.attrs['station'] or data.attrs['file'])}, at the instrument"
        yield words(text, LEFT_PX + KEY_PX, y_px + 4.0, class_="tick")
        y_px += ROW_PX


def others_px(result: Assessment) -> float:
    """Height of the keys below the chart."""
    return ROW_PX * (len(result.opinions) + len(result.observations))


def _name(text: object) -> str:
    return cut(one_line(text), NAME_COUNT)


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
