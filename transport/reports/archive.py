"""All Datasets of the result in one NetCDF-4 file, one group each, compressed and with a checksum a chunk.

Attributes follow CF conventions 1.11 (from memory); groups as in its section 2.7. Strings have variable length.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from shared.assessment import Assessment
from transport.reports.cautions import caution
from transport.reports.fingerprint import fingerprint
from transport.reports.masthead import heading, local_zone

__all__ = ["write_netcdf"]

FILTERS = {"zlib": True, "complevel": 4, "shuffle": True, "fletcher32": True}


def write_netcdf(result: Assessment, path: Path) -> None:
    """Write the groups road, rose, forecast, window, orders and check_<name>; the same result gives the same bytes.

    Where there are other sources of weather, also opinion_<n>, observation_<n> and disagreement.
    """
    named = {name: getattr(result, name) for name in ("road", "rose", "forecast", "window", "orders")}
    named |= {f"check_{name}": data for name, data in result.checks.items()}
    named |= {f"opinion_{number}": data for number, data in enumerate(result.opinions, start=1)}
    named |= {f"observation_{number}": data for number, data in enumerate(result.observations, start=1)}
    named |= {"disagreement": result.disagreement} if result.disagreement is not None else {}
    ready = {name: _ready(data) for name, data in named.items()}
    tree = xr.DataTree.from_dict({"/": xr.Dataset(attrs=_facts(result)), **ready})
    encoding = {f"/{name}": _filtered(data) for name, data in ready.items()}
    tree.to_netcdf(path, mode="w", engine="netcdf4", encoding=encoding)


def _ready(data: xr.Dataset) -> xr.Dataset:
    """The Dataset without encodings of its origin, with attributes that NetCDF can hold."""
    bare = data.drop_encoding()
    bare.attrs = _attributes(bare.attrs)
    for name in bare.variables:
        bare[name].attrs = _attributes(bare[name].attrs)
    return bare


def _attributes(attrs: Mapping[Any, Any]) -> dict[str, Any]:
    return {str(key): _attribute(value) for key, value in attrs.items()}


def _attribute(value: Any) -> Any:
    if isinstance(value, bool | np.bool_):
        return int(value)
    if isinstance(value, str | int | float | np.number | np.ndarray):
        return value
    return json.dumps(value, default=str, ensure_ascii=False)


def _filtered(data: xr.Dataset) -> dict[str, Mapping[str, Any]]:
    return {str(name): FILTERS for name, item in data.variables.items() if item.dtype.kind in "fiumM" and item.ndim}


def _facts(result: Assessment) -> dict[str, Any]:
    facts, names = result.provenance, heading(result)
    return {
        "Conventions": "CF-1.11",
        "title": names["name"],
        "institution": names["organisation"],
        "source": f"glasshaul {facts.version}",
        "history": f"{facts.as_of.isoformat()} assess",
        "references": "calculation lines and sources stand in the attribute calculation of each check",
        "comment": caution(),
        "verdict": result.verdict,
        "reasons": "\n".join(result.reasons),
        "time_zone_of_the_site": local_zone(result).key,
        "inputs": json.dumps([[file.path, file.sha256] for file in facts.inputs]),
        "options": json.dumps(dict(sorted(facts.options.items()))),
        "unread_numbers": json.dumps([used._asdict() for used in facts.unread]),
        "fingerprint": fingerprint(result),
    }
