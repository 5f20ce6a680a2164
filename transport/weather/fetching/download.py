"""One try to bring a file over HTTP into a draft: bounded in time and size, whole, and weather by its first bytes."""

import hashlib
from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from transport.weather.fetching.connection import answered
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.first_bytes import ENOUGH, check_start, says_its_length
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.fetching.record import Arrival, Record

if TYPE_CHECKING:
    import httpx

__all__ = ["Wanted", "downloaded"]

LONGEST_MARK = 300


class Wanted(NamedTuple):
    """What is asked for; kinds: first bytes of the files that can be read; proven: the move holds its SHA-256."""

    url: str
    format: str
    kinds: Collection[bytes]
    size_limit_bytes: int
    proven: bool


def downloaded(
    wanted: Wanted, draft: Path, known: Record | None, limits: Limits, deadline: Deadline
) -> Arrival | Record:
    """Bring the file into the draft; the known record itself if the server says that its copy is still the newest.

    Errors: FetchError with the reason and whether another try may help.
    Source: HTTP semantics of RFC 9110, sections 8.6 and 8.8 (memory).
    """
    with answered(wanted.url, limits, _marks(known)) as response:
        if known is not None and response.status_code == 304:
            return known
        length_bytes = _declared_bytes(response, wanted)
        size_bytes, sha256, head = _streamed(response, wanted, draft, deadline)
        check_start(head, wanted.format, wanted.kinds)
        _check_whole(response, size_bytes, length_bytes, proven=wanted.proven or says_its_length(head))
        return Arrival(size_bytes, sha256, _mark(response, "etag"), _mark(response, "last-modified"))


def _marks(known: Record | None) -> dict[str, str]:
    marks = {"If-None-Match": known.etag, "If-Modified-Since": known.last_modified} if known else {}
    return {name: value for name, value in marks.items() if value}


def _declared_bytes(response: "httpx.Response", wanted: Wanted) -> int | None:
    text = response.headers.get("content-length", "")
    length_bytes = int(text) if text.isdecimal() else None
    if length_bytes is not None and length_bytes > wanted.size_limit_bytes:
        raise FetchError(f"the server announces {length_bytes / 1e6:.3g} MB, {_allowed(wanted)}")
    return length_bytes


def _streamed(response: "httpx.Response", wanted: Wanted, draft: Path, deadline: Deadline) -> tuple[int, str, bytes]:
    """Size, SHA-256 and first bytes of what came; parts are taken as they arrive, so that the clock is looked at."""
    size_bytes, digest, head = 0, hashlib.sha256(), b""
    try:
        with draft.open("wb") as file:
            for part in response.iter_bytes():
                size_bytes += len(part)
                _check_progress(size_bytes, wanted, deadline)
                head = _checked(head, part, wanted)
                digest.update(part)
                file.write(part)
    except OSError as problem:
        raise FetchError(f"the draft cannot be written ({problem.strerror})") from None
    return size_bytes, digest.hexdigest(), head


def _allowed(wanted: Wanted) -> str:
    return f"allowed are {wanted.size_limit_bytes / 1e6:g} MB; ask for a part, or set maximum_size_MB"


def _check_progress(size_bytes: int, wanted: Wanted, deadline: Deadline) -> None:
    if size_bytes > wanted.size_limit_bytes:
        raise FetchError(f"the server sends more and more, {_allowed(wanted)}")
    if not deadline.left_s > 0.0:
        raise FetchError(f"not complete after {deadline.given_s:.3g} s")


def _checked(head: bytes, part: bytes, wanted: Wanted) -> bytes:
    """The first bytes so far; as soon as there are enough of them they are judged, once."""
    if len(head) >= ENOUGH:
        return head
    head = (head + part)[:ENOUGH]
    if len(head) == ENOUGH:
        check_start(head, wanted.format, wanted.kinds)
    return head


def _check_whole(response: "httpx.Response", size_bytes: int, length_bytes: int | None, *, proven: bool) -> None:
    """A body is whole if its length was announced, or it came in closed pieces, or its own content proves it."""
    if length_bytes is not None and size_bytes != length_bytes:
        raise FetchError(f"cut: {size_bytes} of {length_bytes} bytes came", again=True)
    in_pieces = response.headers.get("transfer-encoding", "").lower().endswith("chunked")
    if length_bytes is None and not in_pieces and not proven:
        raise FetchError(
            "the server does not say how long the file is, and a file of this kind cannot show that it is whole; "
            "give its sha256, or fetch it by hand"
        )


def _mark(response: "httpx.Response", name: str) -> str | None:
    value = response.headers.get(name)
    return value if value and len(value) <= LONGEST_MARK and value.isascii() and value.isprintable() else None
