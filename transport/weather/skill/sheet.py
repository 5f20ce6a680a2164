"""The calibrated gust with its numbers, at the place and step of the highest one: to be checked by hand."""

from typing import Any

import numpy as np
from scipy.special import ndtr, ndtri

from shared.calculation import Line
from transport.weather.fields import Values
from transport.weather.skill.applying import Applied
from transport.weather.skill.coupling import levels_ratio

__all__ = ["lines"]

EMOS = "T. L. Thorarinsdottir and M. S. Johnson, Mon. Wea. Rev. 140, 889 (2012)"
ECC = "R. Schefzik, T. L. Thorarinsdottir, T. Gneiting, Statistical Science 28, 616 (2013)"


def lines(found: Applied, raw_mps: Values, before_mps: Values, ahead: np.ndarray) -> tuple[Line, ...]:
    """Calculation lines of the highest calibrated member in the steps ahead; none where nothing was calibrated.

    Shapes: raw and before (station, member, step), ahead (step).      Source: the equations of this package.
    """
    known = np.isfinite(found.law.location_mps) & ahead
    if not known.any():
        return ()
    gust = np.where(known[:, None], found.gust_mps, -np.inf)
    station, member, step = (int(index) for index in np.unravel_index(int(np.argmax(gust)), gust.shape))
    before = before_mps[station, :, step].astype(float)
    order = int(np.sum(before < before[member]) + np.sum(before[:member] == before[member]))
    level = float(levels_ratio(len(before))[order])
    mean, variance = float(before.mean()), float(before.var(ddof=1))
    fit = {name: float(value[station, step]) for name, value in found.fit.coefficients._asdict().items()}
    location, scale = (float(value[station, step]) for value in found.law)
    deviate = float(ndtri((1.0 - level) * ndtr(location / scale)))
    quantile = location - scale * deviate
    raw, at_load = float(raw_mps[station, member, step]), float(found.gust_mps[station, member, step])
    carried = float(found.carried[station, member, step])
    return (
        _line(
            "Location of the calibrated gust before relief",
            "mu = a + b m",
            "mu = a + b m",
            values=(
                ("a", fit["a_mps"], "m/s", "fitted"),
                ("b", fit["b_ratio"], "1", "fitted"),
                ("m", mean, "m/s", "mean of the members"),
            ),
            result=("mu", fit["a_mps"] + fit["b_ratio"] * mean, "m/s"),
            source=EMOS,
        ),
        _line(
            "Scale of the calibrated gust before relief",
            "sigma = sqrt(c + d S_2)",
            "sigma = sqrt(c + d S2)",
            values=(
                ("c", fit["c_m2_per_s2"], "m2/s2", "fitted"),
                ("d", fit["d_ratio"], "1", "fitted"),
                ("S_2", variance, "m2/s2", "variance of the members"),
            ),
            result=("sigma", scale, "m/s"),
            source=EMOS,
        ),
        _line(
            f"Quantile that this member gets, level {level:.4f}",
            "x_q = mu - sigma u",
            "xq = mu - sigma u",
            values=(
                ("mu", location, "m/s", "line above"),
                ("sigma", scale, "m/s", "line above"),
                ("u", deviate, "1", "normal deviate of (1 - level) times the share of the distribution above 0"),
            ),
            result=("x_q", quantile, "m/s"),
            source=ECC,
        ),
        _at_load(bool(found.may_lower[station, step]), quantile, carried, raw, at_load),
    )  # fmt: skip


def _at_load(inside: bool, quantile_mps: float, carried: float, raw_mps: float, at_load_mps: float) -> Line:
    own = (
        ("x_q", quantile_mps, "m/s", "line above"),
        ("f_g", carried, "1", "forecast gust of this member at the load over the same before relief"),
    )
    return _line(
        "Calibrated gust at the load" + ("" if inside else ", outside the trained range: never below the forecast"),
        'v_"cal" = x_q f_g' if inside else 'v_"cal" = max(x_q f_g, v_"raw")',
        "vcal = xq fg" if inside else "vcal = max(xq fg, vraw)",
        values=own if inside else (*own, ('v_"raw"', raw_mps, "m/s", "forecast gust of this member at the load")),
        result=('v_"cal"', at_load_mps, "m/s"),
        source="relief put on after the calibration",
        status="practice",
    )


def _line(title: str, formula: str, spoken: str, *, status: str = "read", **rest: Any) -> Line:
    return Line(check="calibrated gust", title=title, formula=formula, spoken=spoken, clause="", status=status, **rest)
