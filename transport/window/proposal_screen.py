"""What a changed securing would hold against the worst pushes that are known: an estimate, never a proof."""

from dataclasses import dataclass, replace

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import figure
from transport.load_cases import accidental, earthquake, statutory
from transport.load_cases.actions import wind_pressure_kPa
from transport.securing.arrangement import DIRECTION_DEG, Arrangement, chains_alone, losses, without
from transport.securing.assess import arrangement
from transport.securing.closed_forms import closed_forms_kN, tipping_kN
from transport.securing.elastic import first_chain_full
from transport.securing.inputs import Chain, Contact
from transport.securing.limit_analysis import chained_kN, stopped_kN
from transport.window.inputs import Move

__all__ = ["Known", "Scheme", "held_kN", "known_pushes", "scaled", "use_ratio", "windy"]

CHOSEN_COUNT = 3


@dataclass(frozen=True)
class Scheme:
    """What holds the unit: the chains and the contacts."""

    chains: tuple[Chain, ...]
    contacts: tuple[Contact, ...]


@dataclass(frozen=True)
class Known:
    """The worst push of one load case by a whole assessment, with what it used there.

    least_carried_kN: below it nothing is held; lost: the member whose loss is worst; scale_ratio: see scaled.
    """

    state: str
    ahead_kN: float
    left_kN: float
    carried_kN: float
    use_ratio: float
    least_carried_kN: float
    lost: str = "none"
    scale_ratio: float = 1.0

    @property
    def fails(self) -> bool:
        """Whether the load case is not met in still air; an unknown one is not met."""
        return not self.use_ratio <= 1.0

    @property
    def towards(self) -> Array:
        """Unit vector of the push, forward and to the left."""
        size_kN = float(np.hypot(self.ahead_kN, self.left_kN))
        return np.array([self.ahead_kN, self.left_kN]) / size_kN if size_kN > 0.0 else np.array([1.0, 0.0])


def known_pushes(securing: xr.Dataset) -> tuple[Known, ...]:
    """The worst push of each load case in still air.

    Source: load_cases.governing (practice).
    """
    use = np.max(securing["utilisation_ratio"].transpose("limit_state", "station").values, axis=1)
    pushes = [securing[f"push_{name}_kN"].values.astype(float).tolist() for name in ("ahead", "left", "carried")]
    weight_kN, least = float(securing.attrs["weight_kN"]), float(securing["vertical_factor"].values[0])
    lost = [str(name) for name in securing["lost_member"].values]
    states = [str(name) for name in securing["limit_state"].values]
    return tuple(
        Known(state, ahead_kN, left_kN, carried_kN, float(use[row]), least * weight_kN, lost[row])
        for row, (state, ahead_kN, left_kN, carried_kN) in enumerate(zip(states, *pushes, strict=True))
    )


def windy(known: Known, move: Move, gust_mps: float | None) -> Known:
    """The same push with a gust that blows along it; the statutory case knows no wind.

    q (c_f A) along the push, the lift off what is carried; its moments are left to the whole assessment.
    Source: combination.gust_limit_mps, one direction of it (practice).
    """
    if gust_mps is None or known.state == statutory.NAME:
        return known
    slower = figure("load_cases_gust_to_mean_ratio") if known.state == earthquake.NAME else 1.0
    unit, (ahead, left) = move.unit, known.towards
    pressure_kPa = float(wind_pressure_kPa(np.array(gust_mps / slower), move.site.air_density_kg_per_m3))
    area_m2 = unit.force_coefficient * (abs(ahead) * unit.wind_area_front_m2 + abs(left) * unit.wind_area_side_m2)
    return replace(
        known,
        ahead_kN=known.ahead_kN + pressure_kPa * area_m2 * ahead,
        left_kN=known.left_kN + pressure_kPa * area_m2 * left,
        carried_kN=known.carried_kN - pressure_kPa * unit.plan_area_m2 * unit.lift_coefficient,
    )


