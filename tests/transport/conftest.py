"""Servers on this machine, good ones and bad ones, started and ended by the test that asks for them."""

import ssl
import threading
import time
import warnings
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socketserver import ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

import numpy as np
import pytest
import xarray as xr

Wsgi = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


class Handler(BaseHTTPRequestHandler):
    """One request; `server.loopback` says how it is answered."""

    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        loopback: Loopback = self.server.loopback  # type: ignore[attr-defined]
        loopback.seen.append(dict(self.headers) | {"path": self.path})
        number = min(len(loopback.seen), len(loopback.answers)) - 1
        self.close_connection = True
        with suppress(ConnectionError):
            loopback.answers[number](self)

    def log_message(self, *_: Any) -> None:
        """Say nothing."""

    def start(self, status: int, **headers: str | int) -> None:
        """Status and headers, underscores for hyphens."""
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), str(value))
        self.send_header("Connection", "close")
        self.end_headers()

    def wait(self, seconds_s: float = 30.0) -> bool:
        """Wait, but not longer than the test lasts; True when the test is over."""
        return bool(self.server.loopback.over.wait(seconds_s))  # type: ignore[attr-defined]


class Server(ThreadingHTTPServer):
    """It waits for all of its answers at its end, and says nothing of connections that break."""

    daemon_threads = False

    def handle_error(self, *_: Any) -> None:
        """Say nothing."""


Answer = Callable[[Handler], None]


@dataclass
class Loopback:
    """A server: its address, what it was asked, and its answers in turn, the last one for ever."""

    url: str
    answers: tuple[Answer, ...]
    seen: list[dict[str, str]] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)


class Answers:
    """Answers that a server can give."""

    @staticmethod
    def whole(body: bytes, **headers: str) -> Answer:
        """The file; 304 for one who has it by the same ETag or the same last change."""

        def answer(handler: Handler) -> None:
            asked = handler.headers
            same_tag = "ETag" in headers and asked["If-None-Match"] == headers["ETag"]
            same_time = "Last_Modified" in headers and asked["If-Modified-Since"] == headers["Last_Modified"]
            if same_tag or same_time:
                handler.start(304)
                return
            handler.start(200, Content_Length=len(body), **headers)
            handler.wfile.write(body)

        return answer

    @staticmethod
    def bare(body: bytes) -> Answer:
        """Without length: the end of the connection is the end of the body."""

        def answer(handler: Handler) -> None:
            handler.start(200)
            handler.wfile.write(body)

        return answer

    @staticmethod
    def pieces(body: bytes, *, closed: bool = True) -> Answer:
        """In pieces; without the last, empty one if the connection breaks."""

        def answer(handler: Handler) -> None:
            handler.start(200, Transfer_Encoding="chunked")
            handler.wfile.write(f"{len(body):x}\r\n".encode() + body + (b"\r\n0\r\n\r\n" if closed else b"\r\n"))

        return answer

    @staticmethod
    def cut(body: bytes, part: float = 0.6) -> Answer:
        """With the true length, but the connection breaks before."""

        def answer(handler: Handler) -> None:
            handler.start(200, Content_Length=len(body))
            handler.wfile.write(body[: round(part * len(body))])

        return answer

    @staticmethod
    def status(status: int, body: bytes = b"", **headers: str) -> Answer:
        """Any status."""

        def answer(handler: Handler) -> None:
            handler.start(status, Content_Length=len(body), **headers)
            handler.wfile.write(body)

        return answer

    @staticmethod
    def hang() -> Answer:
        """Accepts and says nothing."""
        return lambda handler: handler.wait() and None

    @staticmethod
    def drip(head: bytes, every_s: float = 0.05) -> Answer:
        """The body a byte at a time, for ever, each in time for a limit of silence."""

        def answer(handler: Handler) -> None:
            handler.start(200, Content_Length=10**6)
            handler.wfile.write(head)
            while not handler.wait(every_s):
                handler.wfile.write(b"x")

        return answer

    @staticmethod
    def drip_in_header(every_s: float = 0.05) -> Answer:
        """The header a byte at a time, for ever."""

        def answer(handler: Handler) -> None:
            handler.wfile.write(b"HTTP/1.1 200 OK\r\nX-Slow: ")
            while not handler.wait(every_s):
                handler.wfile.write(b"x")

        return answer

    @staticmethod
    def endless(head: bytes) -> Answer:
        """Megabyte after megabyte, without length."""

        def answer(handler: Handler) -> None:
            handler.start(200)
            handler.wfile.write(head)
            while not handler.wait(0.0):
                handler.wfile.write(bytes(10**5))

        return answer


