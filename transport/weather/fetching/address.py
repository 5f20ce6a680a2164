"""Addresses that may be fetched: http and https, no login in them, and redirects that stay where they were."""

from urllib.parse import SplitResult, urljoin, urlsplit

__all__ = ["fault_of", "redirected", "shown"]

PORTS = {"http": 80, "https": 443}
LONGEST = 2000


def fault_of(url: str) -> str | None:
    """What is wrong with an address, None if it may be fetched.

    Source: URI syntax of RFC 3986 (memory).
    """
    if len(url) > LONGEST or any(sign.isspace() or not sign.isprintable() for sign in url):
        return f"has spaces or unprintable signs, or more than {LONGEST} signs; copy it again"
    try:
        parts = urlsplit(url)
        host, _ = parts.hostname, parts.port
    except ValueError as problem:
        return f"is no address ({problem}); write for example https://host/forecast.nc"
    if parts.scheme in ("dap2", "dap4"):
        return f'begins with {parts.scheme}:, allowed are https: and http:; write https: and format = "opendap"'
    if parts.scheme not in PORTS:
        return f"begins with '{parts.scheme}:', allowed are https: and http:; a file at hand needs no url, only path"
    if parts.username is not None or parts.password is not None:
        return "holds a user name or password, which every copy of the move would give away; use one without login"
    if not host or parts.fragment:
        return f"{'has a fragment (#)' if host else 'names no host'}; write for example https://host/forecast.nc"
    return None


def shown(url: str) -> str:
    """The address for a message: without its query, which may hold a key."""
    base, mark, _ = url.partition("?")
    return f"{base}?..." if mark else base


def redirected(url: str, location: str) -> str:
    """Where a redirect leads, if that is the same host and port, or the step up from http to https.

    Errors: ValueError with the reason for any other.      Source: house rule (practice).
    """
    target = urljoin(url, location)
    if not location or fault_of(target):
        raise ValueError("the server points to something that is no address")
    before, after = urlsplit(url), urlsplit(target)
    if (before.scheme, after.scheme) == ("https", "http"):
        raise ValueError("the server points from https to http, which anybody on the way could change")
    step_up = before.scheme != after.scheme and (_port(before), _port(after)) == (PORTS["http"], PORTS["https"])
    if before.hostname != after.hostname or not (step_up or _port(before) == _port(after)):
        raise ValueError(
            f"the server points to another host, {after.netloc}; if that is right, give its address as url"
        )
    return target


def _port(parts: SplitResult) -> int:
    return parts.port or PORTS[parts.scheme]
