"""Daylight and the age of a measured tension."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from transport.window.clocks import believed, daylight
from transport.window.inputs import Stage
from transport.window.overlap import Stay
from transport.window.schedule import Passage

PLACE = {"longitude_deg": np.asarray(-21.3), "latitude_deg": np.asarray(-38.5)}
DRIVE = Stage(name="Drive", kind="drive", contingency_ratio=0.0, daylight=True)


def seconds(text: str) -> float:
    return float(np.datetime64(text, "s").astype(float))


def stay(hours: float, stage: Stage = DRIVE) -> Passage:
    return Passage(stage, np.array([0]), Stay(np.array([0.0]), np.array([3600.0 * hours])))


@pytest.fixture
def dawn_and_dusk() -> tuple[float, float]:
    """Civil twilight of the invented place on 2026-03-10 after pvlib (reference library), to the minute."""
    times = pd.date_range("2026-03-10", "2026-03-11", freq="1min", tz="UTC")
    sun = pvlib.solarposition.get_solarposition(times, -38.5, -21.3, method="nrel_numpy")["elevation"].to_numpy()
    light = np.flatnonzero(sun > -6.0)
    stamps = times.tz_localize(None).to_numpy().astype("datetime64[s]").astype(float)
    return float(stamps[light[0]]), float(stamps[light[-1]])


def test_open_only_between_dawn_and_dusk(dawn_and_dusk: tuple[float, float]) -> None:
    dawn, dusk = dawn_and_dusk
    starts = np.array([dawn - 600, dawn + 600, dusk - 3600 - 600, dusk - 3600 + 600])
    (clock,) = daylight([stay(1.0)], starts, **PLACE)
    assert clock.utilisation.tolist() == [np.inf, 0.0, 0.0, np.inf]
    assert clock.when_s.tolist() == [starts[0], *(starts[1:] + 3600.0)]


def test_a_night_in_the_middle_closes() -> None:
    starts = np.array([seconds("2026-03-10T12:00")])
    (clock,) = daylight([stay(26.0)], starts, **PLACE)
    assert clock.utilisation.tolist() == [np.inf]


def test_a_stage_that_needs_no_daylight_has_no_clock() -> None:
    night = DRIVE.model_copy(update={"daylight": False})
    assert list(daylight([stay(1.0, night)], np.array([0.0]), **PLACE)) == []


def test_polar_night_never_opens() -> None:
    starts = seconds("2026-12-21T00:00") + 3600.0 * np.arange(24)
    (clock,) = daylight([stay(0.5)], starts, longitude_deg=np.asarray(20.0), latitude_deg=np.asarray(78.0))
    assert np.isinf(clock.utilisation).all()


LIFT = Stage(
    name="Lift",
    kind="stand",
    place="start",
    duration_h=1.0,
    contingency_h=0.0,
    cover="off",
    gust_limit_mps=9.0,
    daylight=False,
)
RIG = Stage(
    name="Rig", kind="stand", place="start", duration_h=1.0, contingency_h=0.0, daylight=False, measures_tension=True
)


def later(hours: float, end_h: float, stage: Stage) -> Passage:
    return Passage(stage, np.array([0]), Stay(np.array([3600.0 * hours]), np.array([3600.0 * end_h])))


def test_a_tension_is_believed_until_its_time_and_then_unknown() -> None:
    (clock,) = believed([stay(1.0)], np.array([0.0, 3600.0, 3601.0]), 7200.0, 3600.0)
    assert clock.utilisation.tolist()[:2] == [0.0, 0.0]
    assert np.isnan(clock.utilisation[2])


def test_without_a_cover_no_tension_is_asked() -> None:
    assert list(believed([later(0, 1, LIFT)], np.array([0.0]), 0.0, 0.0)) == []


def test_a_tension_from_before_the_cover_was_off_is_not_believed() -> None:
    (clock,) = believed([later(0, 1, LIFT), later(1, 3, DRIVE)], np.array([0.0]), 1e9, 1e9)
    assert np.isnan(clock.utilisation).all()


def test_a_tension_measured_on_the_way_is_believed_for_its_time() -> None:
    stages = [later(0, 1, LIFT), later(1, 2, RIG), later(2, 5, DRIVE)]
    rig, drive = believed(stages, np.array([0.0]), 0.0, 4 * 3600.0)
    assert (rig.utilisation[0], drive.utilisation[0]) == (0.0, 0.0)
    _, late = believed(stages, np.array([0.0]), 0.0, 3.9 * 3600.0)
    assert np.isnan(late.utilisation[0])


def test_a_sun_that_is_not_known_is_dark() -> None:
    nowhere = np.asarray(np.nan)
    (clock,) = daylight([stay(1.0)], np.array([43200.0]), longitude_deg=nowhere, latitude_deg=nowhere)
    assert clock.utilisation.tolist() == [np.inf]
