"""An invented unit with its securing, an invented road, and the check values with their sources."""

import csv
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.load_cases.assess import assess
from transport.securing.inputs import Chain, Contact, Securing, Unit

PUBLISHED = Path(__file__).parents[2] / "published"
SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
WIND_FROM_DEG = np.arange(0.0, 360.0, 15.0)
STATIONS = 6


@pytest.fixture(scope="session")
def expected() -> Callable[[str], dict[str, SimpleNamespace]]:
    """Check values of one table by their id."""

    def read(name: str) -> dict[str, SimpleNamespace]:
        lines = (PUBLISHED / f"securing_{name}.csv").read_text(encoding="utf-8").splitlines()
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        return {row["id"]: SimpleNamespace(**{key: _number(value) for key, value in row.items()}) for row in rows}

    return read


def _number(text: str) -> Any:
    try:
        return float(text)
    except ValueError:
        return text


@pytest.fixture
def unit() -> Unit:
    return Unit(
        mass_t=31.0,
        mass_tolerance_t=0.5,
        centre_of_mass_m=(0.0, 0.0, 1.2),
        centre_of_mass_tolerance_m=0.05,
        wind_area_front_m2=40.0,
        wind_area_side_m2=50.0,
        wind_centre_m=(0.0, 0.0, 1.6),
        force_coefficient=1.2,
        lift_coefficient=0.5,
        plan_area_m2=28.3,
        allowed_movement_m=0.02,
    )


def chain(tag: str, on_load_m: tuple[float, ...], on_deck_m: tuple[float, ...], **changes: Any) -> Chain:
    fields: dict[str, Any] = {
        "size_mm": 16,
        "grade": 8,
        "method": "direct",
        "lc_kN": 160.0,
        "stf_kN": 16.0,
        "anchor_rating_kN": 200.0,
    }
    return Chain(tag=tag, on_load_m=on_load_m, on_deck_m=on_deck_m, **(fields | changes))


@pytest.fixture
def chains() -> list[Chain]:
    ends = [((2.4 * x, 1.0 * y, 0.8), (4.4 * x, 1.4 * y, 0.0)) for x, y in SIGNS]
    ends += [((1.2 * x, 0.7 * y, 1.0), (1.2 * x, 1.4 * y, 0.0)) for x, y in SIGNS]
    return [chain(f"C{number}", *pair) for number, pair in enumerate(ends, start=1)]


@pytest.fixture
def contacts() -> list[Contact]:
    pair = "metal rough painted on same, EN 12195-1 annex B"
    pads = [
        Contact(
            name=f"pad {number}",
            kind="pad",
            position_m=(2.2 * x, 1.1 * y, 0.0),
            normal=(0.0, 0.0, 1.0),
            friction_ratio=0.3,
            friction_pair=pair,
            capacity_kN=400.0,
        )
        for number, (x, y) in enumerate(SIGNS)
    ]
    stops = [
        Contact(
            name=f"stop {sign}",
            kind="stop",
            position_m=(2.6 * sign, 0.0, 0.3),
            normal=(-float(sign), 0.0, 0.0),
            friction_ratio=0.0,
            friction_pair="none counted",
            capacity_kN=250.0,
        )
        for sign in (1, -1)
    ]
    return [*pads, *stops]


@pytest.fixture
def securing() -> Securing:
    return Securing(code="EN 12195-1", capacity_divisor=1.5)


@pytest.fixture
def road() -> xr.Dataset:
    """Up, down, level; bends either way; every heading."""
    values = {
        "grade_ratio": [0.0, 0.08, -0.12, 0.05, -0.03, 0.0],
        "crossfall_ratio": [0.0, 0.02, -0.03, 0.01, 0.0, -0.02],
        "curvature_per_m": [0.0, 0.02, -0.05, 0.0, 0.01, 0.0],
        "curvature_se_per_m": [0.001] * STATIONS,
        "heading_deg": [0.0, 77.0, 133.0, 200.0, 271.0, 340.0],
        "speed_mps": [1.4] * STATIONS,
    }
    return xr.Dataset(
        {name: ("station", np.array(value)) for name, value in values.items()},
        coords={"station": 5.0 * np.arange(STATIONS)},
    )


@pytest.fixture(scope="session")
def unchanged() -> dict[str, xr.Dataset]:
    """The assessment with nothing replaced, kept for the tests that compare with it."""
    return {}


@pytest.fixture
def run(
    unit: Unit,
    chains: list[Chain],
    contacts: list[Contact],
    securing: Securing,
    road: xr.Dataset,
    unchanged: dict[str, xr.Dataset],
) -> Callable[..., xr.Dataset]:
    """The whole assessment, with anything replaced."""

    def go(**changes: Any) -> xr.Dataset:
        if not changes and unchanged:
            return unchanged["run"]
        kept = unchanged if not changes else {}
        taken = {"unit": unit, "chains": chains, "contacts": contacts, "securing": securing}
        ride: dict[str, Any] = {
            "road": road,
            "deck_pitch_deg": np.rad2deg(np.arctan(road["grade_ratio"].values)) - 1.0,
            "deck_roll_deg": np.full(STATIONS, 1.0),
            "deceleration_mps2": np.full(STATIONS, 1.5),
            "start_mps2": np.full(STATIONS, 0.3),
            "vertical_mps2": np.full(STATIONS, 0.8),
            "seismic_horizontal_mps2": np.full(STATIONS, 2.0),
            "seismic_vertical_mps2": np.full(STATIONS, 0.9),
            "air_density_kg_per_m3": 1.25,
            "wind_from_deg": WIND_FROM_DEG,
        }
        tables = [changes.pop(name, value) for name, value in taken.items()]
        kept["run"] = assess(*tables, **(ride | changes))
        return kept["run"]

    return go
