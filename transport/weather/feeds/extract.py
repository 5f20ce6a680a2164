"""Read the wanted variables of a NetCDF file, undecoded. Runs by itself in a child process: imports nothing of ours.

Call: python -I extract.py FILE OUT SIZE_LIMIT_BYTES ENGINE STANDARD_NAME...
Exit status 0: OUT is a .npz with `header` (JSON as bytes) and arrays v0, v1, ...; 3: refused, the reason on stderr.
"""

import contextlib
import json
import math
import sys
from collections.abc import Iterator
from typing import Any

import numpy as np
import xarray as xr

__all__ = ["extract", "main"]

ATTRIBUTES = (
    *("standard_name", "units", "calendar", "cell_methods", "bounds", "coordinates", "positive", "grid_mapping"),
    *(
        "_FillValue",
        "missing_value",
        "scale_factor",
        "add_offset",
        "valid_min",
        "valid_max",
        "valid_range",
        "_Unsigned",
    ),
    *("grid_mapping_name", "grid_north_pole_latitude", "grid_north_pole_longitude", "north_pole_grid_longitude"),
    *("latitude_of_projection_origin", "longitude_of_projection_origin", "straight_vertical_longitude_from_pole"),
    *("longitude_of_central_meridian", "longitude_of_prime_meridian", "standard_parallel"),
    *("scale_factor_at_central_meridian", "scale_factor_at_projection_origin", "false_easting", "false_northing"),
    *("earth_radius", "semi_major_axis", "semi_minor_axis", "inverse_flattening"),
)


class RefusedError(Exception):
    """The file is refused before memory is taken."""


def extract(file: str, engine: str, out: str, size_limit_bytes: int, standard_names: list[str]) -> None:
    """Copy wanted variables, and those that they name as bounds or coordinates, into a .npz without pickles.

    The backend stores are used, not open_dataset, which loads every axis before a size can be checked.
    """
    store = xr.backends.ScipyDataStore(file) if engine == "scipy" else xr.backends.NetCDF4DataStore.open(file)  # type: ignore[no-untyped-call]
    variables: dict[str, xr.Variable] = {str(name): _bare(variable) for name, variable in store.load()[0].items()}
    chosen = sorted(_chosen(variables, set(standard_names)))
    _check_size([variables[name] for name in chosen], size_limit_bytes)
    arrays: dict[str, Any] = {f"v{number}": variables[name].to_numpy() for number, name in enumerate(chosen)}
    header = {"names": list(variables), "variables": [_header(name, variables[name]) for name in chosen]}
    text = json.dumps(header).encode()
    np.savez(out, allow_pickle=False, header=np.frombuffer(text, dtype=np.uint8), **arrays)


def _bare(variable: xr.Variable) -> xr.Variable:
    """A grid mapping holds attributes only; its one value may be text and is not read."""
    return xr.Variable((), np.int8(0), variable.attrs) if "grid_mapping_name" in variable.attrs else variable


def _chosen(variables: dict[str, xr.Variable], wanted: set[str]) -> set[str]:
    named = {name for name, variable in variables.items() if variable.attrs.get("standard_name") in wanted}
    seen: set[str] = set()
    while left := named - seen:
        seen |= left
        named |= {other for name in left for other in _companions(variables[name]) if other in variables}
    return {name for name in seen if variables[name].dtype.kind in "iuf"}


def _companions(variable: xr.Variable) -> Iterator[str]:
    for key in ("coordinates", "bounds"):
        text = variable.attrs.get(key)
        yield from text.split() if isinstance(text, str) else ()
    mapping = variable.attrs.get("grid_mapping")
    yield from (word.removesuffix(":") for word in mapping.split()) if isinstance(mapping, str) else ()
    yield from (str(dimension) for dimension in variable.dims)


def _check_size(variables: list[xr.Variable], size_limit_bytes: int) -> None:
    size_bytes = sum(math.prod(variable.shape) * variable.dtype.itemsize for variable in variables)
    if size_bytes > size_limit_bytes:
        raise RefusedError(
            f"declares {size_bytes / 1e6:.0f} MB of data, allowed are {size_limit_bytes / 1e6:.0f} MB; "
            "cut it to the road and two grid cells around it"
        )


def _header(name: str, variable: xr.Variable) -> dict[str, Any]:
    attributes = {key: _plain(variable.attrs[key]) for key in ATTRIBUTES if key in variable.attrs}
    return {"name": name, "dims": [str(dimension) for dimension in variable.dims], "attrs": attributes}


def _plain(value: Any) -> Any:
    return value if isinstance(value, str) else np.asarray(value).tolist()


def _limit_memory(size_limit_bytes: int) -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        limit_bytes = 3 * size_limit_bytes + 3_000_000_000
        resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, limit_bytes))


def main(arguments: list[str]) -> int:
    """Read as asked on the command line; every failure is a reason in one line on stderr."""
    file, out, limit_bytes, engine, *names = arguments
    _limit_memory(int(limit_bytes))
    try:
        extract(file, engine, out, int(limit_bytes), names)
    except RefusedError as refused:
        sys.stderr.write(str(refused))
        return 3
    except Exception as problem:  # a broken file may raise anything, and all of it means: cannot be read
        sys.stderr.write(repr(problem))
        return 4
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
