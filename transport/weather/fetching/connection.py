"""One GET under the rules of the house: redirects stay on their host, and what fails says whether to try again.

No cookies, no login, and nothing of the environment: neither a proxy nor a netrc file is used. TLS is always verified.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from http.cookiejar import CookieJar, DefaultCookiePolicy
from typing import TYPE_CHECKING

from transport.weather.fetching.address import redirected
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Limits

if TYPE_CHECKING:
    import httpx

__all__ = ["answered"]

REDIRECTS = (301, 302, 303, 307, 308)
LOGINS = (401, 403, 407)


@contextmanager
def answered(url: str, limits: Limits, marks: Mapping[str, str] | None = None) -> Iterator["httpx.Response"]:
    """The answer 200 of a server, or 304 where marks of an earlier answer are given, its body not read yet.

    Errors: FetchError for any other status, and whatever fails while the answer is used.
    Source: HTTP semantics of RFC 9110, sections 13.1 and 15 (memory).
    """
    import httpx

    headers = {"Accept": "*/*", "Accept-Encoding": "identity", "User-Agent": "glasshaul", **(marks or {})}
    try:
        with _client(limits) as client, _followed(client, url, headers, limits.redirects_count) as response:
            _check(response, known=bool(marks))
            yield response
    except httpx.TimeoutException as problem:
        raise FetchError(f"the server did not answer in time ({type(problem).__name__})", again=True) from None
    except httpx.RemoteProtocolError as problem:
        raise FetchError(f"the connection was cut, or is not HTTP ({problem})", again=True) from None
    except httpx.TransportError as problem:
        raise FetchError(f"no connection ({problem or type(problem).__name__})", again=True) from None
    except (httpx.InvalidURL, UnicodeError) as problem:
        raise FetchError(f"no such address ({problem})") from None


def _client(limits: Limits) -> "httpx.Client":
    import httpx

    return httpx.Client(
        timeout=httpx.Timeout(limits.read_s, connect=limits.connect_s),
        verify=True,
        trust_env=False,
        follow_redirects=False,
        cookies=CookieJar(DefaultCookiePolicy(allowed_domains=())),
    )


@contextmanager
def _followed(
    client: "httpx.Client", url: str, headers: dict[str, str], redirects_count: int
) -> Iterator["httpx.Response"]:
    for _ in range(redirects_count + 1):
        with client.stream("GET", url, headers=headers) as response:
            if response.status_code not in REDIRECTS:
                yield response
                return
            url = _next(url, response.headers.get("location", ""))
    raise FetchError(f"the server points on and on, more than {redirects_count} times")


def _next(url: str, location: str) -> str:
    try:
        return redirected(url, location)
    except ValueError as problem:
        raise FetchError(str(problem)) from None


def _check(response: "httpx.Response", *, known: bool) -> None:
    status = response.status_code
    told = f"the server answered {status} {response.reason_phrase}".strip()
    if status == 429 or status >= 500:
        raise FetchError(told, again=True, wait_s=_retry_after_s(response.headers.get("retry-after", "")))
    if status in LOGINS:
        raise FetchError(f"{told}: it asks for a login, and none is given; fetch the file by hand")
    if status != 200 and not (status == 304 and known):
        raise FetchError(told)
    if response.headers.get("content-encoding", "identity").lower() != "identity":
        raise FetchError("the server packed the answer although asked not to, so its length proves nothing")


def _retry_after_s(text: str) -> float:
    """Seconds that the server asks to wait, 0 if it asks for none or is not understood.

    Source: RFC 9110, 10.2.3 (memory).
    """
    if text.strip().isdecimal():
        return float(text)
    try:
        moment = parsedate_to_datetime(text)
    except ValueError:
        return 0.0
    return max((moment.astimezone(UTC) - datetime.now(UTC)).total_seconds(), 0.0)
