"""A lower speed: less shake across the deck and less force in the bends; the statutory case does not know it."""

from dataclasses import replace

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.units import kmh_from_mps, mps_from_kmh
from transport.load_cases import earthquake, statutory
from transport.window.checks import stopping_of
from transport.window.inputs import Move
from transport.window.proposal_screen import Known
from transport.window.schedule import driving_time_s

__all__ = ["SPEED", "exposed_h", "slowed", "slower_pushes", "speeds_mps"]

SPEED = "lower speed"
STEP_KMH = 0.5
LEAST_KMH = 1.0


def speeds_mps(road: xr.Dataset) -> Array:
    """Speeds to try below the highest of the road, falling in steps of half a km/h down to 1 km/h.

    Source: own, what a driver can hold at walking pace (practice).
    """
    highest_kmh = float(np.nanmax(kmh_from_mps(road["speed_mps"].values)))
    count = int(np.floor((highest_kmh - LEAST_KMH) / STEP_KMH + 1e-9))
    steps_kmh = LEAST_KMH + STEP_KMH * np.arange(count + 1)[::-1]
    return np.asarray(mps_from_kmh(steps_kmh[steps_kmh < highest_kmh - 1e-9]), dtype=float)


def slowed(road: xr.Dataset, speed_mps: float) -> xr.Dataset:
    """The road driven nowhere faster than a speed; an unknown speed stays unknown.

    Source: geometry (read).
    """
    return road.assign(speed_mps=np.minimum(road["speed_mps"], speed_mps))


def exposed_h(move: Move, road: xr.Dataset, slower: xr.Dataset, exposure_h: float) -> float:
    """How long the load is exposed when it is driven more slowly, contingency included.

    t + (1 + contingency) (T' - T), T the driving time.
    Source: schedule.passages (memory).
    """
    station_m = road["station"].values
    ends_m = station_m[[0, -1]]
    longer_s = [driving_time_s(station_m, one["speed_mps"].values, ends_m)[-1] for one in (road, slower)]
    contingency = max(stage.contingency_ratio or 0.0 for stage in move.stage)
    return exposure_h + (1.0 + contingency) * float(longer_s[1] - longer_s[0]) / 3600.0


def slower_pushes(
    known: tuple[Known, ...], move: Move, road: xr.Dataset, checks: dict[str, xr.Dataset], speed_mps: float
) -> tuple[Known, ...]:
    """The worst pushes as they would be at the same stations at a lower speed.

    Carried less m (|a_z| - |a_z'|), not beside an earthquake; sideways less m (v^2 - v'^2) |kappa|, not beyond 0.
    Source: operation.still (practice).
    """
    slower = slowed(road, speed_mps)
    shake_mps2 = [
        np.abs(one["vertical_acceleration_mps2"].values) for one in (checks["stopping"], stopping_of(move, slower))
    ]
    places_m = checks["securing"]["governing_station_of_state_m"].values
    found = []
    for one, place_m in zip(known, places_m, strict=True):
        if one.state == statutory.NAME or not np.isfinite(place_m):
            found.append(one)
            continue
        row = int(np.argmin(np.abs(road["station"].values - place_m)))
        spared_mps2 = 0.0 if one.state == earthquake.NAME else float(shake_mps2[0][row] - shake_mps2[1][row])
        turned_mps2 = abs(float(road["curvature_per_m"].values[row])) * float(
            road["speed_mps"].values[row] ** 2 - slower["speed_mps"].values[row] ** 2
        )
        aside_kN = max(abs(one.left_kN) - move.unit.mass_t * turned_mps2, 0.0)
        carried_kN = one.carried_kN + (move.unit.mass_t - move.unit.mass_tolerance_t) * spared_mps2
        found.append(replace(one, left_kN=float(np.copysign(aside_kN, one.left_kN)), carried_kN=carried_kN))
    return tuple(found)
