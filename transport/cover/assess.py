"""From the cover and the mirror to limits on the gust, for every place of the road."""

import math
from collections.abc import Callable

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import attach
from shared.datasets import dataset
from shared.errors import InputError
from transport.cover.contact import frequency_hz, watch_mps
from transport.cover.inputs import Cover, Mirror, faults
from transport.cover.ponding import ponds
from transport.cover.sheet import calculation
from transport.cover.situation import Situation, persistent
from transport.cover.states import LIMIT_STATES, LimitState
from transport.cover.tension import tension_needed_kN_per_m

__all__ = ["assess"]

NAMES = tuple(state.name for state in LIMIT_STATES)
GUSTS_MPS = np.arange(5.0, 35.0, 5.0)


def assess(
    cover: Cover,
    mirror: Mirror,
    *,
    station_m: Array,
    wind_from_deg: Array,
    air_density_kg_per_m3: float,
    vertical_acceleration_mps2: Array,
) -> xr.Dataset:
    """Limits of the cover: the same for every wind direction, by place only through the shaking of the deck.

    Shapes: station_m and vertical_acceleration_mps2 (station), wind_from_deg (wind_from).
    Errors: InputError if the ring of the cover does not stand outside the mirror.
    Source: EN 1991-1-4:2005 (memory); theory of membranes and sails (memory)
    """
    if together := list(faults(cover, mirror)):
        raise InputError.of(together)
    rigged = _situation(cover, mirror, air_density_kg_per_m3)
    place = {"station": station_m, "wind_from": wind_from_deg}
    data = _limits(rigged, vertical_acceleration_mps2, place, _attributes(cover, rigged))
    roughest = int(np.argmax(vertical_acceleration_mps2))
    known = {
        "vertical_mps2": float(vertical_acceleration_mps2[roughest]),
        "thermal_loss_N_per_m": cover.thermal_tension_loss_N_per_m,
    }
    needed = tension_needed_kN_per_m(rigged, **known, gusts_mps=GUSTS_MPS)
    extra = dataset({"tension_needed_kN_per_m": (("limit_state", "gust"), needed)}, {"gust": GUSTS_MPS})
    limit_mps = dict(zip(NAMES, data["gust_limit_mps"].values[:, roughest, 0].tolist(), strict=True))
    return attach(data.merge(extra), calculation(rigged, **known, limit_mps=limit_mps))


def _limits(
    rigged: Situation, vertical_mps2: Array, place: dict[str, Array], attributes: dict[str, str | int | float]
) -> xr.Dataset:
    lost = rigged.one_lost()
    gust = _by_state(lambda state, shaken: state.gust_mps(rigged, shaken), vertical_mps2)
    beside = _by_state(lambda state, shaken: state.gust_mps(lost, shaken), vertical_mps2)
    still = _by_state(lambda state, shaken: state.still_ratio(rigged, shaken), vertical_mps2)
    rose = np.repeat(gust[:, :, None], place["wind_from"].size, axis=2)
    return dataset(
        {
            "gust_limit_mps": (("limit_state", "station", "wind_from"), rose),
            "gust_limit_one_lost_mps": (("limit_state", "station"), beside),
            "utilisation_ratio": (("limit_state", "station"), still),
            "watch_above_mps": ("station", np.full(vertical_mps2.size, float(watch_mps(rigged)))),
            "clause": ("limit_state", [state.clause for state in LIMIT_STATES]),
            "remedy": ("limit_state", [state.remedy for state in LIMIT_STATES]),
        },
        {"limit_state": list(NAMES), **place},
        attributes,
    )


def _by_state(value: Callable[[LimitState, Array], Array], vertical_mps2: Array) -> Array:
    """Evaluate every limit state once for each different acceleration; shape (limit_state, station)."""
    different, back = np.unique(vertical_mps2, return_inverse=True)
    rows = [np.broadcast_to(value(state, different), different.shape)[back] for state in LIMIT_STATES]
    return np.array(rows)


def _situation(cover: Cover, mirror: Mirror, air_density_kg_per_m3: float) -> Situation:
    pitch_m = 2.0 * math.pi * cover.radius_m / cover.fastener_count
    return Situation(
        underside=cover.underside,
        radius_m=cover.radius_m,
        mirror_radius_m=mirror.radius_m,
        curvature_radius_m=mirror.radius_of_curvature_m,
        height_m=cover.height_above_mirror_edge_m,
        kept_free_m=cover.ring_sag_m + cover.clearance_margin_m,
        areal_mass_kg_per_m2=cover.areal_mass_kg_per_m2,
        tension_low_N_per_m=cover.tension_low_N_per_m,
        tension_high_N_per_m=cover.tension_high_N_per_m,
        stiffness_N_per_m=cover.membrane_stiffness_kN_per_m * 1000.0,
        ring_is_stiff=cover.ring_is_stiff,
        poisson_ratio=cover.poisson_ratio,
        strength_N_per_m=cover.fabric_strength_kN_per_m * 1000.0,
        bending_stiffness_Nm=cover.bending_stiffness_Nm,
        free_hem_m=cover.free_hem_m,
        pitch_m=pitch_m,
        hem_span_m=pitch_m,
        fastener_capacity_N=cover.fastener_capacity_kN * 1000.0,
        factors=persistent(),
        fasteners_missing_count=cover.fasteners_missing,
        vented=cover.vented,
        air_density_kg_per_m3=air_density_kg_per_m3,
    )


def _attributes(cover: Cover, rigged: Situation) -> dict[str, str | int | float]:
    wet = ponds(cover.tension_low_N_per_m, cover.radius_m, crowned=cover.crowned, drained=cover.drained)
    return {
        "tension_valid_until": cover.tension_valid_until.isoformat(),
        "tension_measured_by": cover.tension_measured_by,
        "wet_is_closed": int(wet),
        "underside": cover.underside,
        "lowest_frequency_hz": float(frequency_hz(rigged)),
    }
