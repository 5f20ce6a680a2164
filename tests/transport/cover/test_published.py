"""Check values of the cover against theory, tables and standards."""

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.special import jn_zeros

from shared.tables import figure
from transport.cover.clearance import sagitta_m
from transport.cover.divergence import circle_speed_mps, local_speed_ratio, sail_speed_mps
from transport.cover.fastening import edge_tension_N_per_m
from transport.cover.frequency import added_mass_kg_per_m2, membrane_frequency_hz, watch_speed_mps
from transport.cover.hem import flutter_speed_mps
from transport.cover.ponding import ponding_tension_N_per_m, strip_span_m
from transport.cover.pressure import coefficients, dynamic_pressure_Pa, gust_mps
from transport.cover.sag import Membrane, centre_sag_m, gradient_sag_m, pressure_Pa, stretching
from transport.cover.thermal import covered_difference_K, tension_change_N_per_m
from transport.cover.uplift import rim_uplift_N_per_m, uplift_pressure_Pa
from transport.cover.vents import climb_pressure_Pa, vent_area_m2, warming_pressure_Pa

PUBLISHED = Path(__file__).parents[2] / "published"
POISSON = 0.3
GRAVITY_MPS2 = 9.81


def rows(name: str) -> list[dict[str, str]]:
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def membrane(radius_m: float, tension_N_per_m: float, stiffness_N_per_m: float = 0.0) -> Membrane:
    return Membrane(radius_m, tension_N_per_m, stiffness_N_per_m, stretching(POISSON))


def frequency(
    diameters_count: float,
    tension_N_per_m: float,
    areal_mass_kg_per_m2: float,
    radius_m: float,
    air_density_kg_per_m3: float,
) -> float:
    count = int(diameters_count)
    mass = areal_mass_kg_per_m2 + added_mass_kg_per_m2(radius_m, air_density_kg_per_m3, count)
    return float(membrane_frequency_hz(tension_N_per_m, mass, radius_m, count))


def rim(gust_mps: float, air_density_kg_per_m3: float, up_ratio: float, radius_m: float) -> float:
    return float(rim_uplift_N_per_m(dynamic_pressure_Pa(gust_mps, air_density_kg_per_m3), up_ratio, radius_m))


QUANTITIES: dict[str, Callable[..., object]] = {
    "centre sag": lambda load_Pa, **m: centre_sag_m(load_Pa, membrane(**m)),
    "gradient sag": lambda load_Pa, radius_ratio, **m: gradient_sag_m(radius_ratio, load_Pa, membrane(**m)),
    "edge tension": lambda load_Pa, **m: edge_tension_N_per_m(load_Pa, membrane(**m)),
    "ponding tension": lambda radius_m: ponding_tension_N_per_m(radius_m, 1000.0, GRAVITY_MPS2),
    "strip span": lambda tension_N_per_m: strip_span_m(tension_N_per_m, 1000.0, GRAVITY_MPS2),
    "sagitta": sagitta_m,
    "frequency": frequency,
    "sail number": lambda: figure("cover_sail_divergence_ratio"),
    "circle speed": circle_speed_mps,
    "sail speed": sail_speed_mps,
    "hem speed": flutter_speed_mps,
    "climb pressure": lambda **known: climb_pressure_Pa(**known, gravity_mps2=GRAVITY_MPS2),
    "warming pressure": warming_pressure_Pa,
    "vent area": vent_area_m2,
    "rim uplift": rim,
    "total uplift": lambda radius_m, **known: 2.0 * np.pi * radius_m * rim(radius_m=radius_m, **known),
    "thermal change": tension_change_N_per_m,
    "local speed": local_speed_ratio,
}


@pytest.mark.parametrize("row", rows("cover_values.csv"), ids=lambda row: row["id"])
def test_check_value(row: dict[str, str]) -> None:
    known = {name: float(value) for name, value in (pair.split("=") for pair in row["inputs"].split())}
    found = QUANTITIES[row["quantity"]](**known)
    assert float(found) == pytest.approx(float(row["expected"]), rel=float(row["tolerance_ratio"]))  # type: ignore[arg-type]


