"""Pressure under a cover that climbs or warms, and the vents that let it out."""

import math

from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["climb_pressure_Pa", "vent_area_m2", "warming_pressure_Pa"]


def climb_pressure_Pa(
    climb_m: float, air_density_kg_per_m3: float, gravity_mps2: float = STANDARD_GRAVITY_MPS2
) -> float:
    """Pressure difference on a sealed cover after a climb: dp = rho g dz, small climbs.

    Source: hydrostatics (memory)
    """
    return air_density_kg_per_m3 * gravity_mps2 * climb_m


def warming_pressure_Pa(pressure_Pa: float, warming_K: float, temperature_K: float) -> float:
    """Pressure difference on a sealed cover whose air warms: dp = p dT / T.

    Source: ideal gas at constant volume (memory)
    """
    return pressure_Pa * warming_K / temperature_K


def vent_area_m2(
    volume_m3: float,
    climb_rate_mps: float,
    *,
    pressure_Pa: float,
    difference_Pa: float,
    discharge_ratio: float,
    air_density_kg_per_m3: float,
) -> float:
    """Vent that keeps a pressure difference while climbing: A = (V rho g v / p) / (Cd sqrt(2 dp / rho)).

    Source: isothermal outflow through an orifice (memory)
    """
    outflow = volume_m3 * climb_pressure_Pa(climb_rate_mps, air_density_kg_per_m3) / pressure_Pa
    return outflow / (discharge_ratio * math.sqrt(2.0 * difference_Pa / air_density_kg_per_m3))
