"""The NetCDF file, read back with the reference library."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import netCDF4
import pytest
import xarray as xr

from shared.assessment import Assessment
from transport.reports.archive import write_netcdf

GROUPS = ("road", "rose", "forecast", "window", "orders", "check_cover")


@pytest.fixture(scope="module")
def archive(result: Assessment, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("archive") / "assessment.nc"
    write_netcdf(result, path)
    return path


def test_groups_come_back_whole(result: Assessment, archive: Path) -> None:
    for name in GROUPS:
        given = result.checks["cover"] if name == "check_cover" else getattr(result, name)
        with xr.open_dataset(archive, group=name, engine="netcdf4") as read:
            xr.testing.assert_equal(read.load().drop_encoding(), given)


def test_facts_of_the_run(result: Assessment, archive: Path) -> None:
    with netCDF4.Dataset(archive) as data:
        # CF conventions 1.11, section 2.6 (from memory): these describe origin and contents of the file.
        for name in ("Conventions", "title", "institution", "source", "history", "references", "comment"):
            assert getattr(data, name)
        assert data.Conventions == "CF-1.11"
        assert data.verdict == "go"
        assert result.provenance.inputs[0].sha256 in data.inputs


def test_numbers_are_compressed_with_a_checksum(archive: Path) -> None:
    with netCDF4.Dataset(archive) as data:
        filters = data["rose"]["gust_limit_mps"].filters()
    assert filters["zlib"]
    assert filters["fletcher32"]


def test_times_carry_units_and_calendar(archive: Path) -> None:
    # CF conventions 1.11, section 4.4 (from memory): "<unit> since <time>", with a calendar.
    with netCDF4.Dataset(archive) as data:
        start = data["window"]["start"]
        assert " since " in start.units
        assert start.calendar == "proleptic_gregorian"


def test_same_bytes_twice(archive: Path, rebuilt: Callable[[], Assessment], tmp_path: Path) -> None:
    write_netcdf(rebuilt(), tmp_path / "again.nc")
    assert archive.read_bytes() == (tmp_path / "again.nc").read_bytes()


def test_attributes_that_netcdf_cannot_hold_become_text(result: Assessment, tmp_path: Path) -> None:
    path = tmp_path / "odd.nc"
    odd = result.road.assign_attrs(flag=True, nothing=None, table={"a": 1})
    write_netcdf(replace(result, road=odd), path)
    with netCDF4.Dataset(path) as data:
        assert data["road"].flag == 1
        assert data["road"].nothing == "null"
        assert data["road"].table == '{"a": 1}'
