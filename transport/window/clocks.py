"""Limits of the clock alone: daylight for the stages that need it, and how long a measured tension may be believed."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.weather.sun import solar_elevation_deg
from transport.window.schedule import Passage

__all__ = ["Clock", "believed", "daylight"]

STEP_S = 300.0


class Clock(NamedTuple):
    """A check of each start that no forecast enters: utilisation 0 or infinite, NaN when unknown."""

    name: str
    stage: str
    words: str
    utilisation: Array
    when_s: Array


def daylight(
    passages: Sequence[Passage], start_s: Array, *, longitude_deg: Array, latitude_deg: Array
) -> Iterator[Clock]:
    """Closed when any part of a daylight stage lies outside civil twilight.

    Civil twilight: sun's centre 6 deg below the horizon; a sun that is not known counts as dark. Sampled every 5
    minutes, ends rounded outwards.
    Source: definition of civil twilight, common astronomical practice (memory).
    """
    wanted = [passage for passage in passages if passage.stage.daylight]
    if not wanted:
        return
    first = np.floor(start_s[0] / STEP_S) * STEP_S
    last = start_s[-1] + max(passage.stay.late_s[-1] for passage in wanted) + 2 * STEP_S
    grid_s = np.arange(first, last + STEP_S, STEP_S)
    elevation_deg = solar_elevation_deg(grid_s.astype("datetime64[s]"), longitude_deg, latitude_deg)
    dark = ~(elevation_deg >= figure("window_civil_twilight_deg"))
    for passage in wanted:
        begin_s, end_s = start_s + passage.stay.early_s[0], start_s + passage.stay.late_s[-1]
        begin, end = _floor(begin_s, first), _floor(end_s, first) + 1
        count = np.concatenate([[0], np.cumsum(dark)])
        closed = count[end + 1] > count[begin]
        when_s = np.where(dark[begin], begin_s, end_s)
        yield Clock(
            "daylight", passage.stage.name, "part of the stage lies in the dark", np.where(closed, np.inf, 0.0), when_s
        )


def believed(passages: Sequence[Passage], start_s: Array, until_s: float, valid_s: float) -> Iterator[Clock]:
    """Unknown when a stage under the cover ends after its tension may no longer be believed.

    A tension measured beforehand holds until `until_s`, but not once the cover has been off; one measured in a stage of
    the operation holds for `valid_s` from the earliest beginning of that stage.
    """
    limit_s = np.full(start_s.shape, until_s)
    for passage in passages:
        if passage.stage.cover == "off":
            limit_s = np.full(start_s.shape, np.nan)
            continue
        if passage.stage.measures_tension:
            limit_s = start_s + passage.stay.early_s[0] + valid_s
        end_s = start_s + passage.stay.late_s[-1]
        value = np.where(end_s <= limit_s, 0.0, np.nan)
        yield Clock("cover tension", passage.stage.name, "no measured tension can be believed then", value, end_s)


def _floor(time_s: Array, first_s: float) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    return ((time_s - first_s) // STEP_S).astype(np.intp)
