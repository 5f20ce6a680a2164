"""Actions against a worked vector and statics."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from transport.load_cases import actions
from transport.trailer.earthquake import parts_ratio

Expected = Callable[[str], dict]
GRAVITY = 9.81


def vector(row) -> np.ndarray:  # type: ignore[no-untyped-def]
    return np.array([row.x, row.y, row.z])


def test_deck_normal(expected: Expected) -> None:
    check = expected("actions")["CV26"]
    normal = actions.deck_normal_ratio(np.array(-6.8428), np.array(1.7184))
    assert normal == pytest.approx(vector(check), abs=check.tolerance)
    assert np.linalg.norm(normal) == pytest.approx(1.0)


def test_worked_vector(expected: Expected) -> None:
    """50 t, 12 % down, 3 % to the right, 0.15 g, bend of 15 m to the left, 20 m/s, 0.2 g."""
    rows = expected("actions")
    gravity = actions.gravity_kN(50.0, actions.deck_normal_ratio(np.array(-6.8428), np.array(1.7184)), GRAVITY)
    brake = np.array([float(actions.inertia_kN(50.0, np.array(0.15 * GRAVITY))), 0.0, 0.0])
    curve = np.array([0.0, float(actions.bend_kN(50.0, np.array(1.4), np.array(1.0 / 15.0))), 0.0])
    pressure = float(actions.wind_pressure_kPa(np.array(20.0), 1.0))
    drag = actions.drag_area_m2(np.array([270.0]), np.array([0.0]), 0.0, 40.0, 1.2)[0, 0] * pressure
    wind = np.array([drag[0], drag[1], actions.lift_area_m2(50.0, 0.4) * pressure])
    _, other = parts_ratio(0.3)[0]
    seismic = 50.0 * GRAVITY * np.array([0.3 * 0.2, -0.2, other * 0.13])
    for name, found in (("gravity", gravity), ("brake", brake), ("curve", curve), ("wind", wind), ("seismic", seismic)):
        assert found == pytest.approx(vector(rows[name]), abs=rows[name].tolerance), name
    sums = {"LC2": gravity + brake + curve + wind, "LC3": gravity + curve + wind + seismic}
    for name, found in sums.items():
        assert found == pytest.approx(vector(rows[name]), abs=rows[name].tolerance)
        ratio = np.hypot(*found[:2]) / -found[2]
        assert ratio == pytest.approx(rows[f"CV27-{name}"].x, abs=1e-4)
    everything = sums["LC3"] + brake
    assert np.hypot(*everything[:2]) / -everything[2] == pytest.approx(rows["CV27-all"].x, abs=1e-4)


@pytest.mark.parametrize(
    ("wind_from", "heading", "ahead", "left"),
    [(0.0, 0.0, -1, 0), (180.0, 0.0, 1, 0), (90.0, 0.0, 0, 1), (270.0, 0.0, 0, -1), (90.0, 90.0, -1, 0)],
)
def test_signs_of_the_wind(wind_from: float, heading: float, ahead: int, left: int) -> None:
    """Wind from ahead pushes backward; from the right (east on a heading north) to the left."""
    drag = actions.drag_area_m2(np.array([wind_from]), np.array([heading]), 10.0, 10.0, 1.0)[0, 0]
    assert drag == pytest.approx([10.0 * ahead, 10.0 * left], abs=1e-9)


@given(wind=st.floats(0, 360), heading=st.floats(0, 360), turn=st.floats(0, 360))
def test_a_turned_road_with_turned_wind_feels_the_same(wind: float, heading: float, turn: float) -> None:
    here = actions.drag_area_m2(np.array([wind]), np.array([heading]), 12.0, 30.0, 1.2)
    there = actions.drag_area_m2(np.array([wind + turn]), np.array([heading + turn]), 12.0, 30.0, 1.2)
    assert here == pytest.approx(there, abs=1e-9)


def test_parts_of_the_earthquake() -> None:
    """EN 1998-1 4.3.3.5 (memory): 1.0 with 0.3 and 0.3 in turn."""
    (lead, up), (both, whole) = parts_ratio(0.3)
    assert (lead, up) == (pytest.approx(np.hypot(1.0, 0.3)), 0.3)
    assert (both, whole) == (pytest.approx(np.hypot(0.3, 0.3)), 1.0)
