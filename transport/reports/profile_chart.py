"""Chart 2: the road: height, grade, stretches, hold points, and where the limits are lowest."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import xarray as xr
from markupsafe import Markup

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports.drawing import Scale, band_path, chart, element, group, pooled, spans, step_path
from transport.reports.frame import LEFT_PX, RIGHT_PX, bottom_axis, left_axis, words
from transport.reports.notation import down, gust, one_line, place
from transport.reports.states import least_limit, worst

__all__ = ["COLUMNS", "draw", "station_scale"]

COLUMNS = 300
NAMES_PX, HEIGHT_PX, GRADE_PX, LIMIT_PX = 40.0, (66.0, 170.0), (214.0, 284.0), (328.0, 448.0)


class Part(NamedTuple):
    """A stretch or hold point of the driver's orders."""

    kind: str
    name: str
    begin_m: float
    end_m: float


def draw(result: Assessment) -> Markup:
    """The chart, with the marker of the place that governs the start shown."""
    across = station_scale(result)
    panels = (
        group(_stretches(result, across)),
        group(_height(result.road, across)),
        group(_grade(result.road, across)),
        group(_limit(result, across)),
        group(bottom_axis(across, LIMIT_PX[1], "station, m")),
        group(_holds(result, across)),
        element("line", x1=-9.0, x2=-9.0, y1=NAMES_PX, y2=LIMIT_PX[1], id="road-marker", class_="marker worst-marker"),
    )
    return chart("profile-chart", "Road profile and gust limit", _description(result), LIMIT_PX[1] + 44.0, *panels)


def station_scale(result: Assessment) -> Scale:
    """From the first to the last station."""
    station = result.road["station"].values if "station" in result.road else np.array([0.0, 1.0])
    return Scale(float(station[0]), float(station[-1]), LEFT_PX, RIGHT_PX)


def parts(result: Assessment, kind: str) -> list[Part]:
    """Stretches or hold points, in order."""
    names = ("kind", "stretch_name", "from_station_m", "to_station_m")
    if any(name not in result.orders for name in names):
        return []
    rows = zip(*(result.orders[name].values for name in names), strict=True)
    return [Part(str(k), one_line(n), float(a), float(b)) for k, n, a, b in rows if str(k) == kind]


def _stretches(result: Assessment, across: Scale) -> Iterator[Markup]:
    for order, part in enumerate(parts(result, "stretch")):
        first, last = across(part.begin_m), across(part.end_m)
        shade = "stretch odd" if order % 2 else "stretch"
        bottom = LIMIT_PX[1] - NAMES_PX
        yield element("rect", x=first, y=NAMES_PX, width=last - first, height=bottom, class_=shade)
        name = part.name if len(part.name) * 7.6 < last - first else str(order + 1)
        yield words(name, (first + last) / 2, NAMES_PX - 8.0, text_anchor="middle", class_="tick strong")


def _height(road: xr.Dataset, across: Scale) -> Iterator[Markup]:
    edges, values = _pools(road, "elevation_m", across)
    if not np.isfinite(values).any():
        return
    low, high = float(np.nanmin(values)), float(np.nanmax(values))  # for the frame only; gaps stay gaps
    up = Scale(low, high + 0.05 * (high - low) + 1.0, HEIGHT_PX[1], HEIGHT_PX[0])
    yield from left_axis(up, "height, m", 4)
    levels = np.array([up(value) for value in values])
    yield element("path", d=band_path(edges, np.full(levels.size, HEIGHT_PX[1]), levels), class_="ground")
    yield element("path", d=step_path(edges, levels), class_="median")


