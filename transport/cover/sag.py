"""How far a round membrane bows under pressure: pretension, stretching, pressure gradient, and its shape."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure, published

__all__ = [
    "Membrane",
    "Stretching",
    "centre_sag_m",
    "fuller_ratio",
    "gradient_sag_m",
    "pressure_Pa",
    "sag_m",
    "shape_ratio",
    "stretching",
    "unstretched",
]


class Stretching(NamedTuple):
    """Constants of a membrane without pretension: deflection, centre tension, edge tension."""

    deflection_ratio: float
    centre_ratio: float
    edge_ratio: float


class Membrane(NamedTuple):
    """A round membrane on a ring; stiffness 0 where stretching may not be counted."""

    radius_m: float
    tension_N_per_m: float | Array
    stiffness_N_per_m: float
    stretching: Stretching


def stretching(poisson_ratio: float) -> Stretching:
    """Constants K, c1, c2 of the membrane without pretension, for a Poisson ratio of 0.2 to 0.5.

    w0 = K R (p R / Et)^(1/3), N = c Et (p R / Et)^(2/3).
    Source: hencky.csv, Foeppl-Hencky membrane (own), agrees with NASA TP-3658 (memory)
    """
    table = published("hencky")
    names = Stretching._fields
    return Stretching(*(float(table.interpolate("poisson_ratio", name, poisson_ratio)) for name in names))


def pressure_Pa(sag_m: float | Array, membrane: Membrane) -> Array:
    """Pressure that bows the centre by a sag: p = 4 T w / R^2 + C Et w^3 / R^4 with C = 1 / K^3.

    Small slopes. Source: theory of membranes, one-term cubic (own), exact within 1 %
    """
    cubic_ratio = membrane.stretching.deflection_ratio**-3
    slope = np.asarray(sag_m) / membrane.radius_m**2
    return 4.0 * membrane.tension_N_per_m * slope + cubic_ratio * membrane.stiffness_N_per_m * slope**2 * sag_m


def centre_sag_m(load_Pa: float | Array, membrane: Membrane) -> Array:
    """Sag of the centre, the real root of pressure_Pa(w) = p; p R^2 / (4 T) without stretching.

    w = 2 sqrt(b / 3a) sinh(asinh(3 p / (2 b) sqrt(3 a / b)) / 3) for a w^3 + b w = p; b > 0.
    Source: theory of membranes; Cardano (memory)
    """
    linear = 4.0 * np.asarray(membrane.tension_N_per_m) / membrane.radius_m**2
    cubic = membrane.stretching.deflection_ratio**-3 * membrane.stiffness_N_per_m / membrane.radius_m**4
    if cubic == 0.0:
        return np.asarray(load_Pa / linear)
    argument = 1.5 * np.asarray(load_Pa) / linear * np.sqrt(3.0 * cubic / linear)
    return np.asarray(2.0 * np.sqrt(linear / (3.0 * cubic)) * np.sinh(np.arcsinh(argument) / 3.0))


def shape_ratio(radius_ratio: float | Array, membrane: Membrane) -> Array:
    """Sag at x = r / R over centre_sag_m, never too small: 1 - x^2, or 1.01 (1 - x^2) (1 + beta x^2).

    beta = 1 / (4 c2 K) - 1: where stretching counts, tension falls towards the rim and the bow is fuller.
    Source: edge slope of the Foeppl-Hencky membrane (own); the exact shape lies below
    """
    square = np.square(radius_ratio)
    if membrane.stiffness_N_per_m == 0.0:
        return np.asarray(1.0 - square)
    fuller = fuller_ratio(membrane.stretching)
    return np.asarray(figure("cover_sag_model_ratio") * (1.0 - square) * (1.0 + fuller * square))


def fuller_ratio(known: Stretching) -> float:
    """How much fuller than a parabola the bow is where stretching counts: beta = 1 / (4 c2 K) - 1.

    Source: edge slope of the Foeppl-Hencky membrane (own)
    """
    return 1.0 / (4.0 * known.edge_ratio * known.deflection_ratio) - 1.0


def unstretched(membrane: Membrane) -> Membrane:
    """The same membrane with its pretension alone; it never sags less."""
    return membrane._replace(stiffness_N_per_m=0.0)


def gradient_sag_m(radius_ratio: float | Array, load_Pa: float | Array, membrane: Membrane) -> Array:
    """Sag towards the heavier rim under p1 (r / R) cos(theta): w = p1 R^2 (x - x^3) / (8 T), x = r / R.

    Largest at x = 1 / sqrt(3). Stretching is not counted. Source: theory of membranes (memory)
    """
    x = np.asarray(radius_ratio)
    bow = membrane.radius_m**2 * (x - x**3) / (8.0 * np.asarray(membrane.tension_N_per_m))
    return np.asarray(load_Pa * bow)


def sag_m(radius_ratio: Array, load_Pa: Array, gradient_Pa: Array, membrane: Membrane) -> Array:
    """Sag at x = r / R under pressure and gradient; the even part not above that of pretension alone.

    Source: sums of centre_sag_m, shape_ratio and gradient_sag_m (practice)
    """
    plain = unstretched(membrane)
    stretched = centre_sag_m(load_Pa, membrane) * shape_ratio(radius_ratio, membrane)
    even = np.minimum(stretched, centre_sag_m(load_Pa, plain) * shape_ratio(radius_ratio, plain))
    return even + gradient_sag_m(radius_ratio, gradient_Pa, membrane)
