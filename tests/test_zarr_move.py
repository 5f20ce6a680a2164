"""A whole move on a Zarr folder: the answer of the NetCDF file, its list in the provenance, a lost chunk refused."""

import shutil
import subprocess
import warnings
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from shared.folder import sha256_of
from transport.window.assess import assess

SAMPLE = Path(__file__).resolve().parents[1] / "samples" / "sheltered_morning"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The sample with its forecast as a store, listed by the command of the README."""
    made = tmp_path / "move"
    shutil.copytree(SAMPLE, made)
    with xr.open_dataset(made / "forecast.nc", engine="netcdf4", decode_cf=False) as data, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        data.load().to_zarr(made / "forecast.zarr", zarr_format=3, write_empty_chunks=True)
    (made / "forecast.nc").unlink()
    command = "find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum > ../forecast.zarr.sha256"
    subprocess.run(["sh", "-c", command], cwd=made / "forecast.zarr", check=True)
    text = (made / "move.toml").read_text(encoding="utf-8")
    (made / "move.toml").write_text(text.replace('"forecast.nc"', '"forecast.zarr"'), encoding="utf-8")
    return made


def test_the_answer_is_that_of_the_netcdf_file(folder: Path) -> None:
    ours, plain = (assess(path / "move.toml", as_of=AS_OF) for path in (folder, SAMPLE))
    assert ours.window["verdict"].values.tolist() == plain.window["verdict"].values.tolist()
    np.testing.assert_array_equal(ours.window["utilisation_ratio"], plain.window["utilisation_ratio"])
    hashes = {one.path: one.sha256 for one in ours.provenance.inputs}
    assert hashes["forecast.zarr"] == sha256_of(folder / "forecast.zarr.sha256")


def test_a_lost_chunk_refuses_the_move(folder: Path) -> None:
    chunk = next(
        path for path in sorted((folder / "forecast.zarr" / "wind_speed_of_gust" / "c").rglob("*")) if path.is_file()
    )
    name = chunk.relative_to(folder / "forecast.zarr").as_posix()
    chunk.unlink()
    with pytest.raises(InputError) as caught:
        assess(folder / "move.toml", as_of=AS_OF)
    assert str(caught.value) == (
        f"forecast.zarr: {name}: is listed in forecast.zarr.sha256 but not there; fetch the store again, and all of it"
    )


def test_a_store_that_is_a_link_out_of_the_folder_is_refused(folder: Path, tmp_path: Path) -> None:
    (folder / "forecast.zarr").rename(tmp_path / "elsewhere")
    (folder / "forecast.zarr").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(
        InputError, match=r"weather\.feed\[0\]\.path: 'forecast\.zarr' lies outside the folder of the move"
    ):
        assess(folder / "move.toml", as_of=AS_OF)
