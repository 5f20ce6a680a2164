"""Does a calibration fit this move and this forecast? Whatever does not is a reason to decide nothing."""

from collections.abc import Iterator, Mapping
from datetime import UTC
from typing import Any

import numpy as np
import xarray as xr

from shared.tables import figure
from transport.weather.inputs import Site
from transport.weather.skill.file import Basis, Calibration

__all__ = ["basis_of", "differing", "misfits"]

ALTITUDE_M = 0.5
WORDS = {
    "gust_kind": "the kind of gust in the forecast",
    "resolves_relief": "resolves_relief of the feed",
    "terrain_category": "site.terrain_category",
    "minimum_gust_ratio": "site.minimum_gust_ratio",
    "convective_gust_mps": "site.convective_gust_mps",
    "height_reduction_measured": "site.height_reduction_measured",
    "maximum_step_h": "weather.maximum_step_h",
}


def basis_of(pairs: xr.Dataset, site: Site, maximum_step_h: float) -> Basis:
    """What the pairs were made of: a calibration holds for a forecast that is made in the same way."""
    step_h = (pairs["time"].values - pairs["time_start"].values) / np.timedelta64(1, "h")
    return Basis(
        **_options(pairs.attrs, site, maximum_step_h),
        estimates_gust=bool(pairs.attrs["estimates_gust"]),
        model_altitude_m=_known(float(pairs.attrs["model_altitude_m"])),
        step_low_h=float(step_h.min()),
        step_high_h=float(step_h.max()),
        members_count=pairs.sizes["member"],
    )


def _options(attrs: Mapping[Any, Any], site: Site, maximum_step_h: float) -> dict[str, Any]:
    return {
        "gust_kind": str(attrs["gust_kind"]),
        "resolves_relief": bool(attrs["resolves_relief"]),
        "terrain_category": site.terrain_category,
        "minimum_gust_ratio": site.minimum_gust_ratio,
        "convective_gust_mps": site.convective_gust_mps,
        "height_reduction_measured": site.height_reduction_measured,
        "maximum_step_h": maximum_step_h,
    }


def _known(value: float) -> float | None:
    return value if np.isfinite(value) else None


def differing(
    basis: Basis, attrs: Mapping[Any, Any], site: Site, maximum_step_h: float, model_altitude_m: float
) -> Iterator[str]:
    """How the forecast of today, or what is made of it, differs from what was learned from."""
    for name, value in _options(attrs, site, maximum_step_h).items():
        if value != getattr(basis, name):
            yield f"{WORDS[name]} is {value}, it was learned with {getattr(basis, name)}"
    learned, here = basis.model_altitude_m, _known(model_altitude_m)
    if (learned is None) != (here is None):
        yield "the height of the model's ground is known only on one side, so it may be another model"
    elif learned is not None and here is not None and not abs(learned - here) <= ALTITUDE_M:
        yield f"the model's ground at the mast is {here:.0f} m, it was {learned:.0f} m: another model, or another grid"


def misfits(calibration: Calibration, as_of: np.datetime64, near: np.ndarray, alpha: bool) -> Iterator[str]:
    """Why the calibration is not for this day, this road or this rule."""
    day = as_of.astype("datetime64[D]")
    until = np.datetime64(calibration.trained_until, "D")
    age_days, allowed = float((day - until) / np.timedelta64(1, "D")), figure("calibration_age_days")
    made = np.datetime64(calibration.as_of.astimezone(UTC).replace(tzinfo=None), "s")
    if not age_days >= 0.0 or not made <= as_of:
        yield f"it was made at {made} UTC from days until {until}, which lie after now ({as_of} UTC); check the clocks"
    if not age_days <= allowed:
        yield f"its newest day is {until}, {age_days:.0f} days ago, allowed are {allowed:g}; make it again"
    if not near.any():
        reach = figure("calibration_reach_km")
        yield f"no station of the road lies within {reach:g} km of the mast '{calibration.mast.name}'"
    if alpha and not calibration.errors:
        yield "it holds no error of the control member; make it again with the rule 'alpha' in the move"
    if not alpha and not calibration.usable:
        yield "none of its fits may be used: " + "; ".join(
            dict.fromkeys(one for lead in calibration.leads for one in lead.said)
        )
