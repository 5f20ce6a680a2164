"""Directions that disagree, unknown directions, the bound of the apparent wind."""

import numpy as np

from transport.weather import vectors


def test_widest_angle_between_any_two() -> None:
    angles = np.deg2rad([0.0, 20.0, 350.0, 30.0])
    assert np.isclose(vectors.widest_angle_deg(-np.sin(angles), -np.cos(angles)), 40.0)


def test_calm_or_unknown_wind_has_no_direction() -> None:
    assert np.isnan(vectors.widest_angle_deg(np.array([0.0, 1.0]), np.array([0.0, 1.0])))
    assert np.isnan(vectors.widest_angle_deg(np.array([np.nan, 1.0]), np.array([1.0, 1.0])))


def test_unknown_direction_adds_the_whole_speed() -> None:
    found = vectors.highest_apparent_mps(np.asarray(10.0), np.asarray(np.nan), np.asarray(1.4), np.asarray(30.0), 0.0)
    assert np.isclose(found, 11.4)
    assert np.isnan(
        vectors.highest_apparent_mps(np.asarray(np.nan), np.asarray(0.0), np.asarray(1.4), np.asarray(0.0), 0.0)
    )


def test_across_north_the_short_way_counts() -> None:
    found = vectors.highest_apparent_mps(np.asarray(10.0), np.asarray(355.0), np.asarray(1.4), np.asarray(5.0), 0.0)
    assert np.isclose(found, np.sqrt(100 + 1.96 + 28 * np.cos(np.deg2rad(10.0))))
