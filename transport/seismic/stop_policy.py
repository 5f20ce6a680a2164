"""Numbers behind the rule for the driver: how much warning there is, and how soon a soft stop stands."""

__all__ = ["stopping_distance_m", "stopping_time_s", "warning_s"]


def warning_s(distance_m: float, p_wave_mps: float, s_wave_mps: float) -> float:
    """Time between first shaking and strong shaking: R (1 / v_s - 1 / v_p).

    Source: travel times in an even crust (memory)
    """
    return distance_m * (1.0 / s_wave_mps - 1.0 / p_wave_mps)


def stopping_time_s(speed_mps: float, deceleration_mps2: float) -> float:
    """Time to stand still: v / a.

    Source: even deceleration (memory)
    """
    return speed_mps / deceleration_mps2


def stopping_distance_m(speed_mps: float, deceleration_mps2: float) -> float:
    """Way to stand still: v^2 / (2 a).

    Source: even deceleration (memory)
    """
    return speed_mps**2 / (2.0 * deceleration_mps2)
