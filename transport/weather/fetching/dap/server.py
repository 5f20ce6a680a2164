"""A data set on an OPeNDAP server: what it declares, and its values piece by piece."""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

import numpy as np

from transport.weather.fetching.connection import answered
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Limits

__all__ = ["NAME", "Declared", "clocks", "declared", "shape_of", "values_of"]

CLOCKS = ("time", "forecast_reference_time", "forecast_period")
NAME = re.compile(r"[A-Za-z_][\w.+@-]*")
Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


class Declared(NamedTuple):
    """A variable as the server declares it; `data` is fetched when it is sliced."""

    name: str
    dims: tuple[str, ...]
    shape: tuple[int, ...]
    dtype: np.dtype[Any]
    attrs: dict[str, Any]
    data: Any


def declared(url: str, limits: Limits) -> dict[str, Declared]:
    """Arrays of the data set with their attributes, from its DDS and DAS; nothing else is transferred.

    Errors: FetchError.      Source: DAP 2.0, NASA ESE-RFC-004 (memory).
    """
    try:
        from pydap.client import open_url
        from pydap.model import BaseType, GridType
    except ImportError:
        raise FetchError("OPeNDAP is not installed; pip install 'glasshaul[opendap]'") from None
    found: dict[str, Declared] = {}
    for variable in open_url(url, application=_application(url, limits), protocol="dap2").children():
        array = variable.array if isinstance(variable, GridType) else variable
        name = str(variable.name)
        if isinstance(array, BaseType) and NAME.fullmatch(name) and len(array.dims) == len(array.shape):
            attrs = {str(key): value for key, value in variable.attributes.items()}
            given = Declared(name, tuple(array.dims), tuple(array.shape), array.dtype, attrs, array.data)
            found[name] = _mapping(name, attrs) if "grid_mapping_name" in attrs else given
    return found


def _mapping(name: str, attrs: dict[str, Any]) -> Declared:
    """A grid mapping holds attributes only; its one value may be text and is not fetched."""
    return Declared(name, (), (), np.dtype(np.int8), attrs, np.int8(0))


def clocks(variables: Mapping[str, Declared]) -> dict[str, str]:
    """Content and attributes of every variable that tells the time of the forecast or of its steps, as text."""
    told = {name: one for name, one in variables.items() if one.attrs.get("standard_name") in CLOCKS}
    return {name: f"{values_of(one, {}).tolist()} {sorted(one.attrs.items())}" for name, one in told.items()}


def shape_of(variable: Declared, slices: Mapping[str, slice]) -> tuple[int, ...]:
    """Shape of a variable of which only some dimensions are cut."""
    return tuple(
        slices[dim].stop - slices[dim].start if dim in slices else size
        for dim, size in zip(variable.dims, variable.shape, strict=True)
    )


def values_of(variable: Declared, slices: Mapping[str, slice]) -> np.ndarray:
    """Values of the part, as the server packs them.      Errors: FetchError if the answer is not just this part."""
    sizes = zip(variable.dims, variable.shape, strict=True)
    index = tuple(slices.get(dim, slice(0, size)) for dim, size in sizes)
    try:
        values = np.asarray(variable.data[index])
    except (ValueError, IndexError, KeyError, TypeError) as problem:
        raise FetchError(f"the answer for {variable.name} was cut, or is not OPeNDAP ({problem})", again=True) from None
    if values.shape != shape_of(variable, slices):
        asked = shape_of(variable, slices)
        raise FetchError(f"the answer for {variable.name} has the shape {values.shape}, asked was {asked}")
    return values.astype(values.dtype.newbyteorder("="))


def _application(url: str, limits: Limits) -> Application:
    """The remote server as pydap sees it: one GET for each part, under the rules of the house."""

    def answer(environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
        part = str(environ["PATH_INFO"]).rpartition(".")[2]
        query = str(environ.get("QUERY_STRING", ""))
        body = _body(f"{url}.{part}" + (f"?{query}" if query else ""), limits)
        if part == "dds" and body.lstrip()[:7].lower() != b"dataset":
            raise FetchError("the answer is no OPeNDAP data set; give its address as url, without .html or .dds")
        start("200 OK", [("Content-Type", "text/plain; charset=latin-1"), ("Content-Length", str(len(body)))])
        return [body]

    return answer


def _body(address: str, limits: Limits) -> bytes:
    body = bytearray()
    with answered(address, limits) as response:
        for piece in response.iter_bytes():
            body += piece
            if len(body) > limits.size_MB * 1e6:
                raise FetchError(f"the server sends more than {limits.size_MB:g} MB; set maximum_size_MB")
    return bytes(body)
