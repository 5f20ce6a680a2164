"""One try over HTTP: whole, in time, not too large, and weather; every bad answer is a reason."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest

from transport.weather.feeds.feed import READERS
from transport.weather.fetching import download
from transport.weather.fetching.download import Wanted, downloaded
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.fetching.record import Arrival, Record

Serve = Callable[..., Any]
NOW = datetime.now(UTC)
TEXT = b"TAF BRNK 090500Z 0906/1006 24018KT TEMPO 0912/0918 25030G45KT="


@pytest.fixture
def draft(tmp_path: Path) -> Path:
    return tmp_path / "draft.nc"


def wanted(url: str, format: str = "gridded", size_MB: float = 10.0, *, proven: bool = False) -> Wanted:
    return Wanted(url, format, tuple(READERS), round(size_MB * 1e6), proven)


def failure(asked: Wanted, draft: Path, limits: Limits, total_s: float = 5.0) -> FetchError:
    with pytest.raises(FetchError) as caught:
        downloaded(asked, draft, None, limits, Deadline(total_s))
    return caught.value


def test_a_file_comes_with_its_marks(serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes) -> None:
    server = serve(answers.whole(body, ETag='"7"', Last_Modified="Mon, 09 Mar 2026 05:00:00 GMT"))
    found = downloaded(wanted(server.url), draft, None, quick, Deadline(5.0))
    digest = hashlib.sha256(body).hexdigest()
    assert found == Arrival(len(body), digest, '"7"', "Mon, 09 Mar 2026 05:00:00 GMT")
    assert draft.read_bytes() == body


@pytest.mark.parametrize("marks", [{"ETag": '"7"'}, {"Last_Modified": "Mon, 09 Mar 2026 05:00:00 GMT"}])
def test_a_known_file_does_not_come_again(
    serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes, marks: dict[str, str]
) -> None:
    server = serve(answers.whole(body, **marks))
    first = downloaded(wanted(server.url), draft, None, quick, Deadline(5.0))
    assert isinstance(first, Arrival)
    draft.unlink()
    known = Record(url=server.url, fetched_at=NOW, checked_at=NOW, **first._asdict())
    assert downloaded(wanted(server.url), draft, known, quick, Deadline(5.0)) is known
    assert not draft.exists()


def test_marks_that_could_do_harm_are_not_kept(
    serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes
) -> None:
    server = serve(answers.whole(body, ETag=f'"{1000 * "7"}"', Last_Modified="\xa0"))
    found = downloaded(wanted(server.url), draft, None, quick, Deadline(5.0))
    assert isinstance(found, Arrival)
    assert (found.etag, found.last_modified) == (None, None)


def test_a_file_in_pieces_is_whole(serve: Serve, answers: Any, quick: Limits, draft: Path) -> None:
    found = downloaded(wanted(serve(answers.pieces(TEXT)).url, "taf"), draft, None, quick, Deadline(5.0))
    assert isinstance(found, Arrival) and found.size_bytes == len(TEXT)


@pytest.mark.parametrize("bad", ["cut", "pieces"])
def test_a_cut_file_with_length_is_worth_another_try(
    serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes, bad: str
) -> None:
    answer = answers.cut(body) if bad == "cut" else answers.pieces(body[:5000], closed=False)
    problem = failure(wanted(serve(answer).url), draft, quick)
    assert str(problem).startswith("the connection was cut, or is not HTTP (peer closed connection")
    assert problem.again


def test_without_length_only_what_shows_its_own(
    serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes
) -> None:
    said = "does not say how long the file is, and a file of this kind cannot show that it is whole; give its sha256"
    problem = failure(wanted(serve(answers.bare(TEXT)).url, "taf"), draft, quick)
    assert said in str(problem) and not problem.again
    grib = Wanted(serve(answers.bare(b"GRIB" + bytes(100))).url, "gridded", (b"GRIB",), 10**6, proven=False)
    assert said in str(failure(grib, draft, quick))
    for answer, format, proven in ((body, "gridded", False), (TEXT, "taf", True)):
        asked = wanted(serve(answers.bare(answer)).url, format, proven=proven)
        assert isinstance(downloaded(asked, draft, None, quick, Deadline(5.0)), Arrival)


def test_a_short_text_is_judged_at_its_end(serve: Serve, answers: Any, quick: Limits, draft: Path) -> None:
    found = downloaded(wanted(serve(answers.whole(b"$WIMWV")).url, "nmea"), draft, None, quick, Deadline(5.0))
    assert isinstance(found, Arrival) and found.size_bytes == 6


def test_the_length_is_counted_whatever_the_library_says(
    quick: Limits, draft: Path, body: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    @contextmanager
    def short(*_: Any) -> Iterator[httpx.Response]:
        yield httpx.Response(200, headers={"Content-Length": str(len(body))}, content=body[:-1])

    monkeypatch.setattr(download, "answered", short)
    problem = failure(wanted("http://127.0.0.1:1/forecast.nc"), draft, quick)
    assert str(problem) == f"cut: {len(body) - 1} of {len(body)} bytes came" and problem.again


def test_a_login_page_is_refused_at_once(serve: Serve, answers: Any, quick: Limits, draft: Path) -> None:
    page = b"<!DOCTYPE html><html><body>Please log in</body></html>"
    for format in ("gridded", "taf"):
        problem = failure(wanted(serve(answers.whole(page)).url, format), draft, quick)
        assert "a web page instead, perhaps a login page" in str(problem) and not problem.again


def test_an_empty_answer_is_refused(serve: Serve, answers: Any, quick: Limits, draft: Path) -> None:
    assert "the server sent nothing" in str(failure(wanted(serve(answers.whole(b"")).url), draft, quick))


def test_a_server_that_hangs(serve: Serve, answers: Any, quick: Limits, draft: Path, stopwatch: Any) -> None:
    problem = failure(wanted(serve(answers.hang()).url), draft, quick)
    assert "did not answer in time (ReadTimeout)" in str(problem) and problem.again
    assert stopwatch() < 2.0


def test_a_server_that_drips(
    serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes, stopwatch: Any
) -> None:
    """Each byte comes in time for the limit of silence; only the deadline ends it."""
    problem = failure(wanted(serve(answers.drip(body[:64])).url), draft, quick, total_s=0.6)
    assert str(problem) == "not complete after 0.6 s" and not problem.again
    assert 0.6 <= stopwatch() < 2.0


def test_a_body_without_end(
    serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes, stopwatch: Any
) -> None:
    problem = failure(wanted(serve(answers.endless(body[:64])).url, size_MB=1.0), draft, quick)
    assert str(problem) == ("the server sends more and more, allowed are 1 MB; ask for a part, or set maximum_size_MB")
    assert draft.stat().st_size < 1.2e6
    assert stopwatch() < 2.0


def test_too_large_by_its_own_word(serve: Serve, answers: Any, quick: Limits, draft: Path, body: bytes) -> None:
    problem = failure(wanted(serve(answers.cut(body, 0.01)).url, size_MB=0.01), draft, quick)
    assert str(problem).startswith("the server announces 0.") and "allowed are 0.01 MB" in str(problem)
    assert not draft.exists()


def test_a_draft_that_cannot_be_written(serve: Serve, answers: Any, quick: Limits, body: bytes, tmp_path: Path) -> None:
    problem = failure(wanted(serve(answers.whole(body)).url), tmp_path, quick)
    assert "the draft cannot be written (Is a directory)" in str(problem)
