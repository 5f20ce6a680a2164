"""The calibrated gust with its numbers, at the place and step of the highest one: to be checked by hand."""

from typing import Any, NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from shared.calculation import Line
from transport.weather.fields import Values
from transport.weather.skill.applying import Applied
from transport.weather.skill.coupling import levels_ratio
from transport.weather.skill.emos import Coefficients

__all__ = ["lines"]

EMOS = "T. L. Thorarinsdottir and M. S. Johnson, Mon. Wea. Rev. 140, 889 (2012)"
ECC = "R. Schefzik, T. L. Thorarinsdottir, T. Gneiting, Statistical Science 28, 616 (2013)"


class Place(NamedTuple):
    """The numbers of one station, member and step."""

    coefficients: Coefficients
    mean_mps: float
    variance_m2_per_s2: float
    location_mps: float
    scale_mps: float
    level_ratio: float
    carried_ratio: float
    raw_mps: float
    at_load_mps: float
    inside: bool

    @property
    def deviate(self) -> float:
        """Standard normal deviate of the quantile, counted downwards."""
        return float(ndtri((1.0 - self.level_ratio) * ndtr(self.location_mps / self.scale_mps)))


def lines(found: Applied, raw_mps: Values, before_mps: Values, ahead: np.ndarray) -> tuple[Line, ...]:
    """Calculation lines of the highest calibrated member in the steps ahead; none where nothing was calibrated.

    Shapes: raw and before (station, member, step), ahead (step).      Source: the equations of this package.
    """
    known = np.isfinite(found.law.location_mps) & ahead
    if not known.any():
        return ()
    gust = np.where(known[:, None], found.gust_mps, -np.inf)
    station, member, step = (int(index) for index in np.unravel_index(int(np.argmax(gust)), gust.shape))
    at = _place(found, raw_mps, before_mps, (station, member, step))
    return _location(at), _scale(at), _quantile(at), _at_load(at)


def _place(found: Applied, raw_mps: Values, before_mps: Values, where: tuple[int, int, int]) -> Place:
    station, member, step = where
    before = before_mps[station, :, step].astype(float)
    order = int(np.sum(before < before[member]) + np.sum(before[:member] == before[member]))
    return Place(
        coefficients=Coefficients(*(float(np.asarray(value)[station, step]) for value in found.fit.coefficients)),
        mean_mps=float(before.mean()),
        variance_m2_per_s2=float(before.var(ddof=1)),
        location_mps=float(found.law.location_mps[station, step]),
        scale_mps=float(found.law.scale_mps[station, step]),
        level_ratio=float(levels_ratio(len(before))[order]),
        carried_ratio=float(found.carried[where]),
        raw_mps=float(raw_mps[where]),
        at_load_mps=float(found.gust_mps[where]),
        inside=bool(found.may_lower[station, step]),
    )


def _location(at: Place) -> Line:
    a, b = at.coefficients.a_mps, at.coefficients.b_ratio
    return _line(
        "Location of the calibrated gust before relief",
        "mu = a + b m",
        "mu = a + b m",
        values=(("a", a, "m/s", "fitted"), ("b", b, "1", "fitted"), ("m", at.mean_mps, "m/s", "mean of the members")),
        result=("mu", a + b * at.mean_mps, "m/s"),
        source=EMOS,
    )


def _scale(at: Place) -> Line:
    return _line(
        "Scale of the calibrated gust before relief",
        "sigma = sqrt(c + d S_2)",
        "sigma = sqrt(c + d S2)",
        values=(
            ("c", at.coefficients.c_m2_per_s2, "m2/s2", "fitted"),
            ("d", at.coefficients.d_ratio, "1", "fitted"),
            ("S_2", at.variance_m2_per_s2, "m2/s2", "variance of the members"),
        ),
        result=("sigma", at.scale_mps, "m/s"),
        source=EMOS,
    )


def _quantile(at: Place) -> Line:
    return _line(
        f"Quantile that this member gets, level {at.level_ratio:.4f}",
        "x_q = mu - sigma u",
        "xq = mu - sigma u",
        values=(
            ("mu", at.location_mps, "m/s", "line above"),
            ("sigma", at.scale_mps, "m/s", "line above"),
            ("u", at.deviate, "1", "normal deviate of (1 - level) times the share of the distribution above 0"),
        ),
        result=("x_q", at.location_mps - at.scale_mps * at.deviate, "m/s"),
        source=ECC,
    )


def _at_load(at: Place) -> Line:
    quantile_mps = at.location_mps - at.scale_mps * at.deviate
    own = (
        ("x_q", quantile_mps, "m/s", "line above"),
        ("f_g", at.carried_ratio, "1", "forecast gust of this member at the load over the same before relief"),
    )
    raw = ('v_"raw"', at.raw_mps, "m/s", "forecast gust of this member at the load")
    return _line(
        "Calibrated gust at the load" + ("" if at.inside else ", outside the trained range: never below the forecast"),
        'v_"cal" = x_q f_g' if at.inside else 'v_"cal" = max(x_q f_g, v_"raw")',
        "vcal = xq fg" if at.inside else "vcal = max(xq fg, vraw)",
        values=own if at.inside else (*own, raw),
        result=('v_"cal"', at.at_load_mps, "m/s"),
        source="relief put on after the calibration",
        status="practice",
    )


def _line(title: str, formula: str, spoken: str, *, status: str = "read", **rest: Any) -> Line:
    return Line(check="calibrated gust", title=title, formula=formula, spoken=spoken, clause="", status=status, **rest)
