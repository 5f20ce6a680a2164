"""Gusts that the cover bears, other than by contact: divergence, uplift, fastenings, fabric, hem, vents."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.cover.divergence import circle_speed_mps, local_speed_ratio, sail_speed_mps
from transport.cover.fabric import allowable_tension_N_per_m, fabric_pressure_Pa
from transport.cover.fastening import fastening_pressure_Pa
from transport.cover.hem import flutter_speed_mps
from transport.cover.pressure import gust_mps
from transport.cover.situation import Situation
from transport.cover.uplift import rim_capacity_N_per_m, uplift_pressure_Pa

__all__ = [
    "divergence_mps",
    "divergence_speed_mps",
    "fabric_mps",
    "fabric_still_ratio",
    "fastening_mps",
    "fastening_still_ratio",
    "hem_mps",
    "hem_still_ratio",
    "rim_N_per_m",
    "uplift_mps",
    "vents_mps",
    "vents_still_ratio",
]


def divergence_speed_mps(cover: Situation) -> Array:
    """Divergence speed: round membrane over a closed, vented underside; sail if the wind gets under it.

    Source: circle_speed_mps (own), sail_speed_mps (memory)
    """
    air, tension = cover.air_density_kg_per_m3, cover.tension_low_N_per_m
    if cover.underside == "closed":
        return circle_speed_mps(tension, cover.radius_m, air, local_speed_ratio(cover.pressure.external_ratio))
    return sail_speed_mps(tension, 2.0 * cover.radius_m, air)


def divergence_mps(cover: Situation) -> Array:
    """Gust allowed for stability: divergence speed / 1.5.

    Source: factor on the speed (practice)
    """
    return divergence_speed_mps(cover) / figure("cover_divergence_safety_ratio")


def rim_N_per_m(cover: Situation) -> float:
    """Allowable line force at the rim, less where the neighbours of a lost fastening share it.

    Source: divisor on the working capacity (practice)
    """
    divisor_ratio = cover.factors.divisor_ratio * cover.factors.load_ratio
    return rim_capacity_N_per_m(cover.fastener_capacity_N, cover.pitch_m, divisor_ratio)


def uplift_mps(cover: Situation) -> Array:
    """Gust that lifts the whole cover off its fastenings.

    Source: EN 1991-1-4:2005, table 7.2 (memory)
    """
    up_ratio, factor_ratio = cover.pressure.up_ratio, cover.factors.wind_ratio
    pressure_Pa = uplift_pressure_Pa(rim_N_per_m(cover), up_ratio, cover.radius_m, factor_ratio)
    return gust_mps(pressure_Pa, cover.air_density_kg_per_m3)


def fastening_mps(cover: Situation) -> Array:
    """Gust that uses up one fastening at the rim; 0 if a fastening is missing.

    Source: EN 1991-1-4:2005, table 7.2 (memory); gate on missing fastenings (practice)
    """
    if cover.fasteners_missing_count > 0:
        return np.zeros(())
    factor = cover.factors.wind_ratio
    up_ratio, fastener_ratio = factor * cover.pressure.up_ratio, factor * cover.pressure.fastener_ratio
    pressure_Pa = fastening_pressure_Pa(rim_N_per_m(cover), cover.taut, up_ratio, fastener_ratio)
    return gust_mps(pressure_Pa, cover.air_density_kg_per_m3)


def fastening_still_ratio(cover: Situation) -> Array:
    """Pretension over the allowable force of a fastening; infinite if one is missing.

    Source: statics (memory)
    """
    ratio = cover.tension_high_N_per_m / rim_N_per_m(cover)
    return np.asarray(np.inf if cover.fasteners_missing_count > 0 else ratio)


def fabric_mps(cover: Situation) -> Array:
    """Gust that brings the fabric to its allowable tension, under local suction with dynamic factor 2.

    Source: strip strength / 5 (memory)
    """
    load_ratio = figure("cover_soft_dynamic_factor_ratio") * cover.pressure.rim_ratio
    pressure_Pa = fabric_pressure_Pa(allowable_tension_N_per_m(cover.strength_N_per_m), cover.taut)
    return gust_mps(pressure_Pa / load_ratio, cover.air_density_kg_per_m3)


def fabric_still_ratio(cover: Situation) -> Array:
    """Highest pretension over the allowable tension of the fabric.

    Source: strip strength / 5 (memory)
    """
    return np.asarray(cover.tension_high_N_per_m / allowable_tension_N_per_m(cover.strength_N_per_m))


def hem_mps(cover: Situation) -> Array:
    """Gust at which the free hem flaps, or the roped hem between two fastenings diverges, / 1.5.

    Source: flutter_speed_mps (own), sail_speed_mps (memory); gate above 50 mm (practice)
    """
    if not cover.free_hem_m <= figure("cover_hem_length_m"):
        return np.zeros(())
    air = cover.air_density_kg_per_m3
    free = flutter_speed_mps(cover.free_hem_m, cover.areal_mass_kg_per_m2, cover.bending_stiffness_Nm, air)
    roped = sail_speed_mps(cover.tension_low_N_per_m, cover.hem_span_m, air)
    return np.minimum(free, roped) / figure("cover_divergence_safety_ratio")


def hem_still_ratio(cover: Situation) -> Array:
    """0, or infinite if the free hem is too long.

    Source: gate on free hems (practice)
    """
    return np.asarray(0.0 if cover.free_hem_m <= figure("cover_hem_length_m") else np.inf)


def vents_mps(cover: Situation) -> Array:
    """No limit on the gust with open vents; 0 without: climbing and sun would burst a sealed cover.

    Source: gate on sealed covers (practice)
    """
    return np.asarray(np.inf if cover.vented else 0.0)


def vents_still_ratio(cover: Situation) -> Array:
    """0, or infinite if the cover is sealed.

    Source: gate on sealed covers (practice)
    """
    return np.asarray(0.0 if cover.vented else np.inf)
