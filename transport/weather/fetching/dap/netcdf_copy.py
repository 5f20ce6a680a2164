"""The part of a data set as a NetCDF4 file, with a check value in every block."""

import hashlib
from pathlib import Path
from typing import Any

from transport.weather.fetching.dap.server import NAME, Declared, values_of
from transport.weather.fetching.dap.surroundings import Part
from transport.weather.fetching.failure import FetchError

__all__ = ["write_copy"]

CHECKED: dict[str, Any] = {"zlib": True, "shuffle": True, "fletcher32": True}
NONE: dict[str, Any] = {}
OWN = ("_FillValue", "_Unsigned")


def write_copy(out: Path, part: Part) -> str:
    """Fetch the part variable by variable into a NetCDF4 file, axes packed and checked too; returns its SHA-256.

    Errors: FetchError.      Source: NetCDF-4 filters zlib and fletcher32 (memory).
    """
    import netCDF4

    with netCDF4.Dataset(out, "w", format="NETCDF4") as file:
        for name, variable in part.variables.items():
            values = values_of(variable, part.slices)
            for dim, size in zip(variable.dims, values.shape, strict=True):
                if dim not in file.dimensions:
                    file.createDimension(dim, size)
            attrs = _attributes(variable)
            fill, filters = attrs.pop("_FillValue", None), CHECKED if variable.dims else NONE
            written = file.createVariable(name, values.dtype, variable.dims, fill_value=fill, **filters)
            written.set_auto_maskandscale(False)
            written.setncatts(attrs)
            written[...] = values
    return hashlib.sha256(out.read_bytes()).hexdigest()


def _attributes(variable: Declared) -> dict[str, Any]:
    """Attributes that NetCDF can hold; names that the libraries keep for themselves (_ChunkSizes) stay behind."""
    kept = {
        key: value
        for key, value in variable.attrs.items()
        if _plain(value) and NAME.fullmatch(key) and (not key.startswith("_") or key in OWN)
    }
    if "_FillValue" in kept:
        kept["_FillValue"] = _fill(variable, kept["_FillValue"])
    return kept


def _plain(value: object) -> bool:
    if isinstance(value, list):
        return bool(value) and all(isinstance(one, int | float) for one in value)
    return isinstance(value, str | int | float)


def _fill(variable: Declared, value: object) -> Any:
    try:
        (value,) = value if isinstance(value, list) else (value,)
        return variable.dtype.newbyteorder("=").type(value)
    except (TypeError, ValueError, OverflowError):
        raise FetchError(f"{variable.name}: attribute _FillValue is {value!r}, allowed is one number") from None
