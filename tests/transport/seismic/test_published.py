"""Check values of the earthquake demand against EN 1998, hand calculations and published models."""

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from shared.errors import OutOfRangeError
from transport.seismic.aftershock import aftershock_chance_ratio, aftershock_count, california
from transport.seismic.deck import transmissibility_ratio
from transport.seismic.exposure import (
    chance_ratio,
    construction_return_period_years,
    return_period_years,
)
from transport.seismic.rocking import rocking_mps2
from transport.seismic.sliding import chain_force_kN, sliding_mps2
from transport.seismic.spectrum import (
    damping_factor_ratio,
    elastic_mps2,
    ground_displacement_m,
    shape,
    spectral_displacement_m,
)
from transport.seismic.stop_policy import stopping_distance_m, stopping_time_s, warning_s

PUBLISHED = Path(__file__).parents[2] / "published"
PERIODS_S = np.array([0.0, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0])
GRAVITY_MPS2 = 9.80665


def rows(name: str) -> list[dict[str, str]]:
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def spectrum(
    component: str,
    spectrum_type: str,
    peak_mps2: float,
    period_s: float,
    damping_ratio: float,
    ground_type: str = "A",
) -> float:
    known = shape(component, int(spectrum_type), ground_type)
    return float(elastic_mps2(period_s, peak_mps2, known, damping_factor_ratio(damping_ratio)))


QUANTITIES: dict[str, Callable[..., object]] = {
    "deck horizontal": lambda **known: spectrum("horizontal", **known),
    "deck vertical": lambda **known: spectrum("vertical", **known),
    "damping": damping_factor_ratio,
    "spectral displacement": spectral_displacement_m,
    "chance": chance_ratio,
    "return period": return_period_years,
    "construction period": construction_return_period_years,
    "aftershock count": lambda **known: aftershock_count(**known, region=california()),
    "aftershock chance": lambda **known: aftershock_chance_ratio(aftershock_count(**known, region=california())),
    "transmissibility": transmissibility_ratio,
    "sliding": sliding_mps2,
    "rocking": rocking_mps2,
    "warning": warning_s,
    "stopping time": stopping_time_s,
    "stopping distance": stopping_distance_m,
    "chain force": chain_force_kN,
}


@pytest.mark.parametrize("row", rows("seismic_values.csv"), ids=lambda row: row["id"])
def test_check_value(row: dict[str, str]) -> None:
    pairs = dict(pair.split("=") for pair in row["inputs"].split())
    words = {"ground_type", "spectrum_type"}
    known = {name: text if name in words else float(text) for name, text in pairs.items()}
    found = QUANTITIES[row["quantity"]](**known)
    assert float(found) == pytest.approx(float(row["expected"]), rel=float(row["tolerance_ratio"]))  # type: ignore[arg-type]


@pytest.mark.parametrize("row", rows("seismic_spectrum.csv"), ids=lambda row: row["ground_type"] + row["spectrum_type"])
def test_horizontal_spectrum(row: dict[str, str]) -> None:
    known = shape("horizontal", int(row["spectrum_type"]), row["ground_type"])
    expected = [float(text) for text in list(row.values())[2:]]
    found = elastic_mps2(PERIODS_S, 0.30 * known.factor_ratio, known, 1.0)
    assert found == pytest.approx(expected[:-1], abs=1e-4)
    moved_m = ground_displacement_m(0.30 * GRAVITY_MPS2 * known.factor_ratio, known)
    assert 1000.0 * moved_m == pytest.approx(expected[-1], abs=0.06)


def test_all_ground_types_and_both_spectrum_types_are_there() -> None:
    assert len({(row["ground_type"], row["spectrum_type"]) for row in rows("seismic_spectrum.csv")}) == 10


@pytest.mark.parametrize("grade", [(0.06, 0.13834, 0.26316), (0.10, 0.09804, 0.30612), (0.15, 0.04854, 0.36082)])
def test_sliding_down_and_up(grade: tuple[float, float, float]) -> None:
    """Block with friction 0.2 on grades of 6, 10 and 15 %, in g: statics, by hand."""
    slope, down, up = grade
    both = sliding_mps2(0.2, np.array([slope, -slope]), 0.0, 1.0)
    assert both == pytest.approx([down, up], abs=1e-5)


def test_level_friction_is_friction_times_weight() -> None:
    assert float(sliding_mps2(0.3, 0.0, -2.0)) == pytest.approx(0.3 * (GRAVITY_MPS2 - 2.0))


def test_period_beyond_the_spectrum_is_refused() -> None:
    message = "period_s = 4.1 lies outside 0 to 4, range of the elastic spectrum, EN 1998-1 3.2.2.2"
    with pytest.raises(OutOfRangeError) as caught:
        elastic_mps2(4.1, 1.0, shape("horizontal", 1, "A"), 1.0)
    assert str(caught.value) == message


@pytest.mark.parametrize("damping", [0.51, -0.01, float("nan")])
def test_damping_outside_its_range_is_refused(damping: float) -> None:
    message = f"damping_ratio = {damping:g} lies outside 0 to 0.5, range of the damping correction of EN 1998-1"
    with pytest.raises(OutOfRangeError) as caught:
        damping_factor_ratio(damping)
    assert str(caught.value) == message


def test_level_from_the_hours_of_a_move_is_refused() -> None:
    message = (
        "duration_years = 0.000228154 lies outside 1 to 100, range of EN 1998-2 annex A; "
        "a level is not computed from the hours of one move"
    )
    with pytest.raises(OutOfRangeError) as caught:
        construction_return_period_years(2.0 / 8766.0)
    assert str(caught.value) == message


def test_hazard_far_from_the_reference_is_refused() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        return_period_years(0.02, 0.3, 475.0, 3.0)
    message = "acceleration over reference = 0.0666667 lies outside 0.1 to 2, range of one hazard exponent"
    assert str(caught.value) == message


def test_unknown_ground_type_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="spectrum: 0 rows for horizontal, 1, F"):
        shape("horizontal", 1, "F")
