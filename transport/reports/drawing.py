"""SVG by our own hand: elements, scales, ticks and step lines. All text is escaped, no attribute carries a style."""

import math
from collections.abc import Iterable, Iterator
from itertools import groupby, pairwise
from typing import NamedTuple

import numpy as np
from markupsafe import Markup, escape

from shared.arrays import Array

__all__ = ["Scale", "band_path", "chart", "element", "group", "pooled", "spans", "step_path", "ticks"]

WIDTH_PX = 960.0


class Scale(NamedTuple):
    """A straight scale from values to pixels."""

    low: float
    high: float
    first_px: float
    last_px: float

    def __call__(self, value: float) -> float:
        """The pixel of a value."""
        span = self.high - self.low
        return self.first_px + (value - self.low) / (span or 1.0) * (self.last_px - self.first_px)


def element(tag: str, *children: object, **attributes: object) -> Markup:
    """One element; `class_` becomes class and `stroke_width` stroke-width; children that are not Markup are escaped."""
    named = ((name.rstrip("_").replace("_", "-"), value) for name, value in attributes.items() if value is not None)
    written = "".join(f' {name}="{escape(_short(value))}"' for name, value in named)
    inner = "".join(str(escape(child)) for child in children)
    return Markup(f"<{tag}{written}>{inner}</{tag}>" if inner else f"<{tag}{written}/>")  # noqa: S704  escaped above


def group(parts: Iterable[Markup], **attributes: object) -> Markup:
    """Elements in a group."""
    return element("g", *parts, **attributes)


def chart(name: str, title: str, description: str, height_px: float, *parts: Markup) -> Markup:
    """A whole drawing with its title and description for readers that do not see."""
    head = (element("title", title, id=f"{name}-title"), element("desc", description, id=f"{name}-desc"))
    labels = f"{name}-title {name}-desc"
    box = f"0 0 {WIDTH_PX:.0f} {height_px:.0f}"
    return element("svg", *head, *parts, id=name, viewBox=box, role="img", aria_labelledby=labels)


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round values between low and high: steps of 1, 2 or 5 times a power of ten."""
    rough = (high - low) / most
    if not (math.isfinite(rough) and rough > 0):
        return [low] if math.isfinite(low) else []
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * (1 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    return [round(number * step, 9) for number in range(first, math.floor(high / step + 1e-9) + 1)]


def spans(values: Iterable[object]) -> Iterator[tuple[int, int, object]]:
    """Runs of equal neighbours: first index, index after the last, value."""
    begin = 0
    for value, run in groupby(values):
        end = begin + len(list(run))
        yield begin, end, value
        begin = end


def step_path(edges_px: Array, levels_px: Array) -> str:
    """A line of steps: level i holds from edge i to edge i + 1; gaps where a level is not finite."""
    runs = (run for *run, known in spans(np.isfinite(levels_px)) if known)
    return "".join("M" + _steps(edges_px[begin : end + 1], levels_px[begin:end]) for begin, end in runs)


def band_path(edges_px: Array, low_px: Array, high_px: Array) -> str:
    """The area of steps between two levels; gaps where either is not finite."""
    parts = []
    for begin, end, known in spans(np.isfinite(low_px + high_px)):
        if known:
            edges = edges_px[begin : end + 1]
            there, back = _steps(edges, high_px[begin:end]), _steps(edges[::-1], low_px[begin:end][::-1])
            parts.append(f"M{there}L{back}Z")
    return "".join(parts)


def pooled(values: Array, columns: int) -> tuple[Array, Array]:
    """First index and least value of each of at most `columns` equal pools; unknown where any value is unknown."""
    edges = np.unique(np.linspace(0, values.size, min(columns, values.size) + 1).round().astype(int))
    least = np.array([np.min(values[begin:end]) for begin, end in pairwise(edges)])
    return edges[:-1].astype(float), least


def _steps(edges_px: Array, levels_px: Array) -> str:
    rest = (f"V{level:.1f}H{edge:.1f}" for edge, level in zip(edges_px[2:], levels_px[1:], strict=True))
    return f"{edges_px[0]:.1f} {levels_px[0]:.1f}H{edges_px[1]:.1f}" + "".join(rest)


def _short(value: object) -> str:
    return f"{value:.1f}".removesuffix(".0") if isinstance(value, float | np.floating) else str(value)
