"""Invented pairs at an invented mast: hours of weather, forecast four times a day by members that know too little."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.weather.skill.cases import Cases, cases_of
from transport.weather.skill.issued import Issued, from_members
from transport.weather.skill.setting import Setting

FIRST = np.datetime64("2026-01-05T00:00", "ns")
HOUR = np.timedelta64(1, "h")


def invented_pairs(days: int = 40, members: int = 11, leads: int = 30, seed: int = 3) -> xr.Dataset:
    """Runs every 12 h, one case each 3 h ahead: a slow sine of storms, error growing with lead. No proof."""
    rng = np.random.default_rng(seed)
    run, ahead = (part.ravel() for part in np.meshgrid(np.arange(0, 24 * days, 12), np.arange(3, leads + 1, 3)))
    valid = run + ahead
    truth = 8.0 + 5.0 * np.sin(valid / 60.0) + rng.normal(0.0, 0.5, valid.max() + 1)[valid]
    centre = truth + rng.normal(0.0, 0.6 + 0.05 * ahead)
    gust = np.clip(centre[:, None] + rng.normal(0.0, 0.9, (valid.size, members)), 0.0, None)
    return xr.Dataset(
        {
            "forecast_gust_mps": (("case", "member"), gust),
            "forecast_mean_mps": (("case", "member"), gust / 1.6),
            "observed_gust_mps": ("case", np.clip(truth, 0.0, None)),
            "observed_mean_mps": ("case", np.clip(truth, 0.0, None) / 1.6),
            "lead_h": ("case", ahead.astype(float)),
            "wind_from_deg": ("case", (250.0 + 0.4 * valid) % 360.0),
            "time": ("case", FIRST + valid * HOUR),
            "reference_time": ("case", FIRST + run * HOUR),
        }
    )


@pytest.fixture
def pairs() -> xr.Dataset:
    return invented_pairs()


@pytest.fixture
def setting() -> Setting:
    return Setting((9.0, 12.0), (0.0, 12.0, 24.0), 30.0, 24.0, 0.95, cap_ratio=0.1)


@pytest.fixture
def issue() -> Callable[[xr.Dataset], tuple[Cases, dict[str, Issued]]]:
    def made(pairs: xr.Dataset, above: float = 0.0) -> tuple[Cases, dict[str, Issued]]:
        cases, _known = cases_of(pairs)
        kinds = {"raw": cases.members_mps, "calibrated": cases.members_mps + 0.5}
        return cases, {kind: _ensemble(members, cases, above) for kind, members in kinds.items()}

    return made


def _ensemble(members: Any, cases: Cases, above: float) -> Issued:
    """Warned where the share of members above the threshold is larger than `above`."""
    return from_members(members, cases.observed_mps, lambda at: (members > at).mean(axis=1) > above)
