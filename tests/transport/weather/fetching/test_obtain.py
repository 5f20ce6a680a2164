"""A feed with a url: from the server, or from the copy before; what is said, and what is never believed."""

import hashlib
import json
import re
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import xarray as xr

from shared.errors import Fault, InputError
from transport.weather.feeds import feed as feeds
from transport.weather.feeds.inputs import Feed, Station
from transport.weather.feeds.netcdf import STANDARD_NAMES
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.fetching.obtain import Means, obtained
from transport.weather.fetching.record import record_path

Serve = Callable[..., Any]
CLOCK = r"20\d\d-\d\d-\d\d \d\d:\d\d UTC"


def light(path: Path, feed: Feed) -> xr.Dataset:
    """A reader for what does not depend on the content: it tells the bytes, and refuses what is no NetCDF."""
    body = path.read_bytes()
    if not body.startswith(b"\x89HDF"):
        raise InputError(Fault(path.name, "", "no NetCDF"))
    remarks = json.dumps(["forecast.nc: no visibility_in_air"])
    return xr.Dataset(attrs={"role": feed.role, "content": hashlib.sha256(body).hexdigest(), "remarks": remarks})


class Case:
    """A feed with its copy in a folder, obtained as often as wanted."""

    def __init__(self, folder: Path, limits: Limits, reader: Callable[[Path, Feed], xr.Dataset]) -> None:
        self.path, self.limits, self.reader = folder / "feeds" / "forecast.nc", limits, reader

    def obtain(self, url: str, *, offline: bool = False, total_s: float = 10.0, **more: Any) -> xr.Dataset:
        """The feed as of now."""
        feed = Feed(path="feeds/forecast.nc", url=url, role="forecast", **more)
        means = Means(tuple(feeds.READERS), STANDARD_NAMES, None, self.limits, offline)
        return obtained(feed, self.path, partial(self.reader, feed=feed), means, Deadline(total_s))

    def fault(self, url: str, **more: Any) -> str:
        """The one reason why it cannot be obtained."""
        with pytest.raises(InputError) as caught:
            self.obtain(url, **more)
        (fault,) = caught.value.faults
        assert fault.where == "forecast.nc"
        return fault.message

    def aged(self, hours_h: float) -> None:
        """As if the copy had been fetched earlier."""
        record = json.loads(record_path(self.path).read_text(encoding="utf-8"))
        record["fetched_at"] = (datetime.now(UTC) - timedelta(hours=hours_h)).isoformat()
        record_path(self.path).write_text(json.dumps(record), encoding="utf-8")

    @property
    def files(self) -> list[str]:
        """What lies in the folder of the copy."""
        return sorted(file.name for file in self.path.parent.iterdir()) if self.path.parent.exists() else []


@pytest.fixture
def case(tmp_path: Path, quick: Limits) -> Case:
    return Case(tmp_path, quick, light)


@pytest.fixture
def real_case(tmp_path: Path, quick: Limits) -> Case:
    return Case(tmp_path, quick, feeds.read)


@pytest.fixture
def other_body(body: bytes) -> bytes:
    return body + b"other"


@pytest.fixture
def plain(body: bytes, tmp_path: Path) -> xr.Dataset:
    """What the light reader gives for the body."""
    (tmp_path / "plain.nc").write_bytes(body)
    return light(tmp_path / "plain.nc", Feed(path="plain.nc", role="forecast"))


def first_remark(data: xr.Dataset) -> str:
    return str(json.loads(data.attrs["remarks"])[0])


def same(left: xr.Dataset, right: xr.Dataset) -> None:
    """Equal but for what is said of the way here."""
    drop = ("remarks", "source_kind")
    xr.testing.assert_identical(*(one.drop_attrs(deep=False).assign_attrs(kept(one, drop)) for one in (left, right)))


def kept(data: xr.Dataset, drop: tuple[str, ...]) -> dict[str, Any]:
    return {key: value for key, value in data.attrs.items() if key not in drop}


BOTH = ["forecast.nc", "forecast.nc.fetched.json"]


