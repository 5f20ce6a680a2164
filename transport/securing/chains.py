"""Chains: direction, angles, strength and stiffness, and which of them resist a push.

Arrays hold one chain a row; a point is (x forward, y left, z up) in the trailer frame. The pull of a chain acts on the
load, from its point on the load towards its point on the deck.
"""

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import figure, published

__all__ = [
    "axial_stiffness_kN",
    "breaking_force_kN",
    "credited",
    "largest_lc_kN",
    "length_m",
    "plan_angle_deg",
    "pull_ratio",
    "resisting_ratio",
    "vertical_angle_deg",
]


def length_m(on_load_m: Array, on_deck_m: Array) -> Array:
    """Length of straight chains.

    L = |B - A|; points (n, 3) in m, result (n,).
    Source: geometry (read).
    """
    return np.asarray(np.linalg.norm(on_deck_m - on_load_m, axis=-1), dtype=float)


def pull_ratio(on_load_m: Array, on_deck_m: Array) -> Array:
    """Direction cosines of the pull on the load.

    u = (B - A) / |B - A|; points (n, 3) in m, result (n, 3); valid for L > 0.
    Source: geometry (read).
    """
    return np.asarray((on_deck_m - on_load_m) / length_m(on_load_m, on_deck_m)[..., None], dtype=float)


def vertical_angle_deg(pull_ratio: Array) -> Array:
    """Angle of the chain to the deck plane.

    sin(alpha) = -u_z; direction cosines (n, 3), result (n,) in degrees, 0 lies on the deck, 90 hangs straight down.
    Source: EN 12195-1:2010, clause 3, vertical angle (memory).
    """
    return np.rad2deg(np.arcsin(np.clip(-pull_ratio[..., 2], -1.0, 1.0)))


def plan_angle_deg(pull_ratio: Array) -> Array:
    """Angle of the chain to the long axis of the deck, seen from above.

    tan(beta_x) = |u_y| / |u_x|; direction cosines (n, 3), result (n,) in degrees from 0 to 90.
    Source: EN 12195-1:2010, clause 3, longitudinal angle (memory).
    """
    return np.rad2deg(np.arctan2(np.abs(pull_ratio[..., 1]), np.abs(pull_ratio[..., 0])))


def resisting_ratio(pull_ratio: Array, direction_ratio: Array) -> Array:
    """Share of each pull that resists a push, called h.

    h = -u . e; pulls (n, 3), unit directions (..., 2) in the deck plane, result (..., n); below 0 the chain goes slack.
    Source: EN 12195-1:2010, 5.5, cos(alpha) cos(beta) generalised to any direction by statics (memory).
    """
    return np.asarray(-direction_ratio @ pull_ratio[:, :2].T, dtype=float)


def credited(resisting_ratio: Array, least_ratio: float) -> NDArray[np.bool_]:
    """Chains that may be counted in each direction of a fan.

    h >= least in this direction and in both neighbours; shares (directions, n) round the whole circle, result the same.
    A chain counted at two neighbouring directions then resists every direction between them.
    Source: remedy for non-associated friction, credit only what lengthens, after Drucker 1954 (practice).
    """
    enough = resisting_ratio >= least_ratio
    return np.asarray(enough & np.roll(enough, 1, axis=0) & np.roll(enough, -1, axis=0), dtype=np.bool_)


def breaking_force_kN(size_m: Array, stress_kPa: Array) -> Array:
    """Least breaking force of a round-link chain, the stress taken on both legs of the link.

    MBF = 2 (pi/4) d^2 sigma; sizes in m and stresses in kPa of the same shape, result in kN; for short link chain.
    Source: EN 818 series, breaking stress by grade (read).
    """
    return np.asarray(np.pi / 2.0 * size_m**2 * stress_kPa, dtype=float)


def axial_stiffness_kN(size_m: Array, stiffness_kPa: float) -> Array:
    """Force that would stretch a chain to double its length, were it elastic so far.

    EA = c d^2; sizes in m, c in kPa, result in kN; valid below the lashing capacity.
    Source: fit of catalogue and curved-beam values, 0.5 to 0.9e8 kPa (practice).
    """
    return np.asarray(stiffness_kPa * size_m**2, dtype=float)


def largest_lc_kN(size_mm: float, grade: int) -> tuple[float, str]:
    """Largest lashing capacity that a tag can honestly state, and why.

    Table of LC by size and grade with a tolerance; for a size not in the table half the breaking force.
    Source: BGHM-I 108 table 17 and CSS Code annex 13, MSL = MBL / 2 (read).
    """
    for row in published("chain_lc").rows:
        if float(row["size_mm"]) == size_mm and int(row["grade"]) == grade:
            return figure("securing_tag_tolerance_ratio") * float(row["lc_kN"]), f"table {row['lc_kN']} kN"
    stress_kPa = np.array(figure(f"securing_chain_stress_grade_{grade}_kPa"))
    breaking_kN = float(breaking_force_kN(np.array(size_mm / 1000.0), stress_kPa))
    reason = f"half the breaking force of {breaking_kN:.4g} kN"
    return figure("securing_capacity_of_breaking_ratio") * breaking_kN, reason
