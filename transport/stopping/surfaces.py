"""Road surfaces by name: rolling resistance, adhesion, roughness class; a name that no table holds is unknown."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.tables import published

__all__ = ["adhesion_ratio", "by_name", "rolling_ratios", "roughness_m3"]


def by_name(names: ArrayLike, table: Mapping[str, float]) -> Array:
    """Number of each name; NaN where the table does not hold it.

    Shapes: (station,). Source: look-up.
    """
    plain, back = np.unique(np.asarray(names, dtype=str), return_inverse=True)
    return np.array([table.get(str(name), np.nan) for name in plain])[back]


def rolling_ratios(surface: ArrayLike) -> tuple[Array, Array]:
    """Least and greatest rolling resistance of each surface: the least where it helps, the greatest where it hinders.

    Shapes: (station,). Source: shared/published/rolling_resistance.csv.
    """
    table = published("rolling_resistance")
    low, high = (
        by_name(surface, dict(zip(table.column("surface"), table.numbers(column), strict=True)))
        for column in ("low_ratio", "high_ratio")
    )
    return low, high


def adhesion_ratio(surface: ArrayLike, state: str) -> Array:
    """Adhesion of tyres on each surface, "dry" or "wet".

    Shapes: (station,). Source: shared/published/adhesion.csv.
    """
    table = published("adhesion")
    return by_name(surface, dict(zip(table.column("surface"), table.numbers(f"{state}_ratio"), strict=True)))


def roughness_m3(roughness_class: ArrayLike, level: str) -> Array:
    """Displacement power density Gd(n0) of a roughness class, "mean" or "upper" of it; NaN for a class not stated.

    No table gives the class of a surface from its name, and a worst class for all would close every road: what is not
    stated is unknown. Shapes: (station,), m3 = m2 / (cycle/m). Source: ISO 8608, shared/published/roughness.csv.
    """
    table = published("roughness")
    values = table.numbers(f"{level}_e6_m3") * 1e-6
    return by_name(roughness_class, dict(zip(table.column("class"), values, strict=True)))
