"""From pairs to a calibration: fits by lead class and wind sector, judged on days left out; errors of the control."""

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import xarray as xr

from shared.errors import InputError
from shared.tables import figure
from transport.weather.skill.alpha import error_of
from transport.weather.skill.cross_validation import Judged, judged, left_out_laws
from transport.weather.skill.emos import Coefficients, Law, fit, law_of
from transport.weather.skill.file import ErrorFit, LeadFit, Scores, SectorFit
from transport.weather.skill.training import (
    Cases,
    Extent,
    cases_of,
    chosen,
    extent,
    lacking,
    lead_class,
    sector_count,
)

__all__ = ["errors_of", "leads_of"]

Fits = dict[int | None, Coefficients]


def leads_of(pairs: xr.Dataset) -> tuple[LeadFit, ...]:
    """One entry for each class of lead times from 0 to the longest of the archive, fitted or not, with the reason."""
    cases = cases_of(pairs)
    members, least = cases.gust_mps.shape[1], figure("calibration_least_members_count")
    count = int(lead_class(pairs["lead_h"].values).max(initial=-1)) + 1
    few = () if members >= least else (f"{members} of at least {least:g} members: their spread says nothing",)
    return tuple(_lead(number, chosen(cases, cases.lead_class == number), few) for number in range(count))


def errors_of(pairs: xr.Dataset, control_realization: int) -> tuple[ErrorFit, ...]:
    """Error of the control member for each class of lead times with enough days, cases and range of gusts.

    Errors: InputError if the archive has no such member.
    """
    labels = pairs["member"].values
    if control_realization not in labels:
        known = ", ".join(map(str, labels[:5].tolist()))
        raise InputError(
            f"decision.control_realization: the archive has no member {control_realization}; it has {known} and so on"
        )
    cases = cases_of(pairs.sel(member=[control_realization]))
    return tuple(_errors(cases))


def _errors(cases: Cases) -> Iterator[ErrorFit]:
    for number in np.unique(cases.lead_class):
        here = chosen(cases, cases.lead_class == number)
        found = extent(here)
        if lacking(found):
            continue
        error = error_of(here.mean_mps, here.observed_mps, here.day)
        yield ErrorFit(**_hours(int(number)), forecast_high_mps=found.mean_high_mps, **error._asdict())


def _hours(number: int) -> dict[str, Any]:
    width = figure("calibration_lead_class_h")
    return {"lead_from_h": number * width, "lead_until_h": (number + 1) * width}


def _lead(number: int, cases: Cases, few: tuple[str, ...]) -> LeadFit:
    hours, reach = _hours(number), extent(cases)
    if short := (*few, *lacking(reach)):
        return LeadFit(**hours, usable=False, said=tuple(f"not fitted: {one}" for one in short))
    parts = {sector: extent(chosen(cases, cases.sector == sector)) for sector in range(sector_count())}
    own = [sector for sector, part in parts.items() if not lacking(part)]
    try:
        fits = _fits(cases, own)
        found = judged(cases, left_out_laws(cases, lambda known: _predictor(_fits(known, own))))
    except InputError as problem:
        return LeadFit(**hours, usable=False, said=(f"not fitted: {problem}",))
    seen = tuple(part.days >= figure("calibration_seen_days_count") for part in parts.values())
    return LeadFit(
        **hours,
        usable=not found.worse,
        together=_sector_fit(None, fits[None], reach),
        sectors=tuple(_sector_fit(sector, fits[sector], parts[sector]) for sector in own),
        seen=seen,
        scores=_scores(found),
        said=(*(f"not to be used: {one}" for one in found.worse), *_said(parts, own, seen)),
    )


def _fits(cases: Cases, own: list[int]) -> Fits:
    least = figure("calibration_least_sigma_mps")
    parts: dict[int | None, Cases] = {sector: chosen(cases, cases.sector == sector) for sector in own}
    parts[None] = cases
    return {
        sector: fit(part.mean_mps, part.variance_m2_per_s2, part.observed_mps, least) for sector, part in parts.items()
    }


def _predictor(fits: Fits) -> Callable[[Cases], Law]:
    """Each case by the fit of its sector, or of all directions together."""

    def predict(cases: Cases) -> Law:
        location, scale = law_of(_together(fits), cases.mean_mps, cases.variance_m2_per_s2)
        for sector, coefficients in fits.items():
            if sector is not None:
                here = cases.sector == sector
                law = law_of(coefficients, cases.mean_mps[here], cases.variance_m2_per_s2[here])
                location[here], scale[here] = law.location_mps, law.scale_mps
        return Law(location, scale)

    return predict


def _together(fits: Fits) -> Coefficients:
    return fits[None]


def _sector_fit(sector: int | None, coefficients: Coefficients, reach: Extent) -> SectorFit:
    width = figure("calibration_sector_deg")
    edges = None if sector is None else (sector * width, (sector + 1) * width)
    return SectorFit(sector_deg=edges, **coefficients._asdict(), **reach._asdict())


def _scores(found: Judged) -> Scores:
    plain: dict[str, Any] = found._asdict() | {"events": tuple(one._asdict() for one in found.events)}
    return Scores.model_validate(plain)


def _said(parts: dict[int, Extent], own: list[int], seen: tuple[bool, ...]) -> Iterator[str]:
    width = figure("calibration_sector_deg")
    for sector, part in parts.items():
        if sector not in own:
            serves = "the fit of all directions serves"
            then = serves if seen[sector] else f"{serves}, never below the forecast"
            why = ", ".join(lacking(part))
            yield f"wind from {sector * width:g} to {(sector + 1) * width:g} deg: only {why}; {then}"
