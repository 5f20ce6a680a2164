"""How far the unit slides under each load case and in each direction of the codes, against what it may: tables."""

import numpy as np
import xarray as xr

from transport.reports.lashing import case_name, names_of, scalar, table, text_table
from transport.reports.listings import Listing
from transport.reports.notation import UNKNOWN, down, up
from transport.reports.states import worst

__all__ = ["code_slide_listing", "movement_listing", "slide_sentence"]


def movement_listing(check: xr.Dataset) -> Listing:
    """How far the unit slides under the worst push of each load case, against what it may."""
    columns = ("load case", "slides, mm", "allowed, mm", "within")
    values = table(check, "movement_m", "limit_state")
    if values is None:
        return Listing("", columns, ())
    allowed_m = scalar(check, "allowed_movement_m")
    rows = tuple(
        (name, up(1000.0 * value, 1), down(1000.0 * allowed_m), _within(value, allowed_m))
        for name, value in zip(names_of(check, "limit_state"), values, strict=True)
    )
    note = "0: friction or stops hold the worst push before any slide."
    return Listing("Movement under the worst push", columns, rows, frozenset(range(4)), note)


def code_slide_listing(check: xr.Dataset) -> Listing:
    """How far the unit slides in each direction of the codes: 0 at a stop that holds alone, else by the chains."""
    columns = ("code", "towards", "stop needs", "stop bears", "slides, mm", "chains alone, mm", "allowed, mm", "within")
    slides = _code_slides(check)
    if not slides:
        return Listing("", columns, ())
    allowed_m = scalar(check, "allowed_movement_m")
    rows = tuple(
        (
            *names,
            up(max(needed_kN, 0.0), 1),
            down(stop_kN),
            _slide_mm(slide_m),
            _slide_mm(alone_m),
            down(1000.0 * allowed_m),
            _within(slide_m, allowed_m),
        )
        for names, needed_kN, stop_kN, slide_m, alone_m in slides
    )
    title, note = "Movement by the codes in each direction, stops in kN", "A keyed stop has no gap: shim it."
    return Listing(title, columns, rows, frozenset(range(1, len(columns))), note)


def _slide_mm(value_m: float) -> str:
    return "without end" if np.isposinf(value_m) else up(1000.0 * value_m, 1)


def _code_slides(check: xr.Dataset) -> list[tuple[tuple[str, str], float, float, float, float]]:
    """Code and direction, force needed and borne by stops, slide with stops, and by the chains alone."""
    texts = [text_table(check, f"code_{name}", "code_row") for name in ("name", "direction")]
    tables = [table(check, f"code_{name}", "code_row") for name in ("stop_needed_kN", "stop_kN", "slide_m")]
    if any(each is None for each in (*texts, *tables)):
        return []
    found = []
    for name, towards, needed_kN, stop_kN, alone_m in zip(*texts, *tables, strict=True):
        slide_m = 0.0 if needed_kN <= max(stop_kN, 0.0) else alone_m
        found.append(((name, towards), float(needed_kN), float(stop_kN), float(slide_m), float(alone_m)))
    return found


def slide_sentence(check: xr.Dataset) -> str:
    """The greatest slide of all load cases and of all directions that the codes ask for, in one sentence."""
    values = table(check, "movement_m", "limit_state")
    if values is None or not values.size:
        return "Movement under the worst push is not in this result."
    named = [
        (case_name(name), float(value)) for name, value in zip(names_of(check, "limit_state"), values, strict=True)
    ]
    named += [(" ".join(names), slide_m) for names, _, _, slide_m, _ in _code_slides(check)]
    order = worst(-np.array([slide_m for _, slide_m in named]))
    name, slide_m = named[order]
    allowed_m = scalar(check, "allowed_movement_m")
    slides = _slide_mm(slide_m) + ("" if np.isposinf(slide_m) else " mm")
    within = {"yes": "within it", "NO": "more than allowed"}.get(
        _within(slide_m, allowed_m), "not known to be within it"
    )
    return f"Greatest slide: {slides}, {name}; allowed {down(1000.0 * allowed_m)} mm, {within}."


def _within(value_m: float, allowed_m: float) -> str:
    if np.isnan(value_m) or np.isnan(allowed_m):
        return UNKNOWN
    return "yes" if value_m <= allowed_m else "NO"
