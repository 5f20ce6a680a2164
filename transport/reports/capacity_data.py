"""Capacity and demand over the horizontal directions, read from the securing check, as parts of the weight."""

import math
import re
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports.notation import one_line

__all__ = ["CodePoint", "Curve", "Push", "code_points", "curves", "no_polar_words", "pushes", "unknown_directions"]

USABLE, LOST, UPPER = "usable", "usable after the worst loss", "upper bound, not usable"
ANGLES_DEG = {
    "forward": (0.0,),
    "to the left": (90.0,),
    "left": (90.0,),
    "rearward": (180.0,),
    "backward": (180.0,),
    "to the right": (270.0,),
    "right": (270.0,),
    "sideways": (90.0, 270.0),
}


class Curve(NamedTuple):
    """A capacity over the directions, 0 forward, 90 left; kind is usable, lost, upper or model."""

    name: str
    kind: str
    direction_deg: Array
    ratio: Array


class CodePoint(NamedTuple):
    """What a code asks for in one direction; NaN where it asks for nothing."""

    code: str
    angle_deg: float
    sliding_ratio: float
    tipping_ratio: float


class Push(NamedTuple):
    """The worst push of a load case, over the weight."""

    name: str
    ahead_ratio: float
    left_ratio: float


def no_polar_words(result: Assessment) -> str:
    """Why the polar plot is not drawn; nothing where it is."""
    check = result.checks.get("securing")
    if check is None:
        return "not drawn: there is no securing check"
    return "" if _over_directions(check, "usable_ratio") else "not drawn: usable_ratio of the securing check is missing"


def curves(check: xr.Dataset) -> list[Curve]:
    """Usable, then usable after the worst loss, the models in their order, the upper bound; those that are there."""
    order = np.argsort(check["direction"].values, kind="stable")
    direction_deg = np.asarray(check["direction"].values, dtype=float)[order]
    named = [(USABLE, "usable", "usable_ratio"), (LOST, "lost", "lost_usable_ratio")]
    made = [
        Curve(name, kind, direction_deg, _values(check[key])[order]) for name, kind, key in named if _has(check, key)
    ]
    by_model = check.get("resistance_ratio")
    if by_model is not None and set(by_model.dims) == {"model", "direction"}:
        for model, values in zip(check["model"].values, _values(by_model.transpose("model", "direction")), strict=True):
            made.append(Curve(one_line(model), "model", direction_deg, values[order]))
    if _has(check, "upper_bound_ratio"):
        made.append(Curve(UPPER, "upper", direction_deg, _values(check["upper_bound_ratio"])[order]))
    return made


def code_points(check: xr.Dataset) -> tuple[list[CodePoint], list[str]]:
    """What each code asks for, and in words the rows whose direction is not known."""
    names = ("code_name", "code_direction", "code_sliding_ratio", "code_tipping_ratio")
    if not all(name in check and check[name].dims == ("code_row",) for name in names):
        return [], []
    found, unknown = [], []
    for code, way, sliding, tipping in zip(*(check[name].values for name in names), strict=True):
        angles_deg = _angles_deg(one_line(way))
        found += [CodePoint(one_line(code), angle, float(sliding), float(tipping)) for angle in angles_deg]
        unknown += [] if angles_deg else [f"{one_line(code)}, {one_line(way)}"]
    return found, unknown


def pushes(check: xr.Dataset) -> tuple[list[Push], list[str]]:
    """Worst pushes of the load cases but the statutory, over the weight, and the names of those not known."""
    names, weight_kN = ("push_ahead_kN", "push_left_kN"), check.attrs.get("weight_kN")
    if not (all(name in check and check[name].dims == ("limit_state",) for name in names) and weight_kN):
        return [], []
    made = [
        Push(_short(one_line(name)), float(ahead) / float(weight_kN), float(left) / float(weight_kN))
        for name, ahead, left in zip(check["limit_state"].values, *(check[name].values for name in names), strict=True)
    ]
    asked = [push for push in made if push.name != "LC1"]
    known = [push for push in asked if math.isfinite(push.ahead_ratio) and math.isfinite(push.left_ratio)]
    return known, [push.name for push in asked if push not in known]


def unknown_directions(curve: Curve) -> Iterator[str]:
    """Directions in which a capacity is not known, in words."""
    for direction_deg in curve.direction_deg[np.isnan(curve.ratio)]:
        yield f"{direction_deg:g}°"


def _over_directions(check: xr.Dataset, name: str) -> bool:
    return _has(check, name) and check["direction"].size >= 3


def _has(check: xr.Dataset, name: str) -> bool:
    return name in check and check[name].dims == ("direction",) and "direction" in check.coords


def _values(data: xr.DataArray) -> Array:
    return np.asarray(data.values, dtype=float)


def _angles_deg(way: str) -> tuple[float, ...]:
    measured = re.search(r"(\d+(?:\.\d+)?)\s*(?:°|deg)", way)
    return ANGLES_DEG.get(way.lower()) or ((float(measured[1]) % 360.0,) if measured else ())


def _short(name: str) -> str:
    found = re.search(r"\((LC\d+)\)", name)
    return found[1] if found else name
