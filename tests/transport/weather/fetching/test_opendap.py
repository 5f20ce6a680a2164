"""OPeNDAP against a real server on this machine: the numbers, and every way in which it can fail.

The server is pydap's, fed from memory; the numbers are compared with the file that the NetCDF library wrote of the
same content.
"""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import netCDF4
import numpy as np
import psutil
import pytest
import xarray as xr

from shared.folder import sha256_of
from transport.weather.feeds import feed as feeds
from transport.weather.feeds import netcdf
from transport.weather.feeds.box import Box
from transport.weather.feeds.inputs import Feed
from transport.weather.fetching import opendap
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.neighbourhood import neighbourhood

BOX = Box(west_deg=-21.40, east_deg=-21.34, south_deg=-38.56, north_deg=-38.47)
ServeDap = Callable[..., Any]


@pytest.fixture
def draft(tmp_path: Path) -> Path:
    return tmp_path / "forecast.nc"


@pytest.fixture
def patient(quick: Limits) -> Limits:
    return quick._replace(read_s=5.0)


def bring(url: str, draft: Path, limits: Limits, total_s: float = 20.0) -> Any:
    return opendap.surroundings(url, draft, BOX, netcdf.STANDARD_NAMES, limits, Deadline(total_s))


def failure(url: str, draft: Path, limits: Limits, total_s: float = 20.0) -> FetchError:
    with pytest.raises(FetchError) as caught:
        bring(url, draft, limits, total_s)
    assert psutil.Process().children(recursive=True) == []
    return caught.value


def test_a_small_data_set_comes_whole_and_reads_as_the_file(
    serve_dap: ServeDap, content: xr.Dataset, draft: Path, patient: Limits, normal: xr.Dataset, model: Feed
) -> None:
    arrival = bring(serve_dap(content).url, draft, patient)
    assert (arrival.size_bytes, arrival.sha256) == (draft.stat().st_size, sha256_of(draft))
    xr.testing.assert_identical(feeds.read(draft, model), normal)


def test_of_a_large_one_only_the_surroundings_come(
    serve_dap: ServeDap, make_content: Callable[..., xr.Dataset], draft: Path, patient: Limits
) -> None:
    """The road lies between nodes 0 and 2 of latitude, 1 and 3 of longitude; two more on every side."""
    large = make_content(members=3, hours=6, rows=20, columns=30)
    server = serve_dap(large)
    bring(server.url, draft, patient)
    with xr.open_dataset(draft, engine="netcdf4", decode_cf=False) as found:
        expected = large.isel(lat=slice(0, 5), lon=slice(0, 6))
        assert float(found["lat"][-1]) >= BOX.north_deg + 0.1 and float(found["lon"][-1]) >= BOX.east_deg + 0.2
        for name in found.variables:
            np.testing.assert_array_equal(found[name].values, expected[name].values)
            assert found[name].dims == expected[name].dims
            attrs = {key: value for key, value in found[name].attrs.items() if key != "_FillValue"}
            assert attrs == expected[name].attrs
        assert set(found.variables) == set(large.variables)
    assert not any(part.startswith("dods?u10%5B0%3A1%3A2%5D%5B0%3A1%3A6%5D%5B0%3A1%3A19%5D") for part in server.seen)


@pytest.mark.parametrize("kind", ["lambert", "rotated"])
def test_a_rotated_or_projected_grid_comes_with_its_mapping(
    serve_dap: ServeDap,
    make_bent: Callable[..., xr.Dataset],
    write: Callable[..., Path],
    draft: Path,
    patient: Limits,
    model: Feed,
    kind: str,
) -> None:
    """Around the road nothing may differ from the whole file, turned winds included."""
    data = make_bent(kind, rows=24, columns=26, members=3, hours=6)
    bring(serve_dap(data).url, draft, patient)
    cut, whole = feeds.read(draft, model), feeds.read(write(data, "whole.nc"), model)
    assert cut["latitude"].size < whole["latitude"].size / 4
    part = np.linspace(0.0, 1.0, 9)
    road = (BOX.west_deg + part * (BOX.east_deg - BOX.west_deg), BOX.south_deg + part * (BOX.north_deg - BOX.south_deg))
    found, known = (neighbourhood(one, *road, 6.0) for one in (cut, whole))
    assert not found.outside.any()
    np.testing.assert_allclose(found.matrix.toarray(), known.matrix.toarray(), atol=1e-5)
    for name in ("gust_mps", "mean_wind_mps"):
        np.testing.assert_allclose(found.high[name], known.high[name], rtol=1e-5)
    np.testing.assert_allclose(found.ends[0], known.ends[0], atol=1e-4)


def test_every_block_of_the_copy_has_a_check_value(
    serve_dap: ServeDap, content: xr.Dataset, draft: Path, patient: Limits
) -> None:
    bring(serve_dap(content).url, draft, patient)
    with netCDF4.Dataset(draft) as file:
        for variable in file.variables.values():
            filters = variable.filters()
            assert filters is None or (filters["zlib"] and filters["fletcher32"]) or variable.ndim == 0
            assert variable.ndim == 0 or filters["fletcher32"], variable.name


