"""The gust at the load over time: band of the members at the worst place of the road, second opinions, instruments."""

from collections.abc import Iterator

import numpy as np
from markupsafe import Markup

from shared.arrays import Array
from shared.assessment import Ahead
from transport.reports.drawing import Scale, band_path, chart, element, group, spans, step_path
from transport.reports.frame import LEFT_PX, RIGHT_PX, left_axis, seconds, time_axis, words
from transport.reports.gust_marks import dot, dots, observed_mps, observed_s, opinion_class, opinion_lines
from transport.reports.masthead import local_zone
from transport.reports.notation import cut, offset_name, one_line

__all__ = ["draw"]

TOP_PX, BOTTOM_PX, LEGEND_PX, ROW_PX, NAME_COUNT = 34.0, 300.0, 372.0, 22.0, 40


def draw(ahead: Ahead) -> Markup:
    """The chart with its legend below; steps that are not known stay hatched."""
    edges_s, zone = _edges_s(ahead), local_zone(ahead)
    across = Scale(min([edges_s[0], *observed_s(ahead)]), edges_s[-1], LEFT_PX, RIGHT_PX)
    levels = [_level(ahead, name) for name in ("low", "median", "high")]
    opinions = [np.asarray(one.values, dtype=float) for one in ahead.disagreement["opinion_gust_high_mps"]]
    tops = [values[np.isfinite(values)] for values in (*levels, *opinions, *observed_mps(ahead))]
    top_mps = max([5.0, *(float(values.max()) for values in tops if values.size)])
    up = Scale(0.0, top_mps * 1.1, BOTTOM_PX, TOP_PX)
    now_s, clock = seconds(ahead.provenance.as_of), offset_name(zone, ahead.provenance.as_of)
    rows = list(_rows(ahead))
    parts = (
        group(left_axis(up, "gust at the load, m/s")),
        group(_band(edges_s, levels, across, up)),
        group(opinion_lines(edges_s, opinions, across, up)),
        group(dots(ahead, across, up)),
        group(_now(now_s, across)),
        group(time_axis(across, BOTTOM_PX, zone, f"local time, {clock}")),
        group(part for number, row in enumerate(rows) for part in _key(row, LEGEND_PX + ROW_PX * number)),
    )
    height_px = LEGEND_PX + ROW_PX * len(rows)
    return chart("weather-chart", "Gust at the load", _description(levels[2]), height_px, *parts)


def _edges_s(ahead: Ahead) -> Array:
    starts, ends = (
        ahead.forecast[name].values.astype("datetime64[s]").astype(float) for name in ("time_start", "time")
    )
    return np.concatenate((starts[:1], ends))


def _level(ahead: Ahead, name: str) -> Array:
    return np.asarray(ahead.disagreement[f"road_gust_{name}_mps"].values, dtype=float)


def _band(edges_s: Array, levels: list[Array], across: Scale, up: Scale) -> Iterator[Markup]:
    edges = np.array([across(value) for value in edges_s])
    low, median, high = (np.array([up(value) for value in level]) for level in levels)
    yield element("path", d=band_path(edges, low, high), class_="band")
    yield element("path", d=step_path(edges, median), class_="median")
    for begin, end, unknown in spans(np.isnan(levels[2])):
        if unknown:
            width, height = edges[end] - edges[begin], BOTTOM_PX - TOP_PX
            yield element("rect", x=edges[begin], y=TOP_PX, width=width, height=height, class_="unknown")


def _now(now_s: float, across: Scale) -> Iterator[Markup]:
    if across.low <= now_s <= across.high:
        x_px = across(now_s)
        yield element("line", x1=x_px, x2=x_px, y1=TOP_PX, y2=BOTTOM_PX, class_="hold")
        yield words("now", x_px + 4.0, TOP_PX + 12.0, class_="tick")


def _rows(ahead: Ahead) -> Iterator[tuple[str, str]]:
    """Sign and words of each line of the legend."""
    if ahead.forecast.sizes.get("realization", 0) > 1:
        yield "band", "forecast, lowest to highest member, each step at the worst place of the road"
        yield "median", "forecast, median member"
    else:
        yield "median", "forecast, each step at the worst place of the road"
    for number, data in enumerate(ahead.opinions):
        yield (
            opinion_class(number),
            f"second opinion {_name(data.attrs['file'])}, highest member, worst place of the road",
        )
    for number, data in enumerate(ahead.observations):
        name = _name(data.attrs["station"] or data.attrs["file"])
        yield f"dot {number}", f"gust observed at {name}, at the instrument"


def _name(text: object) -> str:
    return cut(one_line(text), NAME_COUNT)


def _key(row: tuple[str, str], y_px: float) -> Iterator[Markup]:
    sign, text = row
    if sign.startswith("dot"):
        yield dot(int(sign.split()[1]), LEFT_PX + 13.0, y_px)
    elif sign == "band":
        yield element("rect", x=LEFT_PX, y=y_px - 6.0, width=26.0, height=12.0, class_="band")
    else:
        yield element("line", x1=LEFT_PX, x2=LEFT_PX + 26.0, y1=y_px, y2=y_px, class_=sign)
    yield words(text, LEFT_PX + 36.0, y_px + 4.0, class_="tick")


def _description(high_mps: Array) -> str:
    known = high_mps[np.isfinite(high_mps)]
    if not known.size:
        return "No gust is known. The table by hour holds every value."
    return f"Highest gust {known.max():.1f} m/s. The table by hour holds every value."
