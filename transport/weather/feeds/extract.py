"""Read the wanted variables of a NetCDF file, undecoded. Runs by itself in a child process: imports nothing of ours.

Call: python -I extract.py FILE OUT SIZE_LIMIT_BYTES BOX ENGINE STANDARD_NAME...
BOX is `west,east,south,north` in degrees, or `all`. Of a regular grid only the part around the box is read.
Exit status 0: OUT is a .npz with `header` (JSON as bytes) and arrays v0, v1, ...; 3: refused, the reason on stderr.
"""

import contextlib
import importlib
import importlib.util
import json
import sys
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import xarray as xr

__all__ = ["box_of", "copy", "extract", "main", "prepare", "run", "sibling"]

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

CACHE_BYTES = 1_000_000


def sibling(name: str) -> ModuleType:
    """Load a module that stands beside this script, which no search path leads to."""
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    if spec is None or spec.loader is None:
        raise ImportError(name)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


selection = sibling("selection")


def extract(file: str, out: str, size_limit_bytes: int, box: str, engine: str, standard_names: list[str]) -> None:
    """Copy the wanted part of the wanted variables of a file into a .npz without pickles.

    The backend stores are used, not open_dataset, which loads every axis before a size can be checked.
    """
    variables = {str(name): selection.bare(variable) for name, variable in _store(file, engine).load()[0].items()}
    parts = selection.parts_around(variables, box_of(box), size_limit_bytes)
    copy(variables, selection.chosen(variables, standard_names), parts, out, size_limit_bytes)


def prepare() -> None:
    """Load the libraries that are otherwise loaded when a file is opened or a value is taken."""
    importlib.import_module("netCDF4")
    importlib.import_module("scipy.io")
    xr.Variable(("x",), np.zeros(2))[:1].to_numpy()


def _store(file: str, engine: str) -> Any:
    if engine == "scipy":
        return xr.backends.ScipyDataStore(file)
    import netCDF4

    netCDF4.set_chunk_cache(CACHE_BYTES)  # each chunk is read once, so a large cache only takes memory
    return xr.backends.NetCDF4DataStore.open(file)  # type: ignore[no-untyped-call]


def box_of(text: str) -> tuple[float, ...] | None:
    """The box of the command line; None for all."""
    return None if text == "all" else tuple(map(float, text.split(",")))


def copy(
    variables: Mapping[str, xr.Variable],
    names: list[str],
    parts: Mapping[str, list[slice]],
    out: str,
    size_limit_bytes: int,
) -> None:
    """Write variables one after the other, so that no more than one of them is in memory.

    Errors: RefusedError if together they are larger than allowed.
    """
    selection.check_size([variables[name] for name in names], parts, size_limit_bytes)
    header = {"names": list(variables), "variables": [_header(name, variables[name]) for name in names]}
    with zipfile.ZipFile(out, "w") as archive:
        _write(archive, "header", np.frombuffer(json.dumps(header).encode(), dtype=np.uint8))
        for number, name in enumerate(names):
            _write(archive, f"v{number}", selection.cut(variables[name], parts))


def _write(archive: zipfile.ZipFile, name: str, values: np.ndarray) -> None:
    with archive.open(f"{name}.npy", "w", force_zip64=True) as stream:
        np.lib.format.write_array(stream, values, allow_pickle=False)


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


def run(read: Callable[[str, str, int, str, str, list[str]], None], arguments: list[str]) -> int:
    """Read as asked on the command line; every failure is a reason in one line on stderr."""
    file, out, limit_bytes, box, kind, *names = arguments
    _limit_memory(int(limit_bytes))
    try:
        read(file, out, int(limit_bytes), box, kind, names)
    except selection.RefusedError as refused:
        sys.stderr.write(str(refused))
        return 3
    except Exception as problem:  # a broken file may raise anything, and all of it means: cannot be read
        sys.stderr.write(repr(problem))
        return 4
    return 0


def main(arguments: list[str]) -> int:
    """Read a NetCDF file."""
    return run(extract, arguments)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
