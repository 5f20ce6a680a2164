"""What was learned from the archive, as tables: fits, their proof on days left out, errors of the control member."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from transport.reports.extracts import Extract
from transport.reports.listings import Listing
from transport.reports.notation import one_line, share

__all__ = ["learned_extract"]

Plain = Mapping[str, Any]


def learned_extract(found: Plain) -> Extract:
    """A calibration, given as the plain object of its file."""
    listings = [_fits(found["leads"]), _scores(found["leads"])]
    if found["errors"]:
        listings.append(_errors(found["errors"]))
    return Extract("Calibration", tuple(one for one in listings if one.rows), tuple(_sentences(found)), dict(found))


def _lead(one: Plain) -> str:
    return f"{one['lead_from_h']:g}-{one['lead_until_h']:g}"


def _fits(leads: list[Plain]) -> Listing:
    columns = ("lead h", "wind from", "a", "b", "c", "d", "days", "cases", "mean", "observed")
    rows = tuple(
        _fit_row(lead, fit) for lead in leads if lead["together"] for fit in (lead["together"], *lead["sectors"])
    )
    title = (
        "Gust before relief, m/s: normal, cut off at 0; location a + b mean, scale squared c + d variance of the "
        "members; trained range of the mean, observed gusts"
    )
    return Listing(title, columns, rows, frozenset(range(len(columns))))


def _fit_row(lead: Plain, fit: Plain) -> tuple[str, ...]:
    sector = fit["sector_deg"]
    return (
        _lead(lead),
        "any" if sector is None else f"{sector[0]:g}-{sector[1]:g}°",
        *(f"{fit[name]:.3f}" for name in ("a_mps", "b_ratio", "c_m2_per_s2", "d_ratio")),
        str(fit["days"]),
        str(fit["cases"]),
        f"{fit['mean_low_mps']:.1f}-{fit['mean_high_mps']:.1f}",
        f"{fit['observed_low_mps']:.1f}-{fit['observed_high_mps']:.1f}",
    )


def _scores(leads: list[Plain]) -> Listing:
    columns = ("lead h", "used", "CRPS", "cal.", "missed", "cal.", "above", "cal.", "50 80 95 %")
    rows = tuple(_score_row(lead, lead["scores"]) for lead in leads if lead["scores"])
    title = (
        "On days left out, forecast as it is and calibrated: CRPS in m/s; gust events that no member had foreseen; "
        "share of cases above the highest member; coverage of the calibrated intervals"
    )
    return Listing(title, columns, rows, frozenset(range(len(columns))))


def _score_row(lead: Plain, scores: Plain) -> tuple[str, ...]:
    missed = [sum(event[name] for event in scores["events"]) for name in ("missed_raw", "missed_calibrated")]
    return (
        _lead(lead),
        "yes" if lead["usable"] else "no",
        f"{scores['crps_raw_mps']:.3f}",
        f"{scores['crps_calibrated_mps']:.3f}",
        *map(str, missed),
        share(scores["above_raw_ratio"]),
        share(scores["above_calibrated_ratio"]),
        " ".join(f"{math.floor(100.0 * value)}" for value in scores["coverage_ratio"]),
    )


def _errors(errors: list[Plain]) -> Listing:
    columns = ("lead h", "days", "cases", "mean", "deviation", "its bound", "largest")
    rows = tuple(
        (
            _lead(one),
            str(one["days"]),
            str(one["cases"]),
            *(f"{one[name]:.2f}" for name in ("mean_mps", "sigma_mps", "sigma_bound_mps")),
            f"{one['quantiles_mps'][-1]:.2f}",
        )
        for one in errors
    )
    title = "Error of the control member, observed less forecast, m/s"
    return Listing(title, columns, rows, frozenset(range(len(columns))))


def _sentences(found: Plain) -> Iterator[str]:
    mast, basis = found["mast"], found["basis"]
    yield (
        f"{found['runs']} runs of {basis['members_count']} members against the mast '{one_line(mast['name'])}', "
        f"{found['trained_from']} to {found['trained_until']}: {found['cases']} pairs"
    )
    for why, count in sorted(found["dropped"].items()):
        yield f"left out: {count} pairs, {one_line(why)}"
    if basis["model_altitude_m"] is None:
        yield "the height of the model's ground is not known, so a change of the forecast model would not show"
    promised = share(1.0 / (basis["members_count"] + 1.0))
    right = f"if the {basis['members_count']} members were right"
    yield f"{right}, the mast would lie above the highest of them in {promised} of all cases"
    for lead in found["leads"]:
        for one in lead["said"]:
            yield f"lead {_lead(lead)} h: {one_line(one)}"