def _grade(road: xr.Dataset, across: Scale) -> Iterator[Markup]:
    edges, least = _pools(road, "grade_ratio", across)
    steepest = -_pools(road, "grade_ratio", across, -1.0)[1]
    values = 100.0 * np.where(steepest >= -least, steepest, least)
    reach = 2.0 * np.ceil(max(4.0, float(np.max(np.abs(values[np.isfinite(values)]), initial=0.0))) / 2.0)
    up = Scale(-reach, reach, GRADE_PX[1], GRADE_PX[0])
    yield from left_axis(up, "grade, %, + climbs", values=(-reach, 0.0, reach))
    levels = np.array([up(value) for value in values])
    yield element("path", d=band_path(edges, np.full(levels.size, up(0.0)), levels), class_="grade")


def _limit(result: Assessment, across: Scale) -> Iterator[Markup]:
    station, limits = result.rose["station"].values, least_limit(result.rose)
    edges, values = _pools(result.rose.assign(least=("station", limits)), "least", across)
    finite = values[np.isfinite(values)]
    top = float(np.max(finite, initial=10.0)) * 1.15
    up = Scale(0.0, top, LIMIT_PX[1], LIMIT_PX[0])
    yield from left_axis(up, "least gust limit of all wind directions, m/s")
    for begin, end, kind in spans(map(_kind, values)):
        if kind:
            width = edges[end] - edges[begin]
            tall = LIMIT_PX[1] - LIMIT_PX[0]
            yield element("rect", x=edges[begin], y=LIMIT_PX[0], width=width, height=tall, class_=str(kind))
            yield words(
                kind, (edges[begin] + edges[end]) / 2, LIMIT_PX[1] - 8.0, text_anchor="middle", class_="tick strong"
            )
    yield element(
        "path", d=step_path(edges, np.array([up(value) for value in np.minimum(values, top)])), class_="limit"
    )
    yield from _lowest(station, limits, across, up)


def _lowest(station: Array, limits: Array, across: Scale, up: Scale) -> Iterator[Markup]:
    index = worst(limits)
    if not (np.isfinite(limits[index]) and limits[index] > 0):
        return
    x_px, y_px = across(float(station[index])), up(float(limits[index]))
    anchor = "end" if x_px > (LEFT_PX + RIGHT_PX) / 2 else "start"
    yield element("circle", cx=x_px, cy=y_px, r=4.5, class_="lowest")
    where = "everywhere" if limits.max() == limits.min() else f"at {place(float(station[index]))}"
    text = f"lowest: {gust(float(limits[index]))} {where}"
    yield words(text, x_px + (8.0 if anchor == "start" else -8.0), y_px + 20.0, text_anchor=anchor, class_="strong")


def _holds(result: Assessment, across: Scale) -> Iterator[Markup]:
    for order, part in enumerate(parts(result, "hold point"), start=1):
        x_px, y_px = across(part.begin_m), HEIGHT_PX[1]
        yield element("line", x1=x_px, x2=x_px, y1=HEIGHT_PX[0], y2=LIMIT_PX[1], class_="hold")
        yield element("path", d=f"M{x_px:.1f} {y_px:.1f}l-7 12h14z", class_="hold-mark")
        text = f"H{order} {part.name}"
        fits = len(text) * 7.2 < RIGHT_PX - x_px - 11.0
        yield words(text if fits else f"H{order}", x_px + 11.0, y_px + 12.0, class_="tick strong")


def _pools(data: xr.Dataset, name: str, across: Scale, sign: float = 1.0) -> tuple[Array, Array]:
    station = data["station"].values
    first, least = pooled(sign * np.asarray(data[name].values, dtype=float), COLUMNS)
    edges = [across(float(station[int(index)])) for index in first]
    return np.array([*edges, across(float(station[-1]))]), least


def _kind(limit_mps: float) -> str:
    return "unknown" if np.isnan(limit_mps) else ("closed" if limit_mps <= 0 else "")


def _description(result: Assessment) -> str:
    limits = least_limit(result.rose)
    index = worst(limits)
    where = place(float(result.rose["station"].values[index]))
    length = down(float(result.road["station"].values[-1]), 0)
    return f"Road of {length} m. The lowest gust limit is {gust(float(limits[index]))}, at {where}."