def halved(part: str, body: bytes) -> bytes:
    """Bodies of data cut in the middle, with a length that fits what is left."""
    return body[: len(body) // 2] if part.startswith("dods?u10") else body


def test_a_cut_body(serve_dap: ServeDap, content: xr.Dataset, draft: Path, patient: Limits) -> None:
    problem = failure(serve_dap(content, halved).url, draft, patient)
    assert str(problem).startswith("the answer for u10 was cut, or is not OPeNDAP (") and problem.again


@pytest.mark.parametrize("part", ["dds", "das", "dods?lat", "dods?vis"])
def test_a_server_that_hangs(serve_dap: ServeDap, content: xr.Dataset, draft: Path, quick: Limits, part: str) -> None:
    def hang(asked: str, body: bytes) -> bytes:
        if asked.startswith(part):
            server.over.wait(30.0)
        return body

    server = serve_dap(content, hang)
    problem = failure(server.url, draft, quick)
    assert str(problem) == "the server did not answer in time (ReadTimeout)" and problem.again


def test_the_deadline_ends_the_child_and_all_of_it(
    serve_dap: ServeDap, content: xr.Dataset, draft: Path, patient: Limits, stopwatch: Callable[[], float]
) -> None:
    server = serve_dap(content, lambda part, body: (server.over.wait(30.0) and b"") or body)
    began_s = stopwatch()
    problem = failure(server.url, draft, patient._replace(read_s=30.0), total_s=1.5)
    assert str(problem) == "not complete after 1.5 s"
    assert stopwatch() - began_s < 3.0


def test_500_and_a_closed_port(
    serve_dap: ServeDap, content: xr.Dataset, draft: Path, patient: Limits, status_error: type[Exception]
) -> None:
    def refuse(part: str, body: bytes) -> bytes:
        raise status_error("500 Internal Server Error")

    problem = failure(serve_dap(content, refuse).url, draft, patient)
    assert str(problem) == "the server answered 500 Internal Server Error" and problem.again
    problem = failure("http://127.0.0.1:1/forecast.nc", draft, patient)
    assert str(problem).startswith("no connection (") and problem.again


def test_a_crash_of_the_child_is_a_reason(draft: Path, patient: Limits, monkeypatch: pytest.MonkeyPatch) -> None:
    for code, said in (
        ("import os; os.abort()", f"the reader of the answer crashed with signal {int(signal.SIGABRT)}"),
        ("raise SystemExit(9)", "the reader of the answer crashed"),
    ):
        monkeypatch.setattr(opendap, "START", code)
        problem = failure("http://127.0.0.1:1/forecast.nc", draft, patient)
        assert str(problem) == said and problem.again


def test_a_file_other_than_the_one_written_is_refused(
    draft: Path, patient: Limits, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opendap, "START", "import sys; open(sys.argv[3], 'w').write('x'); print('0' * 64)")
    problem = failure("http://127.0.0.1:1/forecast.nc", draft, patient)
    assert "the file that came is not the one that was written" in str(problem)


def test_what_the_child_started_is_ended_too(
    draft: Path, patient: Limits, monkeypatch: pytest.MonkeyPatch, stopwatch: Callable[[], float]
) -> None:
    code = (
        "import subprocess, sys, pathlib, time\n"
        "started = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(60)'])\n"
        "pathlib.Path(sys.argv[3]).write_text(str(started.pid))\n"
        "time.sleep(60)"
    )
    monkeypatch.setattr(opendap, "START", code)
    problem = failure("http://127.0.0.1:1/forecast.nc", draft, patient, total_s=4.0)
    assert str(problem) == "not complete after 4 s"
    pid = int(draft.read_text(encoding="utf-8"))
    while alive(pid) and stopwatch() < 20.0:
        time.sleep(0.01)
    assert not alive(pid)


def alive(pid: int) -> bool:
    """Whether a process still runs; one that is dead but not yet buried does not."""
    try:
        return bool(psutil.Process(pid).status() != psutil.STATUS_ZOMBIE)
    except psutil.NoSuchProcess:
        return False


def test_an_interruption_ends_the_child_too(draft: Path, patient: Limits, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(process: subprocess.Popen[bytes], timeout: float) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(opendap, "START", "import time; time.sleep(60)")
    monkeypatch.setattr(subprocess.Popen, "communicate", interrupted)
    with pytest.raises(KeyboardInterrupt):
        bring("http://127.0.0.1:1/forecast.nc", draft, patient)
    assert psutil.Process().children(recursive=True) == []


def test_the_child_ends_by_itself_when_nobody_is_left_to_end_it(
    serve_dap: ServeDap, content: xr.Dataset, draft: Path, patient: Limits
) -> None:
    import json

    server = serve_dap(content, lambda part, body: (server.over.wait(30.0) and b"") or body)
    limits = json.dumps(patient._replace(total_s=0.5, read_s=30.0))
    words = [str(opendap.ROOT), server.url, str(draft), json.dumps(BOX), limits, "eastward_wind"]
    done = subprocess.run([sys.executable, "-I", "-c", opendap.START, *words], timeout=20, env=os.environ)
    assert done.returncode == -signal.SIGALRM
