"""What a check of the securing holds, picked out of its Dataset; what is not there is named, never guessed."""

import json
import re

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.vocabulary import VOCABULARY
from transport.reports.notation import one_line

__all__ = ["case_name", "lacking", "names_of", "scalar", "table", "text_table", "told", "words_of"]

TOLD = ("remarks", "findings")


def table(check: xr.Dataset, name: str, *dims: str) -> Array | None:
    """The numbers of a variable with the dimensions in this order; None where it is not there or has others."""
    values = check.get(name)
    if values is None or set(values.dims) != set(dims):
        return None
    return np.asarray(values.transpose(*dims).values, dtype=float)


def text_table(check: xr.Dataset, name: str, dim: str) -> list[str] | None:
    """The texts of a variable; None where it is not there."""
    values = check.get(name)
    return None if values is None or values.dims != (dim,) else [one_line(value) for value in values.values]


def names_of(check: xr.Dataset, dim: str) -> list[str]:
    """The names along a dimension, none where it has none."""
    return [one_line(name) for name in check[dim].values] if dim in check.coords else []


def scalar(check: xr.Dataset, name: str) -> float:
    """A number of the whole check, from its variables or attributes; unknown where it is not there."""
    value = check[name].values if name in check and not check[name].dims else check.attrs.get(name, np.nan)
    return float(value)


def case_name(state: str) -> str:
    """The short name of a load case, LC1 to LC4, or the whole name."""
    found = re.search(r"\((LC\d+)\)", state)
    return found[1] if found else state


def words_of(name: str) -> str:
    """A variable in words."""
    return VOCABULARY[name].long_name if name in VOCABULARY else name.replace("_", " ")


def told(check: xr.Dataset) -> tuple[str, ...]:
    """What the check itself remarks and finds."""
    return tuple(one_line(line) for name in TOLD for line in json.loads(check.attrs.get(name, "[]")))


def lacking(check: xr.Dataset, *names: str) -> tuple[str, ...]:
    """One sentence that names what this result does not hold, none where it holds all."""
    gone = [words_of(name) for name in names if name not in check and name not in check.attrs]
    return (f"Not in this result, and so not checked here: {'; '.join(gone)}.",) if gone else ()
