"""Every number of a check as one plain object: variables with their dimensions and units, and the calculation lines."""

from dataclasses import asdict
from typing import Any

import numpy as np
import xarray as xr

from shared.calculation import lines_of
from transport.reports.notation import one_line

__all__ = ["numbers_of"]

ALONG_THE_ROAD = "station"


def numbers_of(check: xr.Dataset) -> dict[str, Any]:
    """Coordinates, variables, attributes and calculation lines; values along the road stay in assessment.nc."""
    kept = [name for name in check.data_vars if ALONG_THE_ROAD not in check[name].dims]
    dims = {dim for name in kept for dim in check[name].dims}
    axes = [name for name in check.coords if name in dims]
    return {
        "coordinates": {str(name): _plain(check[name]) for name in axes},
        "variables": {str(name): _variable(check[name]) for name in kept},
        "attributes": {str(name): _number(value) for name, value in check.attrs.items() if name != "calculation"},
        "calculation": [asdict(line) for line in lines_of(check)],
    }


def _variable(values: xr.DataArray) -> dict[str, Any]:
    named = {key: values.attrs[key] for key in ("units", "long_name") if key in values.attrs}
    return {"dims": [str(dim) for dim in values.dims], "values": _plain(values), **named}


def _plain(values: xr.DataArray) -> Any:
    is_number = values.dtype.kind in "fiub"
    return _number((values.values if is_number else values.values.astype(str)).tolist())


def _number(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return [_number(one) for one in value]
    if isinstance(value, np.generic):
        return _number(value.item())
    return value if isinstance(value, bool | int | float) else one_line(value)
