"""Friction against the codes and geometry."""

from collections.abc import Callable

import numpy as np
import pytest

from shared.tables import figure, published
from transport.securing import friction

Expected = Callable[[str], dict]


@pytest.mark.parametrize(
    ("key", "acceleration", "hold"),
    [
        *(("CV11a", 0.8, 0.3), ("CV11b", 0.5, 0.5), ("CV11c", 0.5, 0.0), ("CV11d", 0.8, 0.2)),
        *(("CV11e", 0.8, 0.4), ("CV11f", 0.8, 0.0), ("CV11g", 0.5, 0.3)),
    ],
)
def test_tilt_test(expected: Expected, key: str, acceleration: float, hold: float) -> None:
    check = expected("balances")[key]
    assert friction.tilt_test_angle_deg(acceleration, hold) == pytest.approx(check.expected, abs=check.tolerance)


def test_friction_beside_direct_lashings() -> None:
    """CTU Code annex 7: dynamic friction is 75 % of the static value (read at wiki.unece.org)."""
    conversion = figure("securing_friction_conversion_ratio")
    assert friction.design_friction_ratio(np.array([0.3, 0.4]), conversion) == pytest.approx([0.225, 0.3])


@pytest.mark.parametrize(
    ("pair", "dry"),
    [
        ("sawn timber on grooved aluminium", "0.40"),
        ("metal rough painted on same", "0.30"),
        ("steel crate on stainless sheet", "0.20"),
    ],
)
def test_friction_table(pair: str, dry: str) -> None:
    """EN 12195-1 annex B = CTU Code annex 7 appendix 2, read at wiki.unece.org."""
    assert published("friction").row(pair=pair)["dry_ratio"] == dry


@pytest.mark.parametrize("normal", [(0.0, 0.0, 1.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0)])
def test_the_fan_lies_in_the_contact_and_goes_round_once(normal: tuple[float, float, float]) -> None:
    fan = friction.fan_ratio(np.array(normal), 16)
    assert fan @ np.array(normal) == pytest.approx(np.zeros(16), abs=1e-12)
    assert np.linalg.norm(fan, axis=1) == pytest.approx(np.ones(16))
    assert fan.sum(axis=0) == pytest.approx(np.zeros(3), abs=1e-12)


def test_the_fan_of_a_pad_holds_the_axes_of_the_trailer() -> None:
    fan = friction.fan_ratio(np.array([0.0, 0.0, 1.0]), 8)
    assert fan[0] == pytest.approx([1.0, 0.0, 0.0])
    assert fan[2] == pytest.approx([0.0, 1.0, 0.0], abs=1e-12)
