"""The rectangle in a bend."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from routes import swept

FIXED = settings(derandomize=True, deadline=None, max_examples=60)
Rows = Callable[[str], list[dict[str, str]]]


def test_published_envelopes(rows: Rows) -> None:
    """SWP-7, and the bare deck of 3 m by 12 m."""
    for row in rows("route_swept"):
        radius, length, width = (float(row[name]) for name in ("radius", "length", "width"))
        inner = swept.inner_radius_m(np.array([radius]), width)
        outer = swept.outer_radius_m(np.array([radius]), width, length)
        for found, name in ((inner, "inner"), (outer, "outer"), (outer - inner, "swept")):
            tolerance = float(row["tolerance"]) if row["id"] == "SWP-7" else 0.0005
            assert found[0] == pytest.approx(float(row[name]), abs=tolerance)
        reach = swept.outward_reach_m(np.array([1.0 / radius]), width, length)
        assert reach[0] == pytest.approx(outer[0] - radius, abs=1e-12)


def test_the_envelope_of_many_poses() -> None:
    """Cross-check with polygons: a deck of 3 m by 12 m moved round a bend of 15 m."""
    box = np.array([[6.0, 1.5], [6.0, -1.5], [-6.0, -1.5], [-6.0, 1.5]])
    far, near = 0.0, np.inf
    for angle in np.radians(np.arange(0.0, 180.0, 1.0)):
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        pose = Polygon(box @ turn + 15.0 * np.array([np.sin(angle), -np.cos(angle)]))
        far = max(far, max(np.hypot(*corner) for corner in pose.exterior.coords))
        near = min(near, pose.distance(LineString([(0.0, 0.0), (0.0, 1e-9)])))
    assert swept.outer_radius_m(np.array([15.0]), 3.0, 12.0)[0] == pytest.approx(far, abs=1e-9)
    assert swept.inner_radius_m(np.array([15.0]), 3.0)[0] == pytest.approx(near, abs=1e-6)


def test_on_a_straight_the_reach_is_half_the_width() -> None:
    assert swept.outward_reach_m(np.array([0.0, -0.05, 1e-12]), 3.0, 12.0) == pytest.approx(1.5)


@FIXED
@given(
    curvature=st.floats(0.0, 0.2),
    more=st.floats(0.0, 0.1),
    width_m=st.floats(2.0, 9.0),
    length_m=st.floats(5.0, 20.0),
)
def test_a_sharper_bend_or_a_larger_deck_never_needs_less(
    curvature: float, more: float, width_m: float, length_m: float
) -> None:
    one = swept.outward_reach_m(np.array([curvature]), width_m, length_m)[0]
    assert swept.outward_reach_m(np.array([curvature + more]), width_m, length_m)[0] >= one - 1e-12
    assert swept.outward_reach_m(np.array([curvature]), width_m + more, length_m)[0] >= one - 1e-12
    assert swept.outward_reach_m(np.array([curvature]), width_m, length_m + more)[0] >= one - 1e-12
    assert one >= width_m / 2.0 - 1e-12


def test_unknown_curvature_needs_unknown_width() -> None:
    assert np.isnan(swept.outward_reach_m(np.array([np.nan]), 3.0, 12.0)[0])


def test_the_sharpest_nearby_is_within_half_a_length() -> None:
    station_m = np.arange(0.0, 50.0, 5.0)
    curvature = np.zeros(10)
    curvature[5] = 0.1
    found = swept.sharpest_nearby(station_m, curvature, 12.0)
    assert np.flatnonzero(found).tolist() == [3, 4, 5, 6, 7]
    curvature[0] = np.nan
    assert np.isnan(swept.sharpest_nearby(station_m, curvature, 12.0)[:3]).all()
