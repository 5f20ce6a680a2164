"""One hydraulic group without pressure: whether the others hold the deck, or else the stops it sinks onto.

An accidental situation, reported beside the intact case: the hose bursts on the move and the train stops, so tilt,
bend, stop and start act as before; the resultant must stay inside the polygon, no least angle is asked for (practice).
The drop itself, which load and mirror feel, is not in it, nor is twist; the roll stiffness is that of the intact deck.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.axle_loads import group_shares
from transport.trailer.hydraulics import Hydraulics, group_pressure_kPa, pressure_use_ratio
from transport.trailer.loading import Loading, loading
from transport.trailer.polygon import edge_distance_m, edges, on_one_line
from transport.trailer.resultant import Actions, Body
from transport.trailer.tipping import Tipping, tipping
from transport.trailer.wind import Wind

__all__ = [
    "LOST_CHECKS", "Deck", "Lost", "known_worst_ratio", "lost", "lost_on_stops",
    "one_wind", "sunk", "sunk_lever_m",
    "sunk_tilt_deg", "unaided",
]  # fmt: skip

Numbers = NDArray[np.intp]
LOST_CHECKS = ("tipping", "axle-line load", "group pressure")
NOTHING_M = 1e-6  # a centre of mass this close to an edge stands on it


class Deck(NamedTuple):
    """Supports, their bogies, and what each may carry; the pressure is not checked where it is not stated."""

    support_m: Array  # (group, 2)
    bogies_count: Array  # (group,)
    axle_line_capacity_t: float
    hydraulics: Hydraulics | None
    stop_travel_m: float | None = None


class Lost(NamedTuple):
    """The deck without one group: use of each check at every station, and the wind it stands."""

    check_ratio: Array  # (check, station), still air
    tipped: Tipping
    loads: Loading | None  # None where the other groups stand on one line
    carrying_count: Numbers  # (carrying,), numbers of the groups that carry
    body: Body  # with its elastic roll, then without
    actions: Actions
    support_m: Array  # (carrying, 2)
    tilt_deg: float  # towards the group that sank, 0 where it hangs


def sunk_lever_m(support_m: Array, group_count: int) -> float:
    """Distance of a group to the edge of the others that faces it, about which the deck turns; 0 inside the others.

    Shapes: support (group, 2). Source: plane geometry.
    """
    lever_m, _ = _facing(support_m, group_count)
    return lever_m if lever_m > NOTHING_M else 0.0


def sunk_tilt_deg(support_m: Array, group_count: int, travel_m: float) -> float:
    """Tilt of the deck once a group has sunk onto its stops: atan(u / l), l from the group to the line it turns about.

    The line is the edge of the other groups that faces it. 0 where the group stands inside the others.
    Shapes: support (group, 2). Validity: the other groups keep their oil. Source: geometry.
    """
    lever_m = sunk_lever_m(support_m, group_count)
    return float(np.degrees(np.arctan2(travel_m, lever_m))) if lever_m > 0.0 else 0.0


def sunk(actions: Actions, support_m: Array, group_count: int, travel_m: float) -> Actions:
    """Actions on a deck that has also sunk towards a group: g sin(tilt) that way, and less weight normal to it.

    The sines add, the steepest angles add in the normal: never below the pull of one plane tilted by both.
    Source: statics of a tilted deck.
    """
    _, outward = _facing(support_m, group_count)
    tilt_rad = np.radians(sunk_tilt_deg(support_m, group_count, travel_m))
    pull = STANDARD_GRAVITY_MPS2 * np.sin(tilt_rad) * outward
    forward, left = (
        (low + min(float(part), 0.0), high + max(float(part), 0.0))
        for part, (low, high) in zip(pull, (actions.forward_mps2, actions.left_mps2), strict=True)
    )
    steepest_rad = np.arccos(np.clip(actions.normal_ratio, -1.0, 1.0)) + tilt_rad
    return actions._replace(forward_mps2=forward, left_mps2=left, normal_ratio=np.cos(steepest_rad))


def unaided(deck: Deck, group_count: int, body: Body, actions: Actions, wind: Wind, density_kg_per_m3: float) -> Lost:
    """The deck on the other groups alone; where they stand on one line it cannot stand, use infinite.

    Source: statics; load of the others by group_shares.
    """
    rest = np.delete(np.arange(len(deck.support_m)), group_count)
    return _lost(deck, rest, rest, (body, actions, wind, density_kg_per_m3), 0.0)


def lost_on_stops(
    deck: Deck, group_count: int, body: Body, actions: Actions, wind: Wind, density_kg_per_m3: float
) -> Lost:
    """The deck tilted onto the stops of the group that lost its oil; the others carry by their pressure.

    Source: statics; the group on its stops carries as before, its wheels unevenly (practice).
    """
    everything = np.arange(len(deck.support_m))
    travel_m = 0.0 if deck.stop_travel_m is None else deck.stop_travel_m
    tilted = sunk(actions, deck.support_m, group_count, travel_m)
    tilt_deg = sunk_tilt_deg(deck.support_m, group_count, travel_m)
    oiled = np.delete(everything, group_count)
    return _lost(deck, everything, oiled, (body, tilted, wind, density_kg_per_m3), tilt_deg)


def lost(deck: Deck, body: Body, actions: Actions, wind: Wind, density_kg_per_m3: float) -> tuple[Lost, ...]:
    """Each group lost in turn: on its stops if their travel is stated, else on the other groups alone."""
    case = unaided if deck.stop_travel_m is None else lost_on_stops
    return tuple(case(deck, n, body, actions, wind, density_kg_per_m3) for n in range(len(deck.support_m)))


def one_wind(wind: Wind) -> Wind:
    """The first wind direction alone, for what is asked in still air only."""
    return wind._replace(moment_m3=wind.moment_m3[..., :1, :])


def known_worst_ratio(check_ratio: Array) -> Array:
    """Greatest of the checks; unknown where one is not known, unless a known one is above 1 already.

    Shapes: (..., check) to (...). Source: an unknown check never passes (practice).
    """
    known = np.max(np.where(np.isnan(check_ratio), -np.inf, check_ratio), axis=-1)
    unknown = np.isnan(check_ratio).any(axis=-1)
    return np.where(unknown & ~(known > 1.0), np.nan, known)


def _facing(support_m: Array, group_count: int) -> tuple[float, Array]:
    """Distance of a group to the facing edge of the others, 0 or less inside them, and the way out over that edge."""
    polygon = edges(np.delete(support_m, group_count, axis=0))
    distance_m = edge_distance_m(polygon, support_m[group_count])
    nearest = int(distance_m.argmin())
    return -float(distance_m[nearest]), -polygon.gradient[nearest]


def _lost(
    deck: Deck, carrying: Numbers, oiled: Numbers, at: tuple[Body, Actions, Wind, float], tilt_deg: float
) -> Lost:
    body, actions, wind, density = _upright_too(at[0]), *at[1:]
    support_m = deck.support_m[carrying]
    tipped = tipping(edges(support_m), body, actions, wind, 0.0, density)
    over = np.where(tipped.utilisation_ratio > 1.0 / NOTHING_M, np.inf, tipped.utilisation_ratio)
    if on_one_line(support_m):
        none = np.where(np.isnan(over), np.nan, np.inf)
        return Lost(np.stack([none, none, none]), tipped, None, carrying, body, actions, support_m, tilt_deg)
    bogies = deck.bogies_count[carrying]
    plate = (bogies, deck.axle_line_capacity_t)
    loads = loading(group_shares(support_m, bogies), body, actions, one_wind(wind), plate, density)
    checks = [over, loads.line_t / deck.axle_line_capacity_t, _pressure_ratio(deck, loads, carrying, oiled)]
    return Lost(np.stack(checks), tipped, loads, carrying, body, actions, support_m, tilt_deg)


def _upright_too(body: Body) -> Body:
    """Every state with its elastic roll and without it: a lean away from the lost group is not counted on."""
    growth = np.where(np.isinf(body.amplification_ratio), np.inf, 1.0)
    twice = Body(*(np.concatenate([part, part]) for part in body))
    return twice._replace(amplification_ratio=np.concatenate([body.amplification_ratio, growth]))


def _pressure_ratio(deck: Deck, loads: Loading, carrying: Numbers, oiled: Numbers) -> Array:
    """Use of the circuit's limit by the groups that still have oil; NaN where no limit is stated."""
    if deck.hydraulics is None:
        return np.full(loads.line_t.shape, np.nan)
    by_oil = np.isin(carrying, oiled)
    greatest_kN = loads.heaviest_kN.max(axis=0)[:, by_oil]
    pressure_kPa = group_pressure_kPa(greatest_kN, deck.bogies_count[carrying][by_oil], deck.hydraulics.cylinder_m2)
    return pressure_use_ratio(pressure_kPa, deck.hydraulics)
