"""Daylight: twilight, unknown times, the sunset that belongs to the right day."""

from datetime import UTC, datetime, timedelta, timezone

import numpy as np

from transport.weather import sun


def test_daylight_ends_with_civil_twilight() -> None:
    times = np.array(["2003-10-17T12:44", "2003-10-17T12:47", "2003-10-18T00:45", "2003-10-18T00:47"], "M8[s]")
    found = sun.is_daylight(times, np.asarray(-105.1786), np.asarray(39.742476))
    assert found.tolist() == [False, True, True, False]


def test_unknown_time_is_not_daylight() -> None:
    assert not sun.is_daylight(np.array(["NaT"], "M8[s]"), np.asarray(0.0), np.asarray(0.0)).any()


def test_sunset_of_the_local_day() -> None:
    local = timezone(timedelta(hours=-7))
    day = datetime(2003, 10, 17, tzinfo=local)
    times, rising = sun.crossings(day, day + timedelta(days=1), -105.1786, 39.742476, -0.8333)
    assert rising.tolist() == [True, False]
    assert times[1] > times[0]
    assert abs(times[1] - np.datetime64("2003-10-18T00:18:51")) < np.timedelta64(20, "s")


def test_polar_night_has_no_crossing() -> None:
    day = datetime(2026, 12, 21, tzinfo=UTC)
    times, _ = sun.crossings(day, day + timedelta(days=1), 20.0, 80.0, -0.8333)
    assert len(times) == 0


def test_vector_has_length_one() -> None:
    time = np.datetime64("2026-03-10T09:00:00") + np.arange(24) * np.timedelta64(3600, "s")
    parts = sun.sun_vector(time, np.asarray(-21.3), np.asarray(-38.5))
    np.testing.assert_allclose(sum(part**2 for part in parts), 1.0, atol=1e-12)
