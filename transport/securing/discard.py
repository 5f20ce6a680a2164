"""When a used chain is taken out of service: worn links, stretched links."""

from shared.tables import figure

__all__ = ["elongation_ratio", "greatest_pitch_mm", "least_diameter_mm"]


def least_diameter_mm(size_mm: float) -> float:
    """Least mean diameter of a worn link, the mean of two readings at right angles.

    d_m >= k d, k = securing_discard_diameter_ratio; nominal diameter and result in mm.
    Source: wear over the nominal diameter, leaflet ubt3072 on slings (read).
    """
    return figure("securing_discard_diameter_ratio") * size_mm


def greatest_pitch_mm(new_pitch_mm: float, size_mm: float, diameter_mm: float) -> float:
    """Greatest length that a link, or a run of links, may have grown to.

    t <= k t_0 + (d_0 - d), k = securing_discard_pitch_ratio; new length t_0, nominal d_0 and worn diameter d in mm,
    d_0 where it was not measured.
    Over several links the wear is allowed for once, which is on the strict side.
    Source: DGUV Regel 109-004, section 7 (read).
    """
    return figure("securing_discard_pitch_ratio") * new_pitch_mm + (size_mm - diameter_mm)


def elongation_ratio(pitch_mm: float, new_pitch_mm: float) -> float:
    """Lasting stretch of a chain.

    e = t / t_0 - 1; lengths over the same links in mm.
    Source: definition (read).
    """
    return pitch_mm / new_pitch_mm - 1.0