@pytest.mark.parametrize("row", rows("cover_bessel.csv"), ids=lambda row: f"J{row['order']}")
def test_zeros_of_bessel_functions(row: dict[str, str]) -> None:
    number = int(row["number"])
    assert jn_zeros(int(row["order"]), number)[-1] == pytest.approx(float(row["zero"]), abs=1e-6)


@pytest.mark.parametrize("row", rows("cover_hencky.csv"), ids=lambda row: row["poisson_ratio"])
def test_membrane_without_pretension(row: dict[str, str]) -> None:
    known = stretching(float(row["poisson_ratio"]))
    assert 4.0 * known.centre_ratio == pytest.approx(float(row["b0_ratio"]), abs=1e-4)


@pytest.mark.parametrize("row", rows("cover_design_limits.csv"), ids=lambda row: "-".join(list(row.values())[:3]))
def test_design_limits(row: dict[str, str]) -> None:
    """Pressure of the gust 1.5 x 0.5 q; cpe -0.7; factor 1.5 on speeds; uplift 1.2 q R / 2 against 1 kN/m / 2."""
    value = {name: float(text) for name, text in row.items()}
    rho, radius, tension = (value[name] for name in list(row)[:3])
    room = 0.10 + radius / 12.0 - 0.05
    flexible, stiff = membrane(radius, tension), membrane(radius, tension, 4.0e5)
    mass = 1.0 + added_mass_kg_per_m2(radius, rho)
    found = [
        gust_mps((pressure_Pa(room, flexible) - GRAVITY_MPS2) / 0.75, rho),
        gust_mps((pressure_Pa(room, stiff) - GRAVITY_MPS2) / 0.75, rho),
        circle_speed_mps(tension, radius, rho, local_speed_ratio(-0.7)) / 1.5,
        sail_speed_mps(tension, 2.0 * radius, rho) / 1.5,
        watch_speed_mps(membrane_frequency_hz(tension, mass, radius), radius),
        gust_mps(uplift_pressure_Pa(500.0, 1.2, radius, 1.0), rho),
    ]
    assert [float(one) for one in found] == pytest.approx(list(value.values())[3:], abs=0.06)


def test_design_limits_are_complete() -> None:
    cases = {tuple(row.values())[:3] for row in rows("cover_design_limits.csv")}
    assert len(cases) == 2 * 3 * 4


def test_closed_and_open_underside_differ_by_nearly_three_in_speed() -> None:
    """A closed underside bears 2.93 times the wind of an open one before local speed is counted."""
    ratio = circle_speed_mps(1000.0, 4.0, 1.2, 1.0) / sail_speed_mps(1000.0, 8.0, 1.2)
    assert float(ratio) == pytest.approx(2.93, abs=0.01)


def test_pressure_coefficients_of_the_standards() -> None:
    """EN 1991-1-4 table 7.2, flat roof, sharp eaves: zone I +0.2, H -0.7, H cpe,1 -1.2, F -1.8 / -2.5; cpi -0.3."""
    closed = coefficients("closed")
    assert closed.down_ratio == pytest.approx(0.2 - -0.3)
    assert (closed.up_ratio, closed.rim_ratio, closed.fastener_ratio) == (1.2, 1.8, 2.5)
    assert closed.external_ratio == -0.7


def test_open_underside_reaches_the_edge_strip_of_a_canopy() -> None:
    """BS 6399-2 table 13, flat canopy: downwards +0.5 inside, +1.8 in the edge strip; blocked -1.2 overall."""
    opened = coefficients("open")
    assert opened.down_ratio + opened.down_gradient_ratio == pytest.approx(1.8)
    assert opened.up_ratio == pytest.approx(1.2)


def test_warming_that_a_loss_covers_is_the_inverse_of_the_loss() -> None:
    loss = tension_change_N_per_m(4.0e5, 5.0e-5, 20.0, 0.3)
    assert covered_difference_K(loss, 4.0e5, 5.0e-5, 0.3) == pytest.approx(20.0)