def test_fetched_then_unchanged(real_case: Case, serve: Serve, answers: Any, body: bytes, normal: xr.Dataset) -> None:
    server = serve(answers.whole(body, ETag='"7"'))
    data = real_case.obtain(server.url)
    same(data, normal)
    assert re.fullmatch(rf"forecast\.nc: fetched {CLOCK} from {server.url} \(0\.\d+ MB\)", first_remark(data))
    assert json.loads(data.attrs["remarks"])[1:] == json.loads(normal.attrs["remarks"])
    assert real_case.path.read_bytes() == body and real_case.files == BOTH
    before = json.loads(record_path(real_case.path).read_text(encoding="utf-8"))
    real_case.aged(2.0)
    again = real_case.obtain(server.url)
    same(again, normal)
    assert re.fullmatch(
        rf"forecast\.nc: fetched {CLOCK} from {server.url}, unchanged there at {CLOCK}", first_remark(again)
    )
    after = json.loads(record_path(real_case.path).read_text(encoding="utf-8"))
    assert after["sha256"] == before["sha256"] == hashlib.sha256(body).hexdigest()
    assert after["fetched_at"] < after["checked_at"] > before["checked_at"]
    assert server.seen[1]["If-None-Match"] == '"7"'
    assert real_case.files == BOTH


def test_a_new_file_takes_the_place_of_the_old(
    case: Case, serve: Serve, answers: Any, body: bytes, other_body: bytes
) -> None:
    server = serve(answers.whole(body, ETag='"7"'), answers.whole(other_body, ETag='"8"'))
    case.obtain(server.url)
    case.obtain(server.url)
    assert case.path.read_bytes() == other_body and case.files == BOTH


def test_503_503_200(case: Case, serve: Serve, answers: Any, body: bytes, plain: xr.Dataset) -> None:
    server = serve(answers.status(503), answers.status(503), answers.whole(body))
    same(case.obtain(server.url), plain)
    assert len(server.seen) == 3


def test_cut_three_times(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.cut(body))
    said = case.fault(server.url)
    assert said.startswith(f"could not be fetched from {server.url} (try 1: the connection was cut, or is not HTTP")
    assert "try 3: " in said
    assert said.endswith("and there is no copy from before; try again, or bring the file there by hand without url")
    assert len(server.seen) == 3 and case.files == []


