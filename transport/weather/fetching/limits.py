"""How long, how often and how much: the limits of fetching in one place."""

import time
from typing import NamedTuple

from shared.tables import figure

__all__ = ["Deadline", "Limits", "usual_limits"]


class Limits(NamedTuple):
    """Limits of one run; `total_s` holds for all feeds together, the others for each try."""

    connect_s: float
    read_s: float
    total_s: float
    tries_count: int
    wait_s: float
    longest_wait_s: float
    redirects_count: int
    size_MB: float


def usual_limits() -> Limits:
    """The limits that are taken if nobody gives others.      Source: shared/published/figures.csv (practice)."""
    return Limits(
        connect_s=figure("weather_fetch_connect_s"),
        read_s=figure("weather_fetch_read_s"),
        total_s=figure("weather_fetch_total_s"),
        tries_count=round(figure("weather_fetch_tries_count")),
        wait_s=figure("weather_fetch_wait_s"),
        longest_wait_s=figure("weather_fetch_longest_wait_s"),
        redirects_count=round(figure("weather_fetch_redirects_count")),
        size_MB=figure("weather_fetch_size_MB"),
    )


class Deadline:
    """A moment on the clock that nobody can set, after which all is over."""

    def __init__(self, seconds_s: float) -> None:
        self._end_s = time.monotonic() + seconds_s
        self.given_s = seconds_s

    @property
    def left_s(self) -> float:
        """Seconds that are left, never less than zero."""
        return max(self._end_s - time.monotonic(), 0.0)

    def share(self, count: int) -> "Deadline":
        """An equal share of what is left, so that one slow server does not take the time of the others."""
        return Deadline(self.left_s / count)
