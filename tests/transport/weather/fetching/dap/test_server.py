"""What a server declares, and its values, in this process."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.weather.fetching.dap.server import clocks, declared, shape_of, values_of
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Limits

ServeDap = Callable[..., Any]
LIMITS = Limits(2.0, 5.0, 20.0, 1, 0.01, 0.1, 0, 10.0)


def test_declared_as_it_is(serve_dap: ServeDap, content: xr.Dataset) -> None:
    server = serve_dap(content)
    found = declared(server.url, LIMITS)
    assert server.seen == ["dds", "das"]
    assert set(found) == set(content.variables)
    for name, one in found.items():
        assert (one.dims, one.shape) == (content[name].dims, content[name].shape)
        assert one.attrs == content[name].attrs


def test_values_of_a_part(serve_dap: ServeDap, content: xr.Dataset) -> None:
    found = declared(serve_dap(content).url, LIMITS)
    part = {"lat": slice(1, 3), "lon": slice(2, 5)}
    values = values_of(found["u10"], part)
    assert values.shape == shape_of(found["u10"], part) == (6, 31, 2, 3)
    assert values.dtype == np.dtype("f4")
    np.testing.assert_array_equal(values, content["u10"].values[..., 1:3, 2:5])
    np.testing.assert_array_equal(values_of(found["height10"], part), 10.0)


def test_small_whole_numbers_and_grids(serve_dap: ServeDap, content: xr.Dataset) -> None:
    """DAP 2.0 sends whole numbers of two bytes in four."""
    packed = content["vis"].astype("i2").assign_attrs(_FillValue=np.int16(-32767), scale_factor=2.5)
    found = declared(serve_dap(content.assign(vis=packed)).url, LIMITS)
    values = values_of(found["vis"], {})
    assert values.dtype == np.dtype("i2")
    np.testing.assert_array_equal(values, packed.values)
    assert (found["vis"].attrs["_FillValue"], found["vis"].attrs["scale_factor"]) == (-32767, 2.5)


def test_the_value_of_a_grid_mapping_is_not_fetched(serve_dap: ServeDap, content: xr.Dataset) -> None:
    """It may be text, and only its attributes count."""
    mapping = xr.Variable((), np.array("x", dtype="S1"), {"grid_mapping_name": "mercator", "standard_parallel": -38.0})
    server = serve_dap(content.assign(crs=mapping))
    found = declared(server.url, LIMITS)["crs"]
    assert values_of(found, {}) == 0 and found.attrs == mapping.attrs
    assert server.seen == ["dds", "das"]


def test_another_shape_than_asked(serve_dap: ServeDap, content: xr.Dataset) -> None:
    """A server that does not understand the part sends everything."""
    whole: dict[str, bytes] = {}

    def everything(part: str, body: bytes) -> bytes:
        return whole.setdefault("vis", body) if part.startswith("dods?vis") else body

    found = declared(serve_dap(content, everything).url, LIMITS)
    values_of(found["vis"], {})
    with pytest.raises(
        FetchError, match=r"the answer for vis has the shape \(6, 31, 4, 5\), asked was \(6, 31, 1, 1\)"
    ):
        values_of(found["vis"], {"lat": slice(0, 1), "lon": slice(0, 1)})


@pytest.mark.parametrize("keep", [0.0, 0.3, 0.6, 0.99])
def test_a_cut_body_with_a_length_that_fits(serve_dap: ServeDap, content: xr.Dataset, keep: float) -> None:
    """The NetCDF library's own client reads these as zeros without an error."""
    cut = lambda part, body: body[: int(keep * len(body))] if part.startswith("dods?fg10") else body  # noqa: E731
    found = declared(serve_dap(content, cut).url, LIMITS)
    with pytest.raises(FetchError, match="the answer for fg10 was cut, or is not OPeNDAP") as caught:
        values_of(found["fg10"], {})
    assert caught.value.again


def test_no_opendap_at_the_address(serve_dap: ServeDap, content: xr.Dataset) -> None:
    server = serve_dap(content, lambda part, body: b"<html>log in</html>")
    with pytest.raises(FetchError, match=r"the answer is no OPeNDAP data set; give its address as url, without \.html"):
        declared(server.url, LIMITS)


def test_more_than_allowed(serve_dap: ServeDap, content: xr.Dataset) -> None:
    server = serve_dap(content, lambda part, body: body + bytes(10**6))
    with pytest.raises(FetchError, match=r"the server sends more than 0\.5 MB; set maximum_size_MB"):
        declared(server.url, LIMITS._replace(size_MB=0.5))


def test_pydap_is_an_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "pydap.client", None)
    with pytest.raises(FetchError, match=r"OPeNDAP is not installed; pip install 'glasshaul\[opendap\]'"):
        declared("http://127.0.0.1:1/forecast.nc", LIMITS)


def test_clocks_tell_one_forecast_from_the_next(serve_dap: ServeDap, content: xr.Dataset) -> None:
    first = clocks(declared(serve_dap(content).url, LIMITS))
    assert set(first) == {"time", "run", "lead"}
    content["run"].attrs["units"] = "hours since 2026-03-10 06:00:00"
    assert clocks(declared(serve_dap(content).url, LIMITS)) != first
