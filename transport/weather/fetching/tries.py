"""Several tries within a deadline: only where another try may help, with random pauses that grow."""

import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import TypeVar

from tenacity import RetryCallState, Retrying, retry_if_exception, stop_after_attempt, stop_before_delay
from tenacity import wait_random_exponential as growing

from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Deadline, Limits

__all__ = ["tried", "within"]

Result = TypeVar("Result")


def tried(work: Callable[[], Result], limits: Limits, deadline: Deadline) -> Result:
    """Result of the first try that succeeds.

    Errors: FetchError with the reason of every try.
    Source: random exponential pauses, common practice (practice).
    """
    reasons: list[str] = []

    def once() -> Result:
        try:
            return work()
        except FetchError as problem:
            reasons.append(str(problem))
            raise

    try:
        return _retrying(limits, deadline)(once)
    except FetchError:
        raise FetchError(_all(reasons)) from None


def within(deadline: Deadline, work: Callable[[], Result]) -> Result:
    """Run the work aside and give up on it at the deadline, whatever it hangs in: a name, a handshake, a header.

    What was given up ends by its own limits, and its draft is gone by then.      Errors: FetchError at the deadline.
    """
    answer: Future[Result] = Future()

    def run() -> None:
        try:
            answer.set_result(work())
        except BaseException as problem:  # handed over, not lost: raised where the answer is awaited
            answer.set_exception(problem)

    threading.Thread(target=run, daemon=True, name="fetching").start()
    try:
        return answer.result(timeout=deadline.left_s)
    except TimeoutError:
        raise FetchError(f"not complete after {deadline.given_s:.3g} s") from None


def _retrying(limits: Limits, deadline: Deadline) -> Retrying:
    pause = growing(multiplier=limits.wait_s, max=limits.longest_wait_s)

    def wait(state: RetryCallState) -> float:
        return max(pause(state), _asked_s(state))

    return Retrying(
        stop=stop_after_attempt(limits.tries_count) | stop_before_delay(deadline.left_s),
        retry=retry_if_exception(lambda problem: _worth(problem, limits)),
        wait=wait,
        reraise=True,
    )


def _worth(problem: BaseException, limits: Limits) -> bool:
    return isinstance(problem, FetchError) and problem.again and problem.wait_s <= limits.longest_wait_s


def _asked_s(state: RetryCallState) -> float:
    problem = state.outcome.exception() if state.outcome else None
    return problem.wait_s if isinstance(problem, FetchError) else 0.0


def _all(reasons: list[str]) -> str:
    if len(reasons) == 1:
        return reasons[0]
    return "; ".join(f"try {number}: {reason}" for number, reason in enumerate(reasons, start=1))
