"""The feeds of a move: from files without a socket, from a server with the same answer, and from the copy."""

import json
import re
import shutil
import socket
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import netCDF4
import pytest
import xarray as xr
from click.testing import CliRunner

from shared.assessment import Assessment
from shared.errors import InputError
from transport.cli.main import main
from transport.weather.fetching.limits import Limits
from transport.window.assess import assess, move_of, plan_of
from transport.window.feeds import feeds_of, fetched_remarks, to_fetch

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
SHELTERED = SAMPLES / "sheltered_morning"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)
CLOCK = r"20\d\d-\d\d-\d\d \d\d:\d\d UTC"
QUICK = Limits(2.0, 5.0, 20.0, 2, 0.01, 0.1, 3, 10.0)
Serve = Callable[..., Any]


def forbid_sockets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Opening a socket, or asking for an address, is an error from now on."""

    def forbidden(*_: Any, **__: Any) -> None:
        raise AssertionError("a socket was opened")

    for name in ("socket", "create_connection", "getaddrinfo", "socketpair"):
        monkeypatch.setattr(socket, name, forbidden)


def move_with(folder: Path, url: str, more: str = "") -> Path:
    """The sample with its forecast at an address; its copy is kept below feeds/."""
    folder.mkdir(exist_ok=True)
    shutil.copy(SHELTERED / "road.csv", folder)
    text = (SHELTERED / "move.toml").read_text(encoding="utf-8")
    new = f'path = "feeds/forecast.nc"\nurl = "{url}"\n{more}'
    (folder / "move.toml").write_text(text.replace('path = "forecast.nc"\n', new), encoding="utf-8")
    return folder / "move.toml"


@pytest.fixture(scope="module")
def local() -> Assessment:
    """The answer from the file at hand; without a url no socket is opened."""
    with pytest.MonkeyPatch.context() as patched:
        forbid_sockets(patched)
        return assess(SHELTERED / "move.toml", as_of=AS_OF)


def decided_alike(left: Assessment, right: Assessment) -> None:
    """The same decision for every start, with the same reasons and limits."""
    xr.testing.assert_identical(left.window, right.window)
    assert (left.verdict, left.reasons, left.openings) == (right.verdict, right.reasons, right.openings)


def test_without_a_url_no_socket_is_opened(local: Assessment) -> None:
    assert local.verdict == "go"
    assert not [one for one in local.provenance.unread if one.name.startswith("weather_fetch")]


def test_the_watch_on_sockets_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forbid_sockets(monkeypatch)
    move = move_of(move_with(tmp_path, "http://127.0.0.1:1/forecast.nc"))
    with pytest.raises(AssertionError, match="a socket was opened"):
        feeds_of(move, tmp_path, None, limits=QUICK)


def test_the_same_window_from_a_server_and_then_offline(
    tmp_path: Path, serve: Serve, answers: Any, local: Assessment, monkeypatch: pytest.MonkeyPatch
) -> None:
    server = serve(answers.whole((SHELTERED / "forecast.nc").read_bytes(), ETag='"7"'))
    move = move_with(tmp_path, server.url)
    fetched = assess(move, as_of=AS_OF)
    decided_alike(fetched, local)
    assert re.search(rf"forecast\.nc: fetched {CLOCK} from {server.url}", "\n".join(fetched.remarks))
    hashes = {one.path: one.sha256 for one in fetched.provenance.inputs}
    assert hashes["feeds/forecast.nc"] == {one.path: one.sha256 for one in local.provenance.inputs}["forecast.nc"]
    forbid_sockets(monkeypatch)
    offline = assess(move, as_of=AS_OF, offline=True)
    decided_alike(offline, local)
    assert re.search(
        rf"forecast\.nc: offline: the copy fetched {CLOCK}, 0\.\d h old, is used", "\n".join(offline.remarks)
    )
    assert len(server.seen) == 1
    monkeypatch.undo()


def test_a_server_with_an_older_forecast_decides_nothing(tmp_path: Path, serve: Serve, answers: Any) -> None:
    """Fresh from the server, yet of the day before: the age of the forecast counts, not that of the copy."""
    old = tmp_path / "old.nc"
    shutil.copy(SHELTERED / "forecast.nc", old)
    with netCDF4.Dataset(old, "a") as data:
        for name in ("time", "forecast_reference_time"):
            data[name].units = "hours since 2026-03-08 00:00:00"
    move = move_with(tmp_path, serve(answers.whole(old.read_bytes())).url)
    shown = CliRunner().invoke(main, ["weather", str(move), "--as-of", AS_OF.isoformat(), "--json"])
    assert shown.exit_code == 11
    assert "the forecast is 30.0 h old, allowed are 12 h; fetch a newer one" in shown.stdout


def test_over_opendap_the_same_forecast(tmp_path: Path, serve_dap: Serve) -> None:
    with xr.open_dataset(SHELTERED / "forecast.nc", engine="netcdf4", decode_cf=False) as data:
        server = serve_dap(data.load())
    plan = plan_of(move_with(tmp_path, server.url, 'format = "opendap"\n'))
    (fetched,) = feeds_of(plan.move, plan.folder, plan.road)
    (known,) = feeds_of(move_of(SHELTERED / "move.toml"), SHELTERED, plan.road)
    assert fetched.attrs["source_kind"] == "OPeNDAP"
    bare = [one.assign_attrs(remarks="", source_kind="") for one in (fetched, known)]
    xr.testing.assert_identical(*bare)
    assert server.seen[:2] == ["dds", "das"]


def test_offline_without_a_copy_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forbid_sockets(monkeypatch)
    move = move_of(move_with(tmp_path, "https://example.invalid/forecast.nc"))
    with pytest.raises(InputError, match=r"forecast.nc: offline, and there is no copy from before; run without --off"):
        feeds_of(move, tmp_path, None, offline=True)


def test_feeds_share_the_time(tmp_path: Path, serve: Serve, answers: Any, stopwatch: Callable[[], float]) -> None:
    """The first server hangs; the second one still gets its share."""
    good = serve(answers.whole((SHELTERED / "forecast.nc").read_bytes()))
    bad = serve(answers.drip(b"\x89HDF\r\n\x1a\n" + bytes(8)))
    second = f'role = "second_opinion"\n[[weather.feed]]\npath = "second.nc"\nurl = "{good.url}"\n'
    path = move_with(tmp_path, bad.url, second)
    plan = plan_of(path)
    began_s = stopwatch()
    with pytest.raises(InputError, match=r"forecast.nc: could not be fetched from .* \(not complete after 1 s\), and"):
        feeds_of(plan.move, plan.folder, plan.road, limits=QUICK._replace(total_s=2.0))
    assert stopwatch() - began_s < 4.0


def test_what_would_be_fetched_and_what_was(tmp_path: Path) -> None:
    move = move_of(move_with(tmp_path, "https://example.invalid/forecast.nc?key=secret"))
    assert to_fetch(move) == ["feeds/forecast.nc: would be fetched from https://example.invalid/forecast.nc?..."]
    data = xr.Dataset(attrs={"remarks": json.dumps(["fetched", "other"])})
    assert fetched_remarks(move, [data]) == ["fetched"]
    assert to_fetch(move_of(SHELTERED / "move.toml")) == []
    assert fetched_remarks(move_of(SHELTERED / "move.toml"), [data]) == []
