"""Charts for the papers, drawn as SVG whose text stays text. The only file that knows the plotting library."""

import io
from itertools import pairwise
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch, Rectangle

from shared.assessment import Assessment
from transport.reports.glyphs import shown
from transport.reports.notation import compass, down
from transport.reports.profile_chart import Part, parts
from transport.reports.rose_cells import Run, cells, levels_mps, runs
from transport.reports.states import least_limit
from transport.reports.stretches import stretch_listing
from transport.reports.strip_words import Words, fitted

__all__ = ["limit_profile", "limit_rose", "strip_map"]

STYLE: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 8.0,
    "svg.fonttype": "none",
    "svg.hashsalt": "glasshaul",
    "text.parse_math": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "path.simplify": True,
}
BLUES = ("#08306b", "#0b5a9c", "#7fb3d9", "#bfd9ee", "#e9f2f9")
RED, INK = "#D55E00", "#16191d"
STRIP_PT = 440.0


def strip_map(result: Assessment) -> str:
    """For the driver: height, hold points, and per stretch grade, bend, speed and gust limit; black on white."""
    with mpl.rc_context(STYLE):
        figure = Figure(
            figsize=(7.1, 3.3 if result.orders.sizes.get("stretch", 0) <= 10 else 2.8), layout="constrained"
        )
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=(1.0, 1.25))
        _height(above, result)
        _holds(above, result)
        _strips(below, result)
        return _svg(figure)


def limit_profile(result: Assessment) -> str:
    """Grade, and least gust limit over the directions, along the road."""
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(6.9, 3.2), layout="constrained")
        above, below = figure.subplots(2, 1, sharex=True)
        station = result.road["station"].values
        above.fill_between(station, 100.0 * result.road["grade_ratio"].values, color="#5a6470", step="mid", linewidth=0)
        above.set(ylabel="grade, %", xlim=station[[0, -1]])
        limits = least_limit(result.rose)
        below.step(
            result.rose["station"].values, np.where(np.isinf(limits), np.nan, limits), where="mid", color=RED, lw=1.6
        )
        unknown = np.isnan(limits)
        top = float(np.max(limits[np.isfinite(limits)], initial=1.0)) * 1.1
        place = result.rose["station"].values
        below.fill_between(place, 0.0, top, where=unknown, facecolor="white", edgecolor=INK, hatch="////", lw=0.5)
        if unknown.any():
            below.text(place[unknown].mean(), top / 2, "unknown", ha="center", bbox={"facecolor": "white", "lw": 0})
        below.set(ylabel="least gust limit, m/s", xlabel="station, m", ylim=(0.0, top))
        below.grid(axis="y", color="#dfe3e7")
        above.grid(axis="y", color="#dfe3e7")
        return _svg(figure)


def limit_rose(result: Assessment) -> str:
    """Least gust limit by station and wind direction; the letter names the check that governs."""
    made = cells(result)
    levels = levels_mps(made)
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(6.9, 4.2), layout="constrained")
        axes = figure.subplots()
        for run in runs(made):
            _field(axes, run, float(made.edges_m[run.begin]), float(made.edges_m[run.end]))
        shown_rows = [row for row, wind in enumerate(made.wind_from_deg) if wind % 45 == 0]
        axes.set_yticks(shown_rows, [compass(made.wind_from_deg[row]) for row in shown_rows])
        axes.set(xlabel="station, m", ylabel="wind from", xlim=made.edges_m[[0, -1]])
        axes.set_ylim(made.wind_from_deg.size - 0.5, -0.5)
        keys = [f"{down(low)} to {down(high)} m/s" for low, high in pairwise(levels)]
        boxes = [Patch(facecolor=colour, edgecolor=INK, linewidth=0.4) for colour in BLUES[: len(keys)]]
        figure.legend(
            boxes,
            keys,
            loc="outside upper center",
            ncols=5,
            frameon=False,
            fontsize=7.0,
            columnspacing=1.2,
            handlelength=1.6,
        )
        return _svg(figure)


def _field(axes: Axes, run: Run, begin_m: float, end_m: float) -> None:
    """One run of the rose: shade and letter; closed is black, unknown is hatched, no wind limit is white."""
    colours = {f"c{order}": colour for order, colour in enumerate(BLUES)} | {"closed": INK}
    hatch = "////" if run.shade == "unknown" else None
    box = (begin_m, run.wind - 0.5), end_m - begin_m, 1.0
    face = colours.get(run.shade, "white")
    axes.add_patch(Rectangle(*box, facecolor=face, edgecolor="white" if not hatch else INK, linewidth=0.3, hatch=hatch))
    ink = "white" if run.shade in {"c0", "c1", "closed"} else INK
    axes.text((begin_m + end_m) / 2, run.wind, run.letter, ha="center", va="center", fontsize=5.5, color=ink)


def _height(axes: Axes, result: Assessment) -> None:
    station, height = result.road["station"].values, result.road["elevation_m"].values
    axes.plot(station, height, color=INK, lw=1.8)
    low, high = axes.get_ylim()
    axes.fill_between(station, low, height, color="#e4e7ea", linewidth=0)
    axes.set(ylabel="height, m", ylim=(low, high + 0.25 * (high - low)), xlim=station[[0, -1]])
    axes.tick_params(axis="x", length=0)


def _holds(axes: Axes, result: Assessment) -> None:
    for order, part in enumerate(parts(result, "hold point"), start=1):
        axes.axvline(part.begin_m, color=INK, lw=1.2, ls=":")
        axes.plot(part.begin_m, 0.92, marker="v", ms=7, color=INK, transform=axes.get_xaxis_transform(), clip_on=False)
        where = (part.begin_m, 0.92)
        axes.annotate(f"H{order}", where, (6, -3), axes.get_xaxis_transform(), "offset points", fontweight="bold")


def _strips(axes: Axes, result: Assessment) -> None:
    """Rows of boxes under the profile, one box a stretch; a box is never blank."""
    names = ("no.", "speed", "steepest", "tightest bend", "gust limit")
    table = stretch_listing(result).only(*names).rows
    length = float(result.road["station"].values[-1]) or 1.0
    referred = False
    for part, texts in zip(parts(result, "stretch"), table, strict=True):
        for row, text in enumerate(texts):
            room_pt = STRIP_PT * (part.end_m - part.begin_m) / length - 3.0
            words = fitted(text, f"({texts[0]})", room_pt, row in {0, 1, 4})
            referred |= words.text == f"({texts[0]})"
            _box(axes, part, row, words)
    axes.set_yticks(range(5), ["stretch", "speed", "grade", "bend", "gust limit"])
    axes.set(ylim=(4.5, -0.5), xlabel="station, m" + ("; (n): see stretch n in the table" if referred else ""))
    axes.tick_params(axis="y", length=0)


def _box(axes: Axes, part: Part, row: int, words: Words) -> None:
    width = part.end_m - part.begin_m
    axes.add_patch(Rectangle((part.begin_m, row - 0.5), width, 1.0, facecolor="white", edgecolor=INK, linewidth=0.8))
    style: dict[str, Any] = {
        "fontsize": words.size_pt,
        "fontweight": words.weight,
        "rotation": 90.0 if words.upright else 0.0,
    }
    axes.text(part.begin_m + width / 2, row, shown(words.text), ha="center", va="center", **style)


def _svg(figure: Figure) -> str:
    text = io.StringIO()
    figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    return text.getvalue()
