"""Tension lost when the fabric gets warmer than its ring."""

__all__ = ["covered_difference_K", "tension_change_N_per_m"]


def tension_change_N_per_m(
    stiffness_N_per_m: float, strain_per_K: float, difference_K: float, poisson_ratio: float
) -> float:
    """Change of tension on a stiff ring: dT = Et (alpha_fabric - alpha_ring) dtheta / (1 - nu).

    Source: plane stress, both directions held (memory)
    """
    return stiffness_N_per_m * strain_per_K * difference_K / (1.0 - poisson_ratio)


def covered_difference_K(
    loss_N_per_m: float, stiffness_N_per_m: float, strain_per_K: float, poisson_ratio: float
) -> float:
    """Warming against the ring that a declared loss of tension covers: dtheta = dT (1 - nu) / (Et d_alpha).

    Source: inverse of tension_change_N_per_m (memory)
    """
    return loss_N_per_m * (1.0 - poisson_ratio) / (stiffness_N_per_m * strain_per_K)