def scaled(known: Known, move: Move, scheme: Scheme) -> Known:
    """The statutory push with what the assessment of a scheme found over the estimate of it, at most 1.

    The push is the larger of sliding and tipping, and one of several codes may count more than LC / divisor; so the
    estimate may be too strict. Every other load case is estimated as it is.
    Source: one known point corrects the estimate near it (practice).
    """
    if known.state != statutory.NAME:
        return known
    guess = use_ratio(known, move, scheme, whole=True)
    scale = known.use_ratio / guess if np.isfinite(guess) and guess > 0.0 else 1.0
    return replace(known, scale_ratio=min(1.0, scale) if scale > 0.0 else 1.0)


def use_ratio(known: Known, move: Move, scheme: Scheme, *, whole: bool) -> float:
    """Estimated use of a scheme by one push: infinite where it holds nothing, NaN where that is not known.

    H = a e_k + b e_(k+1), use = a / R_k + b / R_(k+1), R at the vertical factor of the push; by the closed forms or, if
    whole, by all models. Of one member lost all are tried if whole, else the one known to be worst and the last ones.
    Source: convexity of the wrenches that can be held (read).
    """
    accident = known.state == accidental.NAME
    divisor = 1.0 if accident else move.securing.capacity_divisor
    held = arrangement(move.unit, scheme.chains, scheme.contacts, divisor_ratio=divisor)
    left = _after_losses(held, scheme, known.lost, whole=whole) if accident else [held]
    step = 2.0 * np.pi / len(DIRECTION_DEG)
    turn = float(np.arctan2(known.left_kN, known.ahead_kN)) % (2.0 * np.pi)
    first = int(turn // step) % len(DIRECTION_DEG)
    ways = np.array([first, (first + 1) % len(DIRECTION_DEG)])
    carried = np.array([known.carried_kN / held.weight_kN])
    least_kN = np.min([held_kN(one, carried, ways, whole=whole) for one in left], axis=0)
    parts = np.array([np.sin((first + 1) * step - turn), np.sin(turn - first * step)]) / np.sin(step)
    if np.isnan(least_kN).any():
        return float("nan")
    if not ((least_kN > 0.0).all() and known.carried_kN >= known.least_carried_kN):
        return float("inf")
    return known.scale_ratio * float(np.hypot(known.ahead_kN, known.left_kN) * np.sum(parts / least_kN))


def held_kN(arrangement: Arrangement, vertical_ratio: Array, ways: NDArray[np.intp], *, whole: bool) -> Array:
    """What an arrangement holds in some directions at one vertical factor, (ways,); more models never hold more.

    Source: capacity.ways_of, the better of stops and direct chains, by the least of the models (practice).
    """
    closed_kN = closed_forms_kN(arrangement, vertical_ratio)[:, :, 0, ways]
    by_stops, by_chains = np.min(closed_kN, axis=1)
    if whole:
        by_stops = np.minimum(by_stops, stopped_kN(arrangement, vertical_ratio, ways)[0])
        elastic = first_chain_full(chains_alone(arrangement), vertical_ratio, ways).multiplier_ratio[0]
        by_chains = np.minimum(by_chains, chained_kN(arrangement, vertical_ratio, ways)[0])
        by_chains = np.minimum(by_chains, elastic * arrangement.weight_kN)
    return np.asarray(np.minimum(np.fmax(by_stops, by_chains), tipping_kN(arrangement, vertical_ratio)[0, ways]))


def _after_losses(bare: Arrangement, scheme: Scheme, lost: str, *, whole: bool) -> list[Arrangement]:
    found = losses(bare, [chain.tag for chain in scheme.chains])
    chosen = [one for one in found if whole or one.name == lost] or list(found)
    latest = [] if whole else list(found[-CHOSEN_COUNT:])
    return [without(bare, loss.rows) for loss in (*chosen, *latest)]
