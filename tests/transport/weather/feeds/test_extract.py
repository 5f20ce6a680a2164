"""The code of the child process, run here: what it takes along and what it refuses."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from transport.weather.feeds import extract, netcdf, raw

Write = Callable[..., Path]


def header(npz: Path) -> dict[str, object]:
    with np.load(npz, allow_pickle=False) as arrays:
        return dict(json.loads(arrays["header"].tobytes()))


@pytest.mark.parametrize("engine", ["netcdf4", "scipy"])
def test_wanted_variables_and_their_companions(content: xr.Dataset, write: Write, tmp_path: Path, engine: str) -> None:
    path, out = write(content, engine=engine), tmp_path / "out.npz"
    extract.extract(str(path), str(out), 10**9, "all", engine, ["eastward_wind"])
    taken = {entry["name"] for entry in header(out)["variables"]}  # type: ignore[attr-defined]
    assert taken == {"u10", "realization", "time", "lat", "lon", "height10", "time_bnds"}


@pytest.mark.parametrize("named", ["crs", "crs: x y"])
def test_grid_mapping_comes_along_with_its_attributes(
    make_bent: Callable[..., xr.Dataset], write: Write, tmp_path: Path, named: str
) -> None:
    """Its one value is text here, as some producers write it."""
    content, out = make_bent("lambert", members=1, hours=2), tmp_path / "out.npz"
    content["crs"] = (), np.array(b"", dtype="S1"), content["crs"].attrs
    content["u10"].attrs["grid_mapping"] = named
    extract.extract(str(write(content)), str(out), 10**9, "all", "netcdf4", ["x_wind"])
    found = raw.load(out, "forecast.nc").variables
    assert set(found) == {
        "u10",
        "time",
        "time_bnds",
        "realization",
        "x",
        "y",
        "latitude",
        "longitude",
        "height10",
        "crs",
    }
    assert found["u10"].attrs["grid_mapping"] == named
    assert found["crs"].attrs == content["crs"].attrs


def test_size_is_checked_before_memory_is_taken(content: xr.Dataset, write: Write, tmp_path: Path) -> None:
    with pytest.raises(extract.selection.RefusedError, match="declares 0 MB of data, allowed are 0 MB"):
        extract.extract(str(write(content)), str(tmp_path / "out.npz"), 1000, "all", "netcdf4", ["eastward_wind"])


def test_every_failure_is_an_exit_status(
    content: xr.Dataset,
    write: Write,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(extract, "_limit_memory", lambda limit_bytes: None)
    path, out = str(write(content)), str(tmp_path / "out.npz")
    assert extract.main([path, out, "1000000000", "all", "netcdf4", *netcdf.STANDARD_NAMES]) == 0
    assert extract.main([path, out, "1000", "all", "netcdf4", *netcdf.STANDARD_NAMES]) == raw.REFUSED
    assert "declares" in capsys.readouterr().err
    assert extract.main([str(tmp_path / "none.nc"), out, "1000", "all", "netcdf4", *netcdf.STANDARD_NAMES]) == 4


def test_it_imports_nothing_of_ours() -> None:
    text = Path(extract.__file__).read_text(encoding="utf-8")
    assert "from shared" not in text
    assert "from transport" not in text
