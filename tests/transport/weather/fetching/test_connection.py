"""One GET against servers on this machine: statuses, redirects, cookies, proxies, TLS."""

import ssl
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from pathlib import Path
from typing import Any

import pytest

from transport.weather.fetching.connection import answered
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Limits

Serve = Callable[..., Any]
UNTRUSTED = Path(__file__).resolve().parents[3] / "data" / "loopback" / "untrusted.pem"


def failure(url: str, limits: Limits) -> FetchError:
    with pytest.raises(FetchError) as caught, answered(url, limits) as response:
        response.read()
    return caught.value


def test_what_is_asked(serve: Serve, answers: Any, quick: Limits) -> None:
    server = serve(answers.whole(b"body"))
    with answered(f"{server.url}?run=00", quick, {"If-None-Match": '"1"'}) as response:
        assert response.read() == b"body"
    (seen,) = server.seen
    assert seen["path"] == "/forecast.nc?run=00"
    assert seen["Accept-Encoding"] == "identity"
    assert seen["If-None-Match"] == '"1"'
    assert seen["User-Agent"] == "glasshaul"
    assert "Authorization" not in seen and "Cookie" not in seen


@pytest.mark.parametrize(
    ("status", "again", "said"),
    [
        (500, True, "the server answered 500 Internal Server Error"),
        (503, True, "the server answered 503 Service Unavailable"),
        (429, True, "the server answered 429 Too Many Requests"),
        (404, False, "the server answered 404 Not Found"),
        (401, False, "401 Unauthorized: it asks for a login, and none is given"),
        (403, False, "403 Forbidden: it asks for a login"),
        (204, False, "the server answered 204 No Content"),
        (206, False, "the server answered 206 Partial Content"),
        (304, False, "the server answered 304 Not Modified"),
    ],
)
def test_statuses(serve: Serve, answers: Any, quick: Limits, status: int, again: bool, said: str) -> None:
    problem = failure(serve(answers.status(status)).url, quick)
    assert said in str(problem)
    assert problem.again is again


def test_unchanged_counts_only_where_marks_were_sent(serve: Serve, answers: Any, quick: Limits) -> None:
    with answered(serve(answers.status(304)).url, quick, {"If-None-Match": '"1"'}) as response:
        assert response.status_code == 304


def test_the_pause_that_the_server_asks_for(serve: Serve, answers: Any, quick: Limits) -> None:
    in_an_hour = format_datetime(datetime.now(UTC) + timedelta(hours=1), usegmt=True)
    for text, least_s, most_s in (("7", 7, 7), (in_an_hour, 3500, 3600), ("soon", 0, 0), ("", 0, 0)):
        problem = failure(serve(answers.status(503, Retry_After=text)).url, quick)
        assert least_s <= problem.wait_s <= most_s


def test_redirects_within_the_host_are_followed(serve: Serve, answers: Any, quick: Limits) -> None:
    server = serve(answers.status(302, Location="/there?x=1"), answers.whole(b"body"))
    with answered(server.url, quick) as response:
        assert response.read() == b"body"
    assert [seen["path"] for seen in server.seen] == ["/forecast.nc", "/there?x=1"]


def test_redirects_to_another_host_are_not(serve: Serve, answers: Any, quick: Limits) -> None:
    other = serve(answers.whole(b"body"))
    problem = failure(serve(answers.status(307, Location=other.url)).url, quick)
    assert "the server points to another host, 127.0.0.1:" in str(problem)
    assert not problem.again
    assert other.seen == []


def test_redirects_without_end_or_target(serve: Serve, answers: Any, quick: Limits) -> None:
    server = serve(answers.status(301, Location="/forecast.nc"))
    assert "points on and on, more than 3 times" in str(failure(server.url, quick))
    assert len(server.seen) == 4
    assert "no address" in str(failure(serve(answers.status(301)).url, quick))


def test_no_cookie_is_kept(serve: Serve, answers: Any, quick: Limits) -> None:
    first = answers.status(302, Location="/there", Set_Cookie="session=1; Path=/")
    server = serve(first, answers.whole(b"body"))
    with answered(server.url, quick) as response:
        response.read()
    assert len(server.seen) == 2
    assert all("Cookie" not in seen for seen in server.seen)


def test_nothing_of_the_environment_is_used(
    serve: Serve, answers: Any, quick: Limits, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    proxy, server = serve(answers.whole(b"proxy")), serve(answers.whole(b"body"))
    netrc = tmp_path / "netrc"
    netrc.write_text("machine 127.0.0.1 login me password secret\n", encoding="utf-8")
    monkeypatch.setenv("NETRC", str(netrc))
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.setenv(name, proxy.url)
    monkeypatch.setenv("no_proxy", "")
    with answered(server.url, quick) as response:
        assert response.read() == b"body"
    assert proxy.seen == []
    assert "Authorization" not in server.seen[0]


def test_packed_answers_are_refused(serve: Serve, answers: Any, quick: Limits) -> None:
    problem = failure(serve(answers.whole(b"body", Content_Encoding="gzip")).url, quick)
    assert "packed the answer although asked not to" in str(problem)


def test_a_closed_port_a_hang_and_no_http(serve: Serve, answers: Any, quick: Limits) -> None:
    problem = failure("http://127.0.0.1:1/forecast.nc", quick)
    assert str(problem).startswith("no connection (") and problem.again
    problem = failure(serve(answers.hang()).url, quick)
    assert str(problem) == "the server did not answer in time (ReadTimeout)" and problem.again
    problem = failure(serve(lambda handler: handler.wfile.write(b"SSH-2.0\r\n")).url, quick)
    assert str(problem).startswith("the connection was cut, or is not HTTP (") and problem.again


def test_no_such_host(quick: Limits) -> None:
    assert "no such address" in str(failure("http://a..invalid/x.nc", quick))


def test_a_certificate_that_nobody_signed_is_refused(serve: Serve, answers: Any, quick: Limits) -> None:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(UNTRUSTED)
    server = serve(answers.whole(b"body"), tls=context)
    problem = failure(server.url, quick)
    assert "certificate verify failed" in str(problem).lower()
    assert server.seen == []


def test_https_is_never_asked_again_without_tls(serve: Serve, answers: Any, quick: Limits) -> None:
    server = serve(answers.whole(b"body"))
    problem = failure(server.url.replace("http:", "https:"), quick)
    assert str(problem).startswith("no connection (")
    assert server.seen == []
