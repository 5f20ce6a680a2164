"""An invented verification: pairs of an invented mast, scored by the real equations, with an invented move around."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.inputs import Default
from shared.provenance import InputFile, Provenance
from shared.tables import Used
from shared.verification import Verification
from transport.weather.skill.cases import cases_of
from transport.weather.skill.issued import Issued, from_members
from transport.weather.skill.setting import Setting
from transport.weather.skill.verification import verification

HOUR = np.timedelta64(1, "h")
MOVE: Mapping[str, Any] = {
    "move": {"name": "Primary mirror", "organisation": "Brannock Shelf Observatory", "leg": "out"},
    "site": {"time_zone": "Etc/GMT+1"},
    "decision": {"rule": "ensemble", "acceptable_chance_ratio": 0.1, "confidence_ratio": 0.95},
}


def pairs(days: int = 60, members: int = 11) -> xr.Dataset:
    rng = np.random.default_rng(6)
    run, ahead = (part.ravel() for part in np.meshgrid(np.arange(0, 24 * days, 24), np.arange(3, 49, 3)))
    valid = run + ahead
    truth = np.clip(8.0 + 4.0 * np.sin(valid / 50.0) + rng.normal(0.0, 0.5, valid.max() + 1)[valid], 0.0, None)
    centre = truth + rng.normal(0.0, 0.5 + 0.04 * ahead)
    gust = np.clip(centre[:, None] + rng.normal(0.0, 0.8, (valid.size, members)), 0.0, None)
    first = np.datetime64("2025-11-20T00:00", "ns")
    found = xr.Dataset(
        {
            "forecast_gust_mps": (("case", "member"), gust),
            "observed_gust_mps": ("case", truth),
            "lead_h": ("case", ahead.astype(float)),
            "wind_from_deg": ("case", (200.0 + valid) % 360.0),
            "time": ("case", first + valid * HOUR),
            "reference_time": ("case", first + run * HOUR),
        }
    )
    found["observed_gust_mps"][10:14] = np.nan
    found["forecast_gust_mps"][100, 2] = np.nan
    return found


def ensemble(members: np.ndarray, observed: np.ndarray) -> Issued:
    return from_members(members, observed, lambda limit: (members > limit).any(axis=1))


def result_of(data: xr.Dataset, *, kinds: int = 2, stake: tuple[float, float] | None = (20e3, 1e6)) -> Verification:
    cases, _ = cases_of(data)
    wide = cases.members_mps.mean(axis=1, keepdims=True) * -0.8 + cases.members_mps * 1.8
    named = {"raw": cases.members_mps, "calibrated": np.clip(wide, 0.0, None)}
    issued = {kind: ensemble(one, cases.observed_mps) for kind, one in list(named.items())[:kinds]}
    setting = Setting((8.0, 11.0), (0.0, 12.0, 24.0, 48.0), 30.0, 24.0, 0.95, cap_ratio=0.02, stake=stake)
    sha = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
    facts = Provenance(
        "0.1.0",
        datetime(2026, 3, 9, 18, tzinfo=UTC),
        (InputFile("move.toml", sha), InputFile("archive/2025-11-20.nc", sha[::-1])),
        {"rule": "ensemble"},
        unread=(Used("skill_spell_gap_h", "24", "h", "common practice, no source", "practice"),),
        defaults=(Default("weather.verification.lead_edges_h", (0.0, 12.0), "hours as a crew plans"),),
    )
    remarks = ("The mast is not the road.", "The calibration was fitted to some of these days.")
    return Verification(MOVE, verification(data, cases, issued, setting), 11.0, "EUR", remarks, facts)


@pytest.fixture
def result() -> Verification:
    return result_of(pairs())


@pytest.fixture
def raw_only() -> Verification:
    return result_of(pairs(), kinds=1, stake=None)


@pytest.fixture
def few() -> Verification:
    """Twenty pairs, nothing above the upper threshold."""
    data = pairs().isel(case=slice(200, 220))
    return result_of(data.assign(observed_gust_mps=data["observed_gust_mps"] * 0.0 + 9.0))


@pytest.fixture
def none_known() -> Verification:
    data = pairs()
    return result_of(data.assign(observed_gust_mps=data["observed_gust_mps"] * np.nan))


@pytest.fixture
def hostile() -> Verification:
    """Text of a user that would like to be markup."""
    made = result_of(pairs())
    bad = "<script>alert(1)</script><img src=x onerror=alert(1)>{{ 7*7 }}"
    move = {**MOVE, "move": {**MOVE["move"], "name": bad, "organisation": bad}}
    return Verification(move, made.scores, made.limit_mps, bad, (bad,), made.provenance)


@pytest.fixture
def rebuilt() -> Callable[[], Verification]:
    return lambda: result_of(pairs())
