"""Tries, pauses and the deadline, with short limits."""

import time
from collections.abc import Callable

import pytest

from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.fetching.tries import tried, within

QUICK = Limits(1.0, 1.0, 5.0, 3, 0.01, 0.2, 3, 1.0)


def failing(*problems: FetchError) -> tuple[Callable[[], str], list[float]]:
    """Work that fails with these problems, then succeeds; and when it was called."""
    left, calls = list(problems), []

    def work() -> str:
        calls.append(time.monotonic())
        if left:
            raise left.pop(0)
        return "done"

    return work, calls


def test_the_third_try_succeeds() -> None:
    work, calls = failing(FetchError("503", again=True), FetchError("cut", again=True))
    assert tried(work, QUICK, Deadline(5.0)) == "done"
    assert len(calls) == 3


def test_every_try_is_told() -> None:
    work, calls = failing(*(FetchError(f"reason {n}", again=True) for n in range(1, 9)))
    with pytest.raises(FetchError, match=r"^try 1: reason 1; try 2: reason 2; try 3: reason 3$"):
        tried(work, QUICK, Deadline(5.0))
    assert len(calls) == 3


def test_no_other_try_where_it_cannot_help() -> None:
    work, calls = failing(FetchError("404"))
    with pytest.raises(FetchError, match=r"^404$"):
        tried(work, QUICK, Deadline(5.0))
    assert len(calls) == 1


def test_an_error_of_our_own_is_not_hidden() -> None:
    with pytest.raises(ZeroDivisionError):
        tried(lambda: str(1 // 0), QUICK, Deadline(5.0))
    with pytest.raises(ZeroDivisionError):
        within(Deadline(5.0), lambda: str(1 // 0))


def test_a_pause_that_the_server_asks_for_is_kept() -> None:
    work, calls = failing(FetchError("429", again=True, wait_s=0.15))
    assert tried(work, QUICK, Deadline(5.0)) == "done"
    assert calls[1] - calls[0] >= 0.15


def test_a_pause_that_is_too_long_is_not_waited_for() -> None:
    work, calls = failing(FetchError("429", again=True, wait_s=3600.0))
    with pytest.raises(FetchError, match=r"^429$"):
        tried(work, QUICK, Deadline(5.0))
    assert len(calls) == 1


def test_no_pause_runs_over_the_deadline() -> None:
    work, calls = failing(*(FetchError("503", again=True, wait_s=0.15) for _ in range(9)))
    start_s = time.monotonic()
    with pytest.raises(FetchError, match=r"^try 1: 503; try 2: 503$"):
        tried(work, QUICK, Deadline(0.25))
    assert len(calls) == 2 and time.monotonic() - start_s < 0.25


def test_work_that_hangs_is_given_up() -> None:
    start_s = time.monotonic()
    with pytest.raises(FetchError, match=r"^not complete after 0.1 s$"):
        within(Deadline(0.1), lambda: time.sleep(0.6))
    assert time.monotonic() - start_s < 0.4
    time.sleep(0.6)
