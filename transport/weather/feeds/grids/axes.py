"""The axes of a rotated or projected grid itself: x and y in metres, or its own longitude and latitude in degrees."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from transport.weather.feeds.clock import one_of
from transport.weather.feeds.grids.grid import axis_values
from transport.weather.feeds.grids.mapping import AXES
from transport.weather.feeds.raw import Raw

__all__ = ["Axis", "grid_axes"]


class Axis(NamedTuple):
    """One axis: its variable, standard name, dimension, the order that makes it rise, and its values, rising."""

    name: str
    standard_name: str
    dimension: str
    order: np.ndarray
    values: Array


def grid_axes(raw: Raw) -> tuple[Axis, Axis] | None:
    """The grid's own x and y; None if the file has not both.

    Errors: InputError for an axis with a missing or repeated value, or of more than one dimension.
    Source: CF conventions, 5.6 and appendix F (read).
    """
    for names in AXES:
        x, y = (one_of(raw, standard_name) for standard_name in names)
        if x is not None and y is not None:
            return _axis(raw, x), _axis(raw, y)
    return None


def _axis(raw: Raw, name: str) -> Axis:
    variable = raw.variables[name]
    if variable.ndim != 1 or variable.size < 2:
        raise InputError(Fault(raw.file, name, f"has shape {variable.shape}; needs one dimension of at least 2 values"))
    values = axis_values(raw, name)
    order = np.argsort(values, kind="stable")
    if not (np.diff(values[order]) > 0.0).all():
        raise InputError(Fault(raw.file, name, "has a missing or repeated value; correct the file"))
    return Axis(name, str(variable.attrs["standard_name"]), str(variable.dims[0]), order, values[order])
