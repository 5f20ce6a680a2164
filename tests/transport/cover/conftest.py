"""A cover, a mirror and a design situation to vary."""

from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from transport.cover.inputs import Cover, Mirror
from transport.cover.situation import Situation, persistent

ISLAND = timezone(timedelta(hours=-1))


@pytest.fixture
def cover_fields() -> dict[str, Any]:
    """The table [cover] of an invented move."""
    return {
        "type": "fabric-on-ring",
        "underside": "closed",
        "radius_m": 3.0,
        "height_above_mirror_edge_m": 0.25,
        "areal_mass_kg_per_m2": 1.0,
        "tension_min_kN_per_m": 2.4,
        "tension_max_kN_per_m": 3.0,
        "tension_measured_at": datetime(2026, 3, 9, 6, tzinfo=ISLAND),
        "tension_measured_by": "B. Example, rigger",
        "tension_valid_h": 48.0,
        "thermal_tension_loss_kN_per_m": 0.4,
        "ring_is_stiff": True,
        "membrane_stiffness_kN_per_m": 400.0,
        "poisson_ratio": 0.3,
        "fabric_strength_kN_per_m": 60.0,
        "bending_stiffness_Nm": 0.004,
        "free_hem_m": 0.03,
        "crowned": True,
        "drained": True,
        "vented": True,
        "fastener_count": 72,
        "fastener_capacity_kN": 3.0,
        "fasteners_missing": 0,
        "ring_sag_m": 0.010,
        "clearance_margin_m": 0.050,
    }


@pytest.fixture
def mirror_fields() -> dict[str, Any]:
    """The table [mirror] of an invented move."""
    return {
        "diameter_m": 5.6,
        "hole_diameter_m": 0.9,
        "thickness_m": 0.14,
        "density_kg_per_m3": 2530.0,
        "radius_of_curvature_m": 19.5,
        "mass_t": 8.5,
        "allowed_longitudinal_mps2": 2.5,
        "allowed_lateral_mps2": 2.0,
        "allowed_vertical_mps2": 2.5,
    }


@pytest.fixture
def cover(cover_fields: dict[str, Any]) -> Cover:
    return Cover(**cover_fields)


@pytest.fixture
def mirror(mirror_fields: dict[str, Any]) -> Mirror:
    return Mirror(**mirror_fields)


@pytest.fixture(scope="session")
def rigged() -> Situation:
    """The same cover in SI, on a flexible ring."""
    return Situation(
        underside="closed",
        radius_m=3.0,
        mirror_radius_m=2.8,
        curvature_radius_m=19.5,
        height_m=0.25,
        kept_free_m=0.06,
        areal_mass_kg_per_m2=1.0,
        tension_low_N_per_m=2000.0,
        tension_high_N_per_m=3400.0,
        stiffness_N_per_m=4.0e5,
        ring_is_stiff=False,
        poisson_ratio=0.3,
        strength_N_per_m=60.0e3,
        bending_stiffness_Nm=0.004,
        free_hem_m=0.03,
        pitch_m=0.2618,
        hem_span_m=0.2618,
        fastener_capacity_N=3000.0,
        factors=persistent(),
        fasteners_missing_count=0,
        vented=True,
        air_density_kg_per_m3=1.25,
    )
