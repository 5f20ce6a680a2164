"""The four load cases side by side: limit on the gust, worst push in still air, and what holds it."""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.load_cases import accidental, earthquake, operation, statutory
from transport.load_cases.codes import Codes
from transport.load_cases.combination import Push, Still, Wind, corners, gust_limit_mps, worst_push
from transport.load_cases.envelope import Envelope
from transport.load_cases.polytope import Actions, facets
from transport.load_cases.ride import Masses
from transport.load_cases.setting import Setting

__all__ = ["Case", "Held", "accidental_case", "cases_of", "earthquake_case", "operation_case", "statutory_case"]


@dataclass(frozen=True)
class Held:
    """What the securing holds: its envelope and the resistances behind it, (losses or 1, models, f, d).

    error_ratio: the largest part of a resistance that the envelope gives away; after_loss: whether members are lost.
    """

    envelope: Envelope
    by_model_kN: Array
    error_ratio: float = np.nan
    after_loss: bool = False


@dataclass(frozen=True)
class Case:
    """One load case: gust limit (n, w) and the push that uses most at each station (n,)."""

    name: str
    clause: str
    remedy: str
    limit_mps: Array
    push: Push
    held: Held


def cases_of(intact: Held, lost: Held, setting: Setting, codes: Codes) -> list[Case]:
    """LC1 to LC4, on the intact securing and on what is left after the worst loss.

    Source: statutory_case, operation_case, earthquake_case, accidental_case (practice).
    """
    return [
        statutory_case(intact, setting.masses, codes, setting.wind.ahead_m2.shape),
        operation_case(intact, setting.operated, setting.wind),
        earthquake_case(intact, setting.at_rest, setting.wind, setting.shaking_kN),
        accidental_case(lost, setting.operated, setting.wind),
    ]


def statutory_case(held: Held, masses: Masses, codes: Codes, shape: tuple[int, int]) -> Case:
    """LC1 by every chosen code; the same at every station, no wind: infinite or 0, pushed as its strictest row says.

    Source: statutory.rows, federal.counting_rules (memory).
    """
    worst = codes.rows[0]
    use = np.full(shape[0], codes.use_ratio)
    angle_rad = np.deg2rad(worst.angle_deg)
    pushed_kN = max(worst.sliding_ratio, worst.tipping_ratio) * masses.greatest_t * masses.gravity_mps2
    push = Push(
        use_ratio=use,
        ahead_kN=np.full(shape[0], pushed_kN * np.cos(angle_rad)),
        left_kN=np.full(shape[0], pushed_kN * np.sin(angle_rad)),
        carried_kN=np.full(shape[0], masses.least_t * masses.gravity_mps2),
    )
    limit_mps = np.broadcast_to(np.where(np.isnan(use), np.nan, np.where(use <= 1.0, np.inf, 0.0))[:, None], shape)
    return Case(statutory.NAME, codes.clause, statutory.REMEDY, limit_mps, push, held)


def operation_case(held: Held, still: Still, wind: Wind) -> Case:
    """LC2 on the intact securing.

    Source: operation.still (practice).
    """
    limit_mps, push = _against(held, corners(still), wind)
    return Case(operation.NAME, operation.CLAUSE, operation.REMEDY, limit_mps, push, held)


def earthquake_case(held: Held, still: Still, wind: Wind, shaking_kN: Array) -> Case:
    """LC3 on the intact securing, with horizontal and vertical shaking (n, 2).

    Source: earthquake.shaken (memory).
    """
    actions = earthquake.shaken(still, shaking_kN, figure("load_cases_seismic_other_ratio"))
    limit_mps, push = _against(held, actions, wind, figure("load_cases_gust_to_mean_ratio"))
    return Case(earthquake.NAME, earthquake.CLAUSE, earthquake.REMEDY, limit_mps, push, held)


def accidental_case(held: Held, still: Still, wind: Wind) -> Case:
    """LC4: LC2 on what is left after the worst loss of a chain.

    Source: accidental.lost_envelope (memory).
    """
    limit_mps, push = _against(held, corners(still), wind)
    return Case(accidental.NAME, accidental.CLAUSE, accidental.REMEDY, limit_mps, push, held)


def _against(held: Held, actions: Actions, wind: Wind, gust_to_mean_ratio: float = 1.0) -> tuple[Array, Push]:
    inside = facets(held.envelope)
    limit_mps = gust_limit_mps(inside, actions, wind, gust_to_mean_ratio=gust_to_mean_ratio)
    return limit_mps, worst_push(inside, actions)
