"""Friction between the unit and what carries it."""

import numpy as np

from shared.arrays import Array

__all__ = ["design_friction_ratio", "fan_ratio", "tilt_test_angle_deg"]


def design_friction_ratio(friction_ratio: Array, conversion_ratio: float) -> Array:
    """Friction that may be counted beside direct lashings, which work only after the load has moved a little.

    mu_d = f_mu mu; coefficients of any shape, f_mu from 0 to 1.
    Source: EN 12195-1:2010, 5.4, and CTU Code annex 7, factor 0.75 (read).
    """
    return np.asarray(conversion_ratio * friction_ratio, dtype=float)


def fan_ratio(normal_ratio: Array, sides_count: int) -> Array:
    """Unit directions of friction in the plane of a contact, evenly round the normal.

    t_k = cos(2 pi k / K) t1 + sin(2 pi k / K) t2, t1 along x for a level contact; normal (3,), result (K, 3).
    The polygon lies inside the circle of friction: it takes up to 1 - cos(pi / K) too little, never too much.
    Source: linearised Coulomb friction, statics (read).
    """
    along = np.array([1.0, 0.0, 0.0]) if abs(normal_ratio[2]) > 0.5 else np.array([0.0, 0.0, 1.0])
    first = along - (along @ normal_ratio) * normal_ratio
    first = first / np.linalg.norm(first)
    second = np.cross(normal_ratio, first)
    angle_rad = 2.0 * np.pi * np.arange(sides_count) / sides_count
    return np.asarray(np.outer(np.cos(angle_rad), first) + np.outer(np.sin(angle_rad), second), dtype=float)


def tilt_test_angle_deg(acceleration_ratio: float, hold_ratio: float) -> float:
    """Tilt of a test that shows the same as an acceleration, for a load held by friction or its own width.

    theta = asin((c - eta) / sqrt(1 + eta^2)) + atan(eta), eta = min(mu, b/d); ratios of g, result in degrees.
    Valid for eta <= c <= 1 + eta / 2 or so, where the arcsine exists.
    Source: CTU Code 2014 annex 7 appendix 5 (memory).
    """
    sine = (acceleration_ratio - hold_ratio) / np.sqrt(1.0 + hold_ratio**2)
    return float(np.rad2deg(np.arcsin(sine) + np.arctan(hold_ratio)))
