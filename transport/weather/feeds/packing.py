"""Missing values and packed numbers of a NetCDF variable: what is missing becomes NaN, never a number."""

from typing import Any

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from transport.weather.fields import Values

__all__ = ["check_attributes", "check_packing", "missing", "unpacked"]

DEFAULT_FILLS = {"f4": 9.969209968386869e36, "f8": 9.969209968386869e36, "i2": -32767, "i4": -2147483647}
NUMBERS = {"scale_factor": 1, "add_offset": 1, "valid_min": 1, "valid_max": 1, "valid_range": 2, "_FillValue": 1}
TEXTS = ("standard_name", "units", "calendar", "cell_methods", "bounds", "coordinates", "positive", "grid_mapping")


def check_attributes(variable: xr.Variable, where: str, name: str) -> None:
    """Refuse attributes that are not of their kind: a scale factor written as text would otherwise be passed over.

    Errors: InputError naming file, variable and attribute.      Source: CF conventions, appendix A (read).
    """
    for key, count in NUMBERS.items():
        value = variable.attrs.get(key)
        if value is not None and (isinstance(value, str) or len(_numbers(value)) != count):
            raise InputError(Fault(where, name, f"attribute {key} is {value!r}, allowed are {count} numbers"))
    for key in TEXTS:
        if not isinstance(variable.attrs.get(key, ""), str):
            raise InputError(Fault(where, name, f"attribute {key} is {variable.attrs[key]!r}, allowed is text"))
    scale, offset = _scale(variable)
    if not (np.isfinite(scale) and np.isfinite(offset) and scale != 0.0):
        raise InputError(Fault(where, name, f"scale_factor {scale:g} and add_offset {offset:g} make no sense"))


def _numbers(value: Any) -> list[Any]:
    return [] if value is None or isinstance(value, str) else list(np.atleast_1d(value).tolist())


def _scale(variable: xr.Variable) -> tuple[float, float]:
    scale, offset = (_numbers(variable.attrs.get(key)) for key in ("scale_factor", "add_offset"))
    return float((scale or [1.0])[0]), float((offset or [0.0])[0])


def missing(variable: xr.Variable) -> np.ndarray:
    """True where a value is a fill value (its own or the library's default) or outside its valid range.

    A variable's valid range is in packed units.      Source: CF conventions, 2.5.1 and 8.1 (read).
    """
    values, attributes = variable.to_numpy(), variable.attrs
    fills = [*_numbers(attributes.get("_FillValue")), *_numbers(attributes.get("missing_value"))]
    fills += [DEFAULT_FILLS[kind]] if (kind := values.dtype.str[1:]) in DEFAULT_FILLS else []
    absent = np.isnan(values) if values.dtype.kind == "f" else np.zeros(values.shape, dtype=bool)
    for fill in fills:
        with np.errstate(over="ignore"):
            absent |= values == (values.dtype.type(fill) if values.dtype.kind == "f" else fill)
    low, high = _valid_range(attributes)
    return absent | ~((values >= low) & (values <= high))


def _valid_range(attributes: dict[Any, Any]) -> tuple[float, float]:
    low, high = _numbers(attributes.get("valid_range")) or (-np.inf, np.inf)
    lowest, highest = _numbers(attributes.get("valid_min")), _numbers(attributes.get("valid_max"))
    return max([low, *lowest]), min([high, *highest])


def unpacked(variable: xr.Variable) -> Values:
    """The numbers themselves, NaN where missing: float32 from small integers and float32, else float64.

    value = packed scale_factor + add_offset.      Source: CF conventions, 8.1 (read).
    """
    packed = variable.to_numpy()
    small = packed.dtype.itemsize <= 2 or packed.dtype.str[1:] == "f4"
    values: Values = packed.astype(np.float32 if small else np.float64)
    if (scale_offset := _scale(variable)) != (1.0, 0.0):
        values = (values.astype(np.float64) * scale_offset[0] + scale_offset[1]).astype(values.dtype)
    values[missing(variable)] = np.nan
    return values


def check_packing(variable: xr.Variable, span: tuple[float, float] | None, where: str, name: str) -> None:
    """Refuse packed numbers that cannot say "missing", or that cannot hold the span and so may have wrapped.

    Errors: InputError naming file and variable.      Source: CF conventions, 8.1 (read).
    """
    if "_Unsigned" in variable.attrs:
        raise InputError(Fault(where, name, "attribute _Unsigned is not understood; write the variable as float32"))
    if variable.dtype.kind == "f":
        return
    if not {"_FillValue", "missing_value"} & set(variable.attrs):
        what = "packed as integers without _FillValue: a missing value would read as a number"
        raise InputError(Fault(where, name, f"{what}; write _FillValue, or float32"))
    low, high = _packed_ends(variable)
    if span is not None and not (low <= span[0] and high >= span[1]):
        what = f"packing holds only {low:g} to {high:g}: a stronger wind would have wrapped to a weaker one unseen"
        raise InputError(Fault(where, name, f"{what}; pack so that {span[0]:g} to {span[1]:g} fits, or write float32"))


def _packed_ends(variable: xr.Variable) -> tuple[float, float]:
    scale, offset = _scale(variable)
    limits = np.iinfo(variable.dtype)
    low, high = sorted((limits.min * scale + offset, limits.max * scale + offset))
    return low, high
