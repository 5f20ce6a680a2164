"""Which variables of a file are wanted, and which part of them lies around the road.

Belongs to the reading scripts that run by themselves in a child process: imports nothing of ours. Where the axes are
not plain, all of a file is taken, so that what is wrong with them is found as if there were no box.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping

import numpy as np
import xarray as xr

__all__ = ["RefusedError", "bare", "check_size", "chosen", "cut", "parts_around", "pieces"]

Parts = dict[str, list[slice]]
Box = tuple[float, ...]

CELLS = 2
EVEN_RATIO = 1.1
CHANGES = ("scale_factor", "add_offset", "missing_value", "valid_min", "valid_max", "valid_range", "_Unsigned")


class RefusedError(Exception):
    """The file is refused before memory is taken."""


def chosen(variables: Mapping[str, xr.Variable], wanted: Iterable[str]) -> list[str]:
    """The numbers with a wanted standard name, and those that they name as bounds or coordinates, or stand on."""
    names = set(wanted)
    named = {name for name, variable in variables.items() if variable.attrs.get("standard_name") in names}
    seen: set[str] = set()
    while left := named - seen:
        seen |= left
        named |= {other for name in left for other in _companions(variables[name]) if other in variables}
    return sorted(name for name in seen if variables[name].dtype.kind in "iuf")


def _companions(variable: xr.Variable) -> Iterator[str]:
    for key in ("coordinates", "bounds"):
        text = variable.attrs.get(key)
        yield from text.split() if isinstance(text, str) else ()
    mapping = variable.attrs.get("grid_mapping")
    yield from (word.removesuffix(":") for word in mapping.split()) if isinstance(mapping, str) else ()
    yield from (str(dimension) for dimension in variable.dims)


def bare(variable: xr.Variable) -> xr.Variable:
    """A grid mapping holds attributes only; its one value may be text and is not read."""
    return xr.Variable((), np.int8(0), variable.attrs) if "grid_mapping_name" in variable.attrs else variable


def check_size(variables: Iterable[xr.Variable], parts: Parts, size_limit_bytes: int) -> None:
    """Refuse, by what the header declares, more data than allowed in the part that is taken.

    Errors: RefusedError.
    """
    size_bytes = sum(_size_bytes(variable, parts) for variable in variables)
    if size_bytes > size_limit_bytes:
        where = "data around the road" if parts else "data"
        remedy = (
            "take fewer members, a shorter time or a coarser grid"
            if parts
            else "cut it to the road and two grid cells around it"
        )
        raise RefusedError(
            f"declares {size_bytes / 1e6:.0f} MB of {where}, allowed are {size_limit_bytes / 1e6:.0f} MB; {remedy}"
        )


def _size_bytes(variable: xr.Variable, parts: Parts) -> int:
    counts = (
        sum(len(range(*run.indices(size))) for run in parts.get(str(dim), [slice(None)]))
        for dim, size in variable.sizes.items()
    )
    return math.prod(counts) * int(variable.dtype.itemsize)


def cut(variable: xr.Variable, parts: Parts) -> np.ndarray:
    """Read only the parts of a variable, joined in the order of the file."""
    for axis, dim in enumerate(map(str, variable.dims)):
        if dim in parts:
            rest = {name: runs for name, runs in parts.items() if name != dim}
            found = [cut(variable.isel({dim: run}), rest) for run in parts[dim]]
            return found[0] if len(found) == 1 else np.concatenate(found, axis=axis)
    return np.asarray(variable.to_numpy())


def pieces(variable: xr.Variable, parts: Parts, shape: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Numbers of the chunks of a given shape that the parts of a variable touch."""
    touched = []
    for dim, size, chunk in zip(variable.dims, variable.shape, shape, strict=True):
        runs = (run.indices(size) for run in parts.get(str(dim), [slice(None)]))
        numbers = (range(start // chunk, (stop - 1) // chunk + 1) for start, stop, _ in runs if stop > start)
        touched.append(sorted(set().union(*numbers)))
    yield from itertools.product(*touched)


def parts_around(variables: Mapping[str, xr.Variable], box: Box | None, size_limit_bytes: int) -> Parts:
    """Index ranges of the grid that hold the box and two cells around it, by dimension; {} means all of it.

    box: west, east, south, north in degrees, longitude from -180 to 180.
    """
    axes = [_plain(variables, name, size_limit_bytes) for name in ("latitude", "longitude")]
    if box is None or axes[0] is None or axes[1] is None:
        return {}
    latitude, longitude = axes[0], axes[1]
    longitude = longitude.copy(data=(longitude.to_numpy() + 180.0) % 360.0 - 180.0)
    if latitude.ndim == 2 and latitude.dims == longitude.dims:
        return _window(latitude, longitude, box)
    if latitude.ndim == 1 and longitude.ndim == 1 and latitude.dims != longitude.dims:
        ranges = _runs(longitude.to_numpy(), box[:2]), _runs(latitude.to_numpy(), box[2:])
        names = str(longitude.dims[0]), str(latitude.dims[0])
        return dict(zip(names, ranges, strict=True)) if all(ranges) else {}
    return {}


def _plain(variables: Mapping[str, xr.Variable], standard_name: str, size_limit_bytes: int) -> xr.Variable | None:
    """The one axis of a name, as float64, if its numbers are what they look like."""
    found = [variable for variable in variables.values() if variable.attrs.get("standard_name") == standard_name]
    if len(found) != 1 or found[0].dtype.kind not in "iuf" or set(CHANGES) & set(found[0].attrs):
        return None
    if 8 * math.prod(found[0].shape) > size_limit_bytes:
        return None
    values = np.asarray(found[0].to_numpy(), dtype=np.float64)
    plain = bool(np.isfinite(values).all()) and min(values.shape, default=0) >= 2
    return xr.Variable(found[0].dims, values) if plain else None


def _runs(values: np.ndarray, span: Box) -> list[slice]:
    """Index ranges, in the order of the file, of the nodes around a span; [] if they are uneven or all away from it."""
    order = np.argsort(values, kind="stable")
    rising, (low, high) = values[order], span
    steps = np.diff(rising)
    if not (steps.min() > 0.0 and steps.max() <= EVEN_RATIO * steps.min()) or high < rising[0] or low > rising[-1]:
        return []
    first = int(np.searchsorted(rising, low, side="right")) - 1 - CELLS
    last = int(np.searchsorted(rising, high, side="left")) + CELLS
    taken = np.sort(order[max(first, 0) : last + 1])
    joined = np.split(taken, np.flatnonzero(np.diff(taken) != 1) + 1)
    return [slice(int(run[0]), int(run[-1]) + 1) for run in joined]


def _window(latitude: xr.Variable, longitude: xr.Variable, box: Box) -> Parts:
    """Index box of a grid of two dimensions: every node less than two of its widest cells away, and two cells more."""
    west, east, south, north = box
    off_deg = (longitude.to_numpy() - (west + east) / 2.0 + 180.0) % 360.0 - 180.0
    in_x = np.abs(off_deg) <= (east - west) / 2.0 + 2.0 * _widest(longitude.to_numpy(), turn=True)
    pad_deg = 2.0 * _widest(latitude.to_numpy(), turn=False)
    in_y = (latitude.to_numpy() >= south - pad_deg) & (latitude.to_numpy() <= north + pad_deg)
    nodes = np.argwhere(in_x & in_y)
    if not len(nodes):
        return {}
    low, high = np.maximum(nodes.min(axis=0) - CELLS, 0), nodes.max(axis=0) + CELLS + 1
    return {str(dim): [slice(int(low[axis]), int(high[axis]))] for axis, dim in enumerate(latitude.dims)}


def _widest(values: np.ndarray, *, turn: bool) -> float:
    steps = [np.diff(values, axis=axis) for axis in (0, 1)]
    spans = [np.abs((step + 180.0) % 360.0 - 180.0 if turn else step) for step in steps]
    return float(max(span.max() for span in spans))