@pytest.mark.parametrize("engine", ["netcdf4", "scipy"])
def test_cut_without_length(
    real_case: Case, serve: Serve, answers: Any, content: xr.Dataset, write: Callable[..., Path], engine: str
) -> None:
    """NetCDF of both kinds says in its header how long it is, so its reader finds every cut."""
    body = write(content, "served.nc", engine=engine).read_bytes()
    sizes = [100, len(body) // 3, len(body) - len(body) // 50]
    server = serve(*(answers.bare(body[:size]) for size in sizes), answers.bare(body))
    for _ in sizes:
        assert "what came is refused: forecast.nc: " in real_case.fault(server.url)
        assert real_case.files == []
    real_case.obtain(server.url)
    assert real_case.path.read_bytes() == body


@pytest.mark.parametrize("bad", ["cut", "page", "hang", "drip", "drip in header", "endless", "404", "other host"])
def test_a_bad_server_leaves_the_copy_and_says_why(
    case: Case, serve: Serve, answers: Any, body: bytes, plain: xr.Dataset, bad: str, stopwatch: Any
) -> None:
    away = serve(answers.whole(body))
    answer, said = {
        "cut": (answers.cut(body), "try 3: the connection was cut"),
        "page": (answers.whole(b"<html>please log in</html>"), "a web page instead, perhaps a login page"),
        "hang": (answers.hang(), "try 1: the server did not answer in time"),
        "drip": (answers.drip(body[:64]), "not complete after "),
        "drip in header": (answers.drip_in_header(), "not complete after "),
        "endless": (answers.endless(body[:64]), "the server sends more and more"),
        "404": (answers.status(404), "the server answered 404 Not Found"),
        "other host": (answers.status(302, Location=away.url), "the server points to another host"),
    }[bad]
    server = serve(answers.whole(body), answer)
    case.obtain(server.url)
    case.aged(3.1)
    record = record_path(case.path).read_bytes()
    began_s = stopwatch()
    data = case.obtain(server.url, total_s=1.5)
    assert stopwatch() - began_s < 4.0
    same(data, plain)
    assert said in first_remark(data)
    used = (
        rf"forecast\.nc: could not be fetched from {server.url} \(.*\): the copy fetched {CLOCK}, 3\.1 h old, is used"
    )
    assert re.fullmatch(used, first_remark(data))
    assert (case.path.read_bytes(), record_path(case.path).read_bytes()) == (body, record)
    assert case.files == BOTH and away.seen == []


def test_a_checksum_of_the_move_is_held(
    real_case: Case, serve: Serve, answers: Any, body: bytes, other_body: bytes
) -> None:
    server = serve(answers.whole(other_body), answers.whole(body))
    right = hashlib.sha256(body).hexdigest()
    assert "forecast.nc: sha256: does not fit the file" in real_case.fault(server.url, sha256=right)
    assert real_case.files == []
    real_case.obtain(server.url, sha256=right)
    assert real_case.path.read_bytes() == body


def test_content_that_cannot_be_understood_does_not_replace_the_copy(
    real_case: Case,
    serve: Serve,
    answers: Any,
    content: xr.Dataset,
    write: Callable[..., Path],
    body: bytes,
    normal: xr.Dataset,
) -> None:
    content["fg10"].attrs["units"] = "furlong"
    server = serve(answers.whole(body), answers.whole(write(content, "worse.nc").read_bytes()))
    real_case.obtain(server.url)
    data = real_case.obtain(server.url)
    same(data, normal)
    assert "what came is refused: forecast.nc: fg10: " in first_remark(data)
    assert real_case.path.read_bytes() == body


def test_offline_takes_the_copy_and_says_so(
    case: Case, serve: Serve, answers: Any, body: bytes, plain: xr.Dataset
) -> None:
    server = serve(answers.whole(body))
    case.obtain(server.url)
    case.aged(3.1)
    data = case.obtain(server.url, offline=True)
    same(data, plain)
    assert re.fullmatch(rf"forecast\.nc: offline: the copy fetched {CLOCK}, 3\.1 h old, is used", first_remark(data))
    assert len(server.seen) == 1


def test_offline_without_a_believable_copy_is_refused(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.whole(body))
    assert case.fault(server.url, offline=True) == ("offline, and there is no copy from before; run without --offline")
    case.obtain(server.url)
    assert "and the copy came from another address" in case.fault(f"{server.url}?run=12", offline=True)
    case.path.write_bytes(case.path.read_bytes()[:-1] + b"x")
    assert "and the copy was changed after it was fetched" in case.fault(server.url, offline=True)
    assert len(server.seen) == 1


def test_a_copy_that_is_not_believed_is_fetched_again(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.whole(body, ETag='"7"'))
    case.obtain(server.url)
    case.path.write_bytes(body[:-1] + b"x")
    case.obtain(server.url)
    assert case.path.read_bytes() == body
    assert "If-None-Match" not in server.seen[1]
    case.obtain(f"{server.url}?run=12")
    assert "If-None-Match" not in server.seen[2]
    assert json.loads(record_path(case.path).read_text(encoding="utf-8"))["url"] == f"{server.url}?run=12"


def test_a_changed_copy_is_no_way_out(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.whole(body), answers.status(404))
    case.obtain(server.url)
    case.path.write_bytes(body[:-1] + b"x")
    said = case.fault(server.url)
    assert "(the server answered 404 Not Found), and the copy was changed after it was fetched" in said


def test_a_file_that_nobody_fetched_is_never_overwritten(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.whole(body))
    case.path.parent.mkdir()
    case.path.write_bytes(b"[move]\n")
    for offline in (False, True):
        said = case.fault(server.url, offline=offline)
        assert said == (
            "the file has no record forecast.nc.fetched.json, so it did not come from there; move it away, "
            "or take the url out of the move"
        )
    assert case.path.read_bytes() == b"[move]\n" and server.seen == []


def test_a_folder_is_not_fetched(case: Case, serve: Serve, answers: Any) -> None:
    case.path.mkdir(parents=True)
    assert case.fault(serve(answers.whole(b"")).url).startswith("is a folder; a Zarr folder is not fetched")


def test_a_key_in_the_address_is_not_said(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.whole(body), answers.status(404))
    url = f"{server.url}?key=secret"
    found = [case.obtain(url), case.obtain(url), case.obtain(url, offline=True)]
    assert all("secret" not in data.attrs["remarks"] for data in found)
    assert f"{server.url}?..." in first_remark(found[0]) and f"{server.url}?..." in first_remark(found[1])


def test_the_feed_may_allow_less(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    server = serve(answers.whole(body))
    assert "allowed are 0.05 MB" in case.fault(server.url, maximum_size_MB=0.05)
    assert len(server.seen) == 1


def test_opendap_needs_the_road(case: Case) -> None:
    said = case.fault("http://127.0.0.1:1/forecast", format="opendap")
    assert "the road is not known or crosses 180 degrees" in said


def test_what_was_given_up_ends_with_its_server(case: Case, serve: Serve, answers: Any, body: bytes) -> None:
    """A header that drips is given up at the deadline; the thread behind it cannot touch the copy any more."""
    server = serve(answers.drip_in_header())
    assert "not complete after 0.5 s" in case.fault(server.url, total_s=0.5)
    assert case.files == []
    server.over.set()
    for thread in threading.enumerate():
        if thread.name == "fetching":
            thread.join(timeout=5.0)
            assert not thread.is_alive()
    assert case.files == []


def test_a_text_forecast_comes_by_the_same_way(real_case: Case, serve: Serve, answers: Any) -> None:
    """An invented TAF; without a length it is refused, because a cut one may have lost its worst group."""
    text = b"2026-03-12T05:20Z\nTAF BRNK 120500Z 1206/1312 24010KT 9999 BKN040 TEMPO 1212/1218 25030G45KT=\n"
    place = {"longitude_deg": -21.4, "latitude_deg": -38.5, "elevation_m": 2100.0, "height_m": 10.0}
    station = Station(name="Brannock strip", valid_within_km=20.0, identifier="BRNK", **place)
    server = serve(answers.bare(text), answers.whole(text, ETag='"7"'))
    assert "cannot show that it is whole" in real_case.fault(server.url, format="taf", station=station)
    for _ in range(2):
        data = real_case.obtain(server.url, format="taf", station=station)
        assert float(data["gust_mps"].max()) == pytest.approx(45 * 1852 / 3600, abs=1e-3)


@pytest.mark.parametrize(
    ("attribute", "role"), [("forecast_reference_time", "forecast"), ("observed_until", "observation")]
)
def test_a_server_that_lags_behind_does_not_replace_a_newer_run(
    tmp_path: Path, quick: Limits, serve: Serve, answers: Any, body: bytes, attribute: str, role: str
) -> None:
    """The bytes end with the hour of the run; the copy of 06 UTC stays when the server goes back to 03 UTC."""

    def dated(path: Path, feed: Feed) -> xr.Dataset:
        return light(path, feed).assign_attrs(
            {"role": role, attribute: f"2026-03-09T{path.read_bytes()[-2:].decode()}:00:00Z"}
        )

    case = Case(tmp_path, quick, dated)
    server = serve(answers.whole(body + b"06"), answers.whole(body + b"03"), answers.whole(body + b"09"))
    newest = case.obtain(server.url)
    lagging = case.obtain(server.url)
    assert lagging.attrs[attribute] == newest.attrs[attribute] == "2026-03-09T06:00:00Z"
    assert case.path.read_bytes() == body + b"06"
    assert (
        "the server gives one of 2026-03-09T03:00:00 UTC, older than the copy of 2026-03-09T06:00:00 UTC"
        in first_remark(lagging)
    )
    assert case.obtain(server.url).attrs[attribute] == "2026-03-09T09:00:00Z"
    assert case.files == BOTH
