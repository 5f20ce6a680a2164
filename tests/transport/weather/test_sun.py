"""Place of the sun: twilight, unknown times, length of the vector."""

import numpy as np

from transport.weather import sun

NREL = np.asarray(-105.1786), np.asarray(39.742476)


def test_civil_twilight() -> None:
    times = np.array(["2003-10-17T12:44", "2003-10-17T12:47", "2003-10-18T00:45", "2003-10-18T00:47"], "M8[s]")
    assert (sun.solar_elevation_deg(times, *NREL) >= -6.0).tolist() == [False, True, True, False]


def test_unknown_time_has_no_sun() -> None:
    assert np.isnan(sun.solar_elevation_deg(np.array(["NaT"], "M8[s]"), np.asarray(0.0), np.asarray(0.0))).all()


def test_polar_night() -> None:
    hours = np.datetime64("2026-12-21T00:00:00") + np.arange(24) * np.timedelta64(3600, "s")
    assert (sun.solar_elevation_deg(hours, np.asarray(20.0), np.asarray(80.0)) < -6.0).all()


def test_vector_has_length_one() -> None:
    time = np.datetime64("2026-03-10T09:00:00") + np.arange(24) * np.timedelta64(3600, "s")
    parts = sun.sun_vector(time, np.asarray(-21.3), np.asarray(-38.5))
    np.testing.assert_allclose(sum(part**2 for part in parts), 1.0, atol=1e-12)
