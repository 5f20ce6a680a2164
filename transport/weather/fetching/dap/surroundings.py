"""Which variables of a data set are needed, and which part of its grid holds the road."""

import math
from collections.abc import Collection, Iterator, Mapping
from typing import NamedTuple

import numpy as np

from transport.weather.feeds.box import Box
from transport.weather.fetching.dap.server import Declared, shape_of, values_of
from transport.weather.fetching.failure import FetchError

__all__ = ["Part", "part_of"]

SPARE_NODES = 2


class Part(NamedTuple):
    """The wanted variables, and the slice of each horizontal dimension that is fetched; other dimensions are whole."""

    variables: dict[str, Declared]
    slices: dict[str, slice]


def part_of(declared: Mapping[str, Declared], box: Box, size_MB: float, standard_names: Collection[str]) -> Part:
    """Variables of the standard names with what they name as bounds or coordinates, around the box and two nodes more.

    Errors: FetchError if the axes are not understood, do not hold the box, or the part is too large.
    Source: CF conventions, 4.1, 4.2, 5 (read).
    """
    variables = {name: declared[name] for name in sorted(_chosen(declared, set(standard_names)))}
    latitude, longitude = (_axis(variables, name) for name in ("latitude", "longitude"))
    _check_size(Part({latitude.name: latitude, longitude.name: longitude}, {}), size_MB)
    part = Part(variables, _slices(latitude, longitude, box))
    _check_size(part, size_MB)
    return part


def _chosen(declared: Mapping[str, Declared], wanted: set[str]) -> set[str]:
    named = {name for name, variable in declared.items() if variable.attrs.get("standard_name") in wanted}
    seen: set[str] = set()
    while left := named - seen:
        seen |= left
        named |= {other for name in left for other in _companions(declared[name]) if other in declared}
    return {name for name in seen if declared[name].dtype.kind in "iuf"}


def _companions(variable: Declared) -> Iterator[str]:
    for key in ("coordinates", "bounds", "grid_mapping"):
        text = variable.attrs.get(key)
        yield from (word.removesuffix(":") for word in text.split()) if isinstance(text, str) else ()
    yield from variable.dims


def _axis(variables: Mapping[str, Declared], standard_name: str) -> Declared:
    found = [one for one in variables.values() if one.attrs.get("standard_name") == standard_name]
    if len(found) != 1:
        raise FetchError(f"{len(found)} variables of the data set have standard_name '{standard_name}', one is needed")
    return found[0]


def _slices(latitude: Declared, longitude: Declared, box: Box) -> dict[str, slice]:
    """Longitudes count from the middle of the box, so that no seam lies near the road."""
    north_deg = _degrees(latitude)
    middle_deg, half_deg = (box.west_deg + box.east_deg) / 2.0, (box.east_deg - box.west_deg) / 2.0
    east_deg = (_degrees(longitude) - middle_deg + 180.0) % 360.0 - 180.0
    if north_deg.ndim == east_deg.ndim == 1:
        rows = _around(north_deg, box.south_deg, box.north_deg, "latitude")
        return {latitude.dims[0]: rows, longitude.dims[0]: _around(east_deg, -half_deg, half_deg, "longitude")}
    if latitude.dims != longitude.dims or north_deg.ndim != 2:
        raise FetchError("latitude and longitude of the data set lie on different dimensions")
    corners = [(y, x) for y in (box.south_deg, box.north_deg) for x in (-half_deg, 0.0, half_deg)]
    return dict(zip(latitude.dims, _around_corners(north_deg, east_deg, corners), strict=True))


def _degrees(variable: Declared) -> np.ndarray:
    scale, offset = variable.attrs.get("scale_factor", 1.0), variable.attrs.get("add_offset", 0.0)
    return np.asarray(values_of(variable, {}).astype(np.float64) * float(scale) + float(offset))


def _around(values: np.ndarray, low: float, high: float, what: str) -> slice:
    """The nodes between which the range lies, and two more on either side."""
    order = np.argsort(values)
    ranked = values[order]
    if not (len(ranked) and ranked[0] <= low and high <= ranked[-1]):
        raise FetchError(f"the grid of the data set does not hold the whole road: it ends in {what}")
    first = max(int(np.searchsorted(ranked, low, side="right")) - 1 - SPARE_NODES, 0)
    last = min(int(np.searchsorted(ranked, high, side="left")) + SPARE_NODES, len(ranked) - 1)
    taken = order[first : last + 1]
    return slice(int(taken.min()), int(taken.max()) + 1)


def _around_corners(north_deg: np.ndarray, east_deg: np.ndarray, corners: list[tuple[float, float]]) -> list[slice]:
    """The nodes nearest to points of the box; one more on each side brackets them, then come the spare ones."""
    nearest = []
    for north, east in corners:
        off = (north_deg - north) ** 2 + ((east_deg - east) * math.cos(math.radians(north))) ** 2
        nearest.append(np.unravel_index(int(np.argmin(np.where(np.isfinite(off), off, np.inf))), off.shape))
    spare = SPARE_NODES + 1
    ends = [(int(min(found)) - spare, int(max(found)) + spare + 1) for found in zip(*nearest, strict=True)]
    return [slice(max(start, 0), min(stop, size)) for (start, stop), size in zip(ends, north_deg.shape, strict=True)]


def _check_size(part: Part, size_MB: float) -> None:
    """Before anything is transferred; whole numbers of two bytes take four on the way (DAP 2.0)."""
    sizes = (math.prod(shape_of(one, part.slices)) * max(one.dtype.itemsize, 4) for one in part.variables.values())
    if (found_MB := sum(sizes) / 1e6) > size_MB:
        what = f"{'the surroundings of the road' if part.slices else 'its axes'} take {found_MB:.3g} MB"
        raise FetchError(f"{what}, allowed are {size_MB:g} MB; set maximum_size_MB, or give a smaller data set")