@pytest.fixture
def answers() -> type[Answers]:
    return Answers


@pytest.fixture
def serve() -> Iterator[Callable[..., Loopback]]:
    """Start a server that gives the answers in turn."""
    running: list[tuple[ThreadingHTTPServer, threading.Thread]] = []

    def start(*answers: Answer, path: str = "/forecast.nc", tls: ssl.SSLContext | None = None) -> Loopback:
        server = Server(("127.0.0.1", 0), Handler)
        if tls is not None:
            server.socket = tls.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
        scheme = "http" if tls is None else "https"
        loopback = Loopback(f"{scheme}://127.0.0.1:{server.server_address[1]}{path}", answers)
        server.loopback = loopback  # type: ignore[attr-defined]
        running.append((server, _started(server)))
        return loopback

    yield start
    for server, thread in running:
        server.loopback.over.set()  # type: ignore[attr-defined]
        _ended(server, thread)


class QuietRequests(WSGIRequestHandler):
    """Requests that are not logged."""

    def log_message(self, *_: Any) -> None:
        """Say nothing."""


class ThreadedWsgi(ThreadingMixIn, WSGIServer):
    """A server that answers several requests at a time, and waits for all of them at its end."""

    daemon_threads = False


@dataclass
class DapServer:
    """An OPeNDAP server: address of its data set, parts that it was asked for, and the end of the test."""

    url: str
    seen: list[str] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)


@pytest.fixture
def serve_dap() -> Iterator[Callable[..., DapServer]]:
    """Start a server for content; `spoil(part, body)` may change what it sends, wait, or raise a status."""
    running: list[tuple[Any, threading.Thread, DapServer]] = []

    def start(data: xr.Dataset, spoil: Callable[[str, bytes], bytes] | None = None) -> DapServer:
        found = DapServer("")
        server = make_server(
            "127.0.0.1", 0, _spoiling(_dap(data), found, spoil), ThreadedWsgi, handler_class=QuietRequests
        )
        found.url = f"http://127.0.0.1:{server.server_address[1]}/forecast.nc"
        running.append((server, _started(server), found))
        return found

    yield start
    for server, thread, found in running:
        found.over.set()
        _ended(server, thread)


def _started(server: Any) -> threading.Thread:
    thread = threading.Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    return thread


def _ended(server: Any, thread: threading.Thread) -> None:
    server.shutdown()
    thread.join()
    server.server_close()


def _dap(data: xr.Dataset) -> Wsgi:
    """pydap serves content that lies in memory; its own NetCDF handler sends subsets wrongly."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # webob still imports a module of the standard library that is on its way out
        from pydap.handlers.lib import BaseHandler
        from pydap.model import BaseType, DatasetType

    served = DatasetType("forecast")
    for name, variable in data.variables.items():
        values = variable.to_numpy()
        values = values.astype(np.int32) if values.dtype.kind == "i" and values.dtype.itemsize == 8 else values
        attributes = dict(variable.attrs)
        served[str(name)] = BaseType(str(name), values, dims=tuple(map(str, variable.dims)), attributes=attributes)
    return BaseHandler(served)


def _spoiling(app: Wsgi, found: DapServer, spoil: Callable[[str, bytes], bytes] | None) -> Wsgi:
    def answer(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        from webob import Request

        request = Request(environ)
        part = request.path.rpartition(".")[2] + (f"?{request.query_string}" if request.query_string else "")
        found.seen.append(part)
        response = request.get_response(app)
        body, status = response.body, response.status
        if spoil is not None:
            try:
                body = spoil(part, body)
            except StatusError as problem:
                body, status = b"Error", str(problem)
        start_response(status, [("Content-Type", response.content_type)])
        return [body]

    return answer


class StatusError(Exception):
    """A server's refusal."""


@pytest.fixture
def status_error() -> type[StatusError]:
    return StatusError


@pytest.fixture
def stopwatch() -> Callable[[], float]:
    """Seconds since the test began."""
    start_s = time.monotonic()
    return lambda: time.monotonic() - start_s
