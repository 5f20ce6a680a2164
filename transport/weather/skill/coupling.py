"""Calibrated members that stay trajectories: quantiles of the law, handed out in the order of the raw members."""

import numpy as np

from shared.arrays import Array
from transport.weather.fields import Values
from transport.weather.skill.emos import Law
from transport.weather.skill.truncated import quantile_mps

__all__ = ["coupled_mps", "levels_ratio"]


def levels_ratio(members: int) -> Array:
    """Levels of the quantiles that m members get: i / (m + 1), i = 1 ... m.

    The highest member leaves a chance of 1 / (m + 1), so k of m members over a limit stand for a chance of no more than
    (k + 1) / (m + 1); the Clopper-Pearson bound of k in m lies above that.
    Source: ensemble copula coupling with quantiles, ECC-Q, R. Schefzik, T. L. Thorarinsdottir, T. Gneiting,
    Statistical Science 28, 616 (2013), abstract (read); levels (memory).
    """
    return np.arange(1.0, members + 1.0) / (members + 1.0)


def coupled_mps(raw_mps: Values, law: Law) -> Values:
    """The i-th smallest raw member gets the i-th quantile, at each place and step on its own; ties by number of member.

    Shapes: raw (place, member, step), law (place, step), result as raw. NaN in a member makes its place and step NaN.
    Source: ECC-Q as for levels_ratio (read).
    """
    place, members, step = raw_mps.shape
    rank = np.argsort(np.argsort(raw_mps, axis=1, kind="stable"), axis=1, kind="stable")
    ordered = quantile_mps(law.location_mps[:, None], law.scale_mps[:, None], levels_ratio(members)[None, :, None])
    result = np.take_along_axis(ordered, rank, axis=1)
    unknown = np.broadcast_to(np.isnan(raw_mps).any(axis=1, keepdims=True), (place, members, step))
    return np.where(unknown, np.nan, result)
