"""Sliding, elastic share and tipping in closed form, by stops and by direct chains (model A and the share).

A keyed stop is met at 0 mm, a chain is full only after a slide, so that their capacities never add.
"""

import numpy as np

from shared.arrays import Array
from transport.securing import sliding, tipping
from transport.securing.arrangement import (
    Arrangement,
    centres_m,
    counted,
    direction_ratio,
    resisting,
    shared_kN,
    stop_ratio,
    turned,
)
from transport.securing.sharing import blocked_kN

__all__ = ["closed_forms_kN", "tipping_kN"]

BETWEEN_DEG = tuple(np.linspace(-7.5, 7.5, 31).tolist())


def closed_forms_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Sliding and elastic share, by stops and by chains, (2 ways, 2, vertical factors, directions).

    By stops sum(BC h) + mu N, and with stops that share as they are pressed; by chains sum(F (h + mu v)) + mu N, and
    the elastic share as the least within half a step around.
    Source: EN 12195-1:2010, 5.3 blocking beside friction, 5.5 direct lashing, no sum of the two (memory).
    """
    full_kN, share = arrangement.capacity_kN * counted(arrangement), stop_ratio(arrangement)
    slack_kN, unblocked_kN = np.zeros_like(full_kN), np.zeros(len(share))
    by_stops = [
        _sliding_kN(arrangement, slack_kN, pressed_kN, vertical_ratio)
        for pressed_kN in (share @ arrangement.contact_limit_kN, blocked_kN(share, arrangement.contact_limit_kN))
    ]
    slides_kN = _sliding_kN(arrangement, full_kN, unblocked_kN, vertical_ratio)
    between = (turned(arrangement, angle_deg) for angle_deg in BETWEEN_DEG)
    shared = [_sliding_kN(one, shared_kN(one), unblocked_kN, vertical_ratio) for one in between]
    return np.stack([by_stops, [slides_kN, np.min(shared, axis=0)]])


def tipping_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Push at which the unit tips over an edge of its pads, not held by stops, (vertical factors, directions).

    The worst place of the centre of mass counts; direct chains at their capacity, top-over legs with their force.
    Source: tipping.resistance_kN, EN 12195-1:2010, 5.5 (memory).
    """
    restraint = arrangement.restraint
    tension_kN = arrangement.capacity_kN * counted(arrangement) + arrangement.fixed_kN
    edge_m, outward = tipping.outline_m(restraint.contact_m[arrangement.is_pad])
    arm_m = tipping.restoring_arm_m(restraint.pull_ratio, restraint.on_load_m, edge_m, outward)
    helpful_m = np.where(arrangement.fixed_kN > 0.0, arm_m, np.maximum(arm_m, 0.0))
    carried_kN, holding_kNm = vertical_ratio * arrangement.weight_kN, tension_kN @ helpful_m.T
    corners_kN = [
        tipping.resistance_kN(centre_m, direction_ratio(), edge_m, outward, carried_kN, holding_kNm)
        for centre_m in centres_m(arrangement)
    ]
    return np.asarray(np.min(corners_kN, axis=0), dtype=float)


def _sliding_kN(arrangement: Arrangement, direct_kN: Array, blocked_kN: Array, vertical_ratio: Array) -> Array:
    return sliding.resistance_kN(
        direct_kN + arrangement.fixed_kN,
        resisting(arrangement),
        -arrangement.restraint.pull_ratio[:, 2],
        arrangement.pad_friction_ratio,
        vertical_ratio[:, None] * arrangement.weight_kN,
        blocked_kN,
    )
