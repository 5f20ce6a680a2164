"""CF variables from arranged GRIB messages, with the attributes that a CF file would carry."""

from collections.abc import Sequence

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.units import STANDARD_GRAVITY_MPS2
from transport.weather.feeds.grib.choice import Chosen
from transport.weather.feeds.grib.cube import Cube
from transport.weather.feeds.grib.facts import SINGLE
from transport.weather.feeds.grib.steps import Onto
from transport.weather.fields import Values

__all__ = ["field_variables", "fixed_variable", "member_variables", "time_variables"]

Variables = dict[str, xr.Variable]
GEOPOTENTIAL = "m2 s-2"


def time_variables(run: np.datetime64, clock_s: Sequence[int]) -> Variables:
    """Time axis, lead times and reference time of one run.

    Source: CF conventions, 4.4 (read).
    """
    seconds, units = np.array(clock_s, dtype=np.float64), _since(run)
    return {
        "time": xr.Variable(("time",), seconds, {"standard_name": "time", "units": units, "calendar": "standard"}),
        "step": xr.Variable(("time",), seconds, {"standard_name": "forecast_period", "units": "s"}),
        "run": xr.Variable((), 0.0, {"standard_name": "forecast_reference_time", "units": units}),
    }


def _since(run: np.datetime64) -> str:
    return f"seconds since {str(run).replace('T', ' ')}"


def member_variables(labels: np.ndarray) -> Variables:
    """The member axis of an ensemble; none for a single forecast.

    Source: CF standard name realization (read).
    """
    if labels.tolist() == [SINGLE]:
        return {}
    return {"number": xr.Variable(("number",), labels.astype(np.int64), {"standard_name": "realization", "units": "1"})}


def field_variables(
    item: Chosen, standard_name: str, cube: Cube, onto: Onto, values: Values, run: np.datetime64
) -> Variables:
    """A field over members and time with its height and, if it holds over ranges of time, its intervals.

    Of several ranges in one step the highest or the sum counts; a missing value in one of them makes it missing.
    Source: CF conventions, 5.7 and 7.3 (read).
    """
    name, method = item.rule.name, item.method
    attrs = {"standard_name": standard_name, "units": item.rule.units, "cell_methods": f"time: {method}"}
    beside: Variables = {}
    if item.height_m is not None:
        attrs["coordinates"] = f"height_of_{name}"
        height = {"standard_name": "height", "units": "m", "positive": "up"}
        beside[attrs["coordinates"]] = xr.Variable((), item.height_m, height)
    if method != "point":
        attrs["intervals"] = f"{name}_intervals"
        spans = {"units": _since(run), "calendar": "standard"}
        beside[attrs["intervals"]] = xr.Variable(("time", "ends"), onto.span_s.astype(np.float64), spans)
    field = _on_clock(cube, onto, values, method)
    dims = ("time", "y", "x") if cube.single else ("number", "time", "y", "x")
    return beside | {name: xr.Variable(dims, field[0] if cube.single else field, attrs)}


def _on_clock(cube: Cube, onto: Onto, values: Values, method: str) -> Values:
    field = np.full((len(cube.messages), len(onto.rows), *values.shape[1:]), np.nan, dtype=np.float32)
    for time, rows in enumerate(onto.rows):
        if rows:
            parts = values[cube.messages[:, rows]]
            field[:, time] = parts.sum(axis=1) if method == "sum" else parts.max(axis=1)
        elif method == "sum" and onto.span_s[time, 0] == onto.span_s[time, 1]:
            field[:, time] = 0.0
    return field


def fixed_variable(item: Chosen, values: Values, file: str) -> xr.Variable:
    """Height of the model's ground; a geopotential is divided by standard gravity.

    z = geopotential / g.      Errors: InputError if several messages differ.      Source: definition.
    """
    first = values[item.messages[0]]
    for other in item.messages[1:]:
        if not np.array_equal(first, values[other], equal_nan=True):
            what = "the height of the model's ground changes from one message to another; keep one"
            raise InputError(Fault(file, item.rule.name, what))
    metres = first / np.float32(STANDARD_GRAVITY_MPS2) if item.rule.units == GEOPOTENTIAL else first
    return xr.Variable(("y", "x"), metres, {"standard_name": item.rule.standard_name, "units": "m"})
