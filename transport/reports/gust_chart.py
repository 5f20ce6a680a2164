"""Chart 1: the band of the gust against its limit, other sources of weather, and the starts, along one time axis."""

from collections.abc import Iterator

import numpy as np
from markupsafe import Markup

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports import gust_legend, gust_marks, start_strip
from transport.reports.band import Band, band, opinions_mps
from transport.reports.drawing import Scale, band_path, chart, element, group, spans, step_path
from transport.reports.frame import LEFT_PX, RIGHT_PX, left_axis, seconds, time_axis, words
from transport.reports.masthead import local_zone
from transport.reports.notation import offset_name
from transport.reports.starts import starts

__all__ = ["draw", "time_scale"]

TOP_PX, BOTTOM_PX, STRIP_PX, FOOT_PX = 52.0, 282.0, 346.0, 62.0


def draw(result: Assessment) -> Markup:
    """The chart, with the marker of the first start shown."""
    zone, across = local_zone(result), time_scale(result)
    shown = band(result, across.low, across.high)
    opinions = opinions_mps(result, across.low, across.high)
    tops = [values[np.isfinite(values)] for values in (*shown[1:], *opinions, *gust_marks.observed_mps(result))]
    top_mps = max([5.0, *(float(values.max()) for values in tops if values.size)])
    up = Scale(0.0, top_mps * 1.12, BOTTOM_PX, TOP_PX)
    title = f"local time, {offset_name(zone, result.provenance.as_of)}"
    parts = (
        group(start_strip.shades(starts(result), across, TOP_PX, BOTTOM_PX)),
        group(left_axis(up, "gust at the load, m/s")),
        group(_curves(shown, across, up)),
        group(gust_marks.opinion_lines(shown.edges_s, opinions, across, up)),
        group(gust_marks.dots(result, across, up)),
        group(start_strip.draw(starts(result), across, STRIP_PX)),
        group(time_axis(across, STRIP_PX, zone, title)),
        group(gust_legend.draw(result)),
        group(gust_legend.draw_others(result, STRIP_PX + FOOT_PX)),
        group(_markers(), id="gust-markers"),
    )
    height_px = STRIP_PX + FOOT_PX + gust_legend.others_px(result)
    return chart("gust-chart", "Gust against its limit", _description(shown), height_px, *parts)


def time_scale(result: Assessment) -> Scale:
    """From the first start, or the first observation, to the end of the last operation."""
    rows = starts(result)
    if not rows:
        return Scale(0.0, 1.0, LEFT_PX, RIGHT_PX)
    ends = [seconds(opening.closes) for opening in result.openings] + [seconds(row.time) for row in rows if row.time]
    first, last = seconds(rows[0].start), seconds(rows[-1].start) + start_strip.spacing_s(rows)
    return Scale(min([first, *gust_marks.observed_s(result)]), max([last, *ends]), LEFT_PX, RIGHT_PX)


def _curves(band: Band, across: Scale, up: Scale) -> Iterator[Markup]:
    edges = np.array([across(value) for value in band.edges_s])

    def level(values: Array) -> Array:
        return np.array([up(value) for value in values])

    yield element("path", d=band_path(edges, level(band.low_mps), level(band.high_mps)), class_="band")
    yield element("path", d=step_path(edges, level(band.median_mps)), class_="median")
    yield element("path", d=step_path(edges, level(band.limit_mps)), class_="limit")
    for begin, end, unknown in spans(np.isnan(band.high_mps + band.limit_mps)):
        if unknown:
            width = edges[end] - edges[begin]
            yield element("rect", x=edges[begin], y=TOP_PX, width=width, height=BOTTOM_PX - TOP_PX, class_="unknown")
    if not edges.size:
        yield words("no forecast to show", (LEFT_PX + RIGHT_PX) / 2, (TOP_PX + BOTTOM_PX) / 2, text_anchor="middle")


def _markers() -> Iterator[Markup]:
    for name in ("start-marker", "worst-marker"):
        yield element("line", x1=-9.0, x2=-9.0, y1=TOP_PX, y2=STRIP_PX, id=name, class_=f"marker {name}")


def _description(band: Band) -> str:
    known = band.high_mps[np.isfinite(band.high_mps)]
    if not known.size:
        return "No forecast to show. The table of starts holds every value."
    return f"Highest gust in the band {known.max():.1f} m/s. The table of starts holds every value."
