"""Results as xarray Datasets whose attributes come from one vocabulary."""

from collections.abc import Hashable, Mapping, Sequence
from typing import Any

import xarray as xr

from shared.vocabulary import VOCABULARY

__all__ = ["dataset"]

Variable = tuple[str | Sequence[Hashable], Any]


def dataset(
    variables: Mapping[str, Variable],
    coords: Mapping[str, Any] | None = None,
    attrs: Mapping[str, Any] | None = None,
) -> xr.Dataset:
    """Build a Dataset; every name must stand in the vocabulary, which gives units and names.

    Errors: KeyError naming the variables that the vocabulary lacks (a fault of ours, not of the user).
    Source: CF conventions 1.11, section 3 (memory).
    """
    built = xr.Dataset(dict(variables), dict(coords or {}), dict(attrs or {}))
    unknown = sorted(str(name) for name in built.variables if name not in VOCABULARY)
    if unknown:
        raise KeyError(f"not in the vocabulary: {', '.join(unknown)}")
    for name in built.variables:
        built[name].attrs.update(_attributes(str(name)))
    return built


def _attributes(name: str) -> dict[str, str]:
    entry = VOCABULARY[name]
    named = {"units": entry.units, "long_name": entry.long_name, "standard_name": entry.standard_name}
    return {key: value for key, value in named.items() if value}
