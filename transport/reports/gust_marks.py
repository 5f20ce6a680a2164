"""Second opinions and instruments in the gust chart: lines told apart by their dashes, dots by their shape."""

from collections.abc import Iterator, Sequence

import numpy as np
from markupsafe import Markup

from shared.arrays import Array
from shared.assessment import Ahead, Assessment
from transport.reports.drawing import Scale, element, step_path

__all__ = ["dot", "dots", "observed_mps", "observed_s", "opinion_class", "opinion_lines"]

DASHES_COUNT = 3
SHAPES = ("M{x} {t}L{r} {y}L{x} {b}L{l} {y}Z", "M{l} {t}H{r}V{b}H{l}Z", "M{x} {t}L{r} {b}H{l}Z")
HALF_PX = 4.0


def opinion_class(number: int) -> str:
    """Class of the line of one second opinion, which sets its dashes."""
    return f"opinion opinion-{number % DASHES_COUNT}"


def opinion_lines(edges_s: Array, levels_mps: Sequence[Array], across: Scale, up: Scale) -> Iterator[Markup]:
    """The highest member of each second opinion, a step for each hour that it knows."""
    edges = np.array([across(value) for value in edges_s])
    for number, level in enumerate(levels_mps):
        if path := step_path(edges, np.array([up(value) for value in level])):
            yield element("path", d=path, class_=opinion_class(number))


def dots(result: Assessment | Ahead, across: Scale, up: Scale) -> Iterator[Markup]:
    """Each observed gust at its time."""
    for number, data in enumerate(result.observations):
        times = data["time"].values.astype("datetime64[s]").astype(float)
        for time_s, gust_mps in zip(times, data["observed_gust_mps"].values, strict=True):
            if np.isfinite(gust_mps):
                yield dot(number, across(float(time_s)), up(float(gust_mps)))


def dot(number: int, x_px: float, y_px: float) -> Markup:
    """The sign of one instrument: diamond, square or triangle."""
    edges = {"x": x_px, "y": y_px, "l": x_px - HALF_PX, "r": x_px + HALF_PX, "t": y_px - HALF_PX, "b": y_px + HALF_PX}
    path = SHAPES[number % len(SHAPES)].format(**{name: f"{value:.1f}" for name, value in edges.items()})
    return element("path", d=path, class_="observed")


def observed_mps(result: Assessment | Ahead) -> list[Array]:
    """The observed gusts of each instrument."""
    return [np.asarray(data["observed_gust_mps"].values, dtype=float) for data in result.observations]


def observed_s(result: Assessment | Ahead) -> list[float]:
    """The first time of each instrument, where it has one."""
    times = [data["time"].values.astype("datetime64[s]").astype(float) for data in result.observations]
    return [float(one[0]) for one in times if one.size]
