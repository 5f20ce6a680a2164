"""The arrangement of the worked examples, an invented unit, and the check values with their sources."""

import csv
import tomllib
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from shared.inputs import load_toml
from transport.securing.arrangement import Arrangement
from transport.securing.chains import axial_stiffness_kN, length_m, pull_ratio
from transport.securing.equilibrium import Restraint
from transport.securing.inputs import Anchor, Chain, Contact, Securing, Unit

PUBLISHED = Path(__file__).parents[2] / "published"
SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))


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
def reference() -> Arrangement:
    """50 t, eight 16 mm chains of LC 160 kN: four flared corner chains, then four pure side chains; f_mu mu = 0.225."""
    corner = [((2.6 * x, 1.0 * y, 1.2), (4.6 * x, 2.0 * y, 0.0)) for x, y in SIGNS]
    side = [((1.5 * x, 1.3 * y, 1.4), (1.5 * x, 2.6 * y, 0.0)) for x, y in SIGNS]
    return arranged(corner + side, pad=(3.0, 1.25), height_m=1.8)


def arranged(
    chains: list[tuple[tuple[float, ...], tuple[float, ...]]], *, pad: tuple[float, float], height_m: float
) -> Arrangement:
    on_load_m, on_deck_m = (np.array(points, dtype=float).reshape(-1, 3) for points in zip(*chains, strict=True))
    count = len(chains)
    return Arrangement(
        restraint=Restraint(
            reference_m=np.array([0.0, 0.0, height_m]),
            on_load_m=on_load_m,
            pull_ratio=pull_ratio(on_load_m, on_deck_m),
            contact_m=np.array([(pad[0] * x, pad[1] * y, 0.0) for x, y in SIGNS]),
            normal_ratio=np.tile([0.0, 0.0, 1.0], (4, 1)),
            friction_ratio=np.full(4, 0.225),
        ),
        capacity_kN=np.full(count, 160.0),
        fixed_kN=np.zeros(count),
        length_m=length_m(on_load_m, on_deck_m),
        stiffness_kN=axial_stiffness_kN(np.full(count, 0.016), 0.5e8),
        contact_limit_kN=np.full(4, 1.0e4),
        is_pad=np.ones(4, dtype=bool),
        weight_kN=490.5,
        tolerance_m=0.0,
        movement_m=1.0,
        least_ratio=0.1,
    )


CHAIN = """
tag = "C1"
size_mm = 16
grade = 8
method = "direct"
lc_kN = 160.0
stf_kN = 16.0
on_load_m = [2.4, 1.0, 0.8]
on_deck_m = [4.4, 1.4, 0.0]
anchor_rating_kN = 200.0
"""
CONTACT = """
name = "pad front left"
kind = "pad"
position_m = [2.2, 1.1, 0.0]
normal = [0.0, 0.0, 1.0]
friction_ratio = 0.30
friction_pair = "metal rough painted on same, EN 12195-1 annex B"
capacity_kN = 400.0
"""
UNIT = """
mass_t = 31.0
mass_tolerance_t = 0.5
centre_of_mass_m = [0.0, 0.0, 1.2]
centre_of_mass_tolerance_m = 0.05
wind_area_front_m2 = 12.0
wind_area_side_m2 = 12.0
wind_centre_m = [0.0, 0.0, 1.3]
force_coefficient = 1.2
lift_coefficient = 0.5
plan_area_m2 = 28.3
allowed_movement_m = 0.020
"""
ANCHOR = """
name = "A1"
position_m = [4.4, 1.4, 0.0]
rating_kN = 200.0
least_vertical_angle_deg = 20.0
greatest_vertical_angle_deg = 60.0
"""
SECURING = 'code = "EN 12195-1"\ncapacity_divisor = 1.5\n'
TABLES = {Anchor: ANCHOR, Chain: CHAIN, Contact: CONTACT, Unit: UNIT, Securing: SECURING}


@pytest.fixture
def built(tmp_path: Path) -> Callable[..., Any]:
    """A table as it stands in move.toml, read by the same reader, with some fields changed (None leaves one out)."""

    def build(kind: type, /, **changes: Any) -> Any:
        fields = tomllib.loads(TABLES[kind]) | changes
        text = "\n".join(f"{name} = {_toml(value)}" for name, value in fields.items() if value is not None)
        (tmp_path / "move.toml").write_text(text, encoding="utf-8")
        return load_toml(tmp_path / "move.toml", kind)

    return build


def _toml(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    return str(list(value)) if isinstance(value, list | tuple) else str(value)


@pytest.fixture
def tables(built: Callable[..., Any]) -> SimpleNamespace:
    """An invented unit with eight chains, four pads and two stops."""
    ends = [([2.4 * x, 1.0 * y, 0.8], [4.4 * x, 1.4 * y, 0.0]) for x, y in SIGNS]
    ends += [([1.2 * x, 0.7 * y, 1.0], [1.2 * x, 1.4 * y, 0.0]) for x, y in SIGNS]
    chains = [built(Chain, tag=f"C{n}", on_load_m=a, on_deck_m=b) for n, (a, b) in enumerate(ends, start=1)]
    pads = [built(Contact, name=f"pad {n}", position_m=[2.2 * x, 1.1 * y, 0.0]) for n, (x, y) in enumerate(SIGNS)]
    stop = {"kind": "stop", "friction_ratio": 0.0, "friction_pair": "none counted", "capacity_kN": 250.0}
    stops = [
        built(Contact, name=name, position_m=[2.6 * x, 0.0, 0.3], normal=[-float(x), 0.0, 0.0], **stop)
        for name, x in (("front", 1), ("rear", -1))
    ]
    return SimpleNamespace(unit=built(Unit), chains=chains, contacts=[*pads, *stops], securing=built(Securing))
