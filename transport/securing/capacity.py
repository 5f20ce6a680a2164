"""Resistance against a push in each direction of the deck, by every model, for each vertical factor.

A vertical factor is the force across the deck over the weight, 1 on a level deck at rest. Resistances are in kN.

Sliding, elastic share, equilibrium and elastic chains are found in two ways: by stops, friction and top-over lashings
without direct chains, or by direct chains, friction and top-over lashings without stops. A keyed stop is met at 0 mm, a
chain is full only after a slide, so that their capacities never add: EN 12195-1 sums blocking with friction (5.3, 5.4),
not with direct lashing (5.5). In each direction the way whose least model holds more counts, with all its models;
between two directions a straight line takes a part of each way, which together is one whole. Tipping is not held by
stops. Stops are so stiff that their elastic share stands for the elastic chains too.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing.arrangement import Arrangement, Loss, chains_alone, counted, without
from transport.securing.closed_forms import closed_forms_kN, tipping_kN
from transport.securing.elastic import EVERY_WAY, Pushed, first_chain_full
from transport.securing.limit_analysis import chained_kN, stopped_kN

__all__ = ["MODELS", "WAYS", "Ways", "by_model_kN", "elastic_chains", "lost_kN", "ways_of"]

MODELS = ("EN 12195-1 sliding", "EN 12195-1 tipping", "elastic share", "equilibrium", "elastic chains")
WAYS = ("stops", "chains")


@dataclass(frozen=True)
class Ways:
    """Resistance in each of WAYS by all models but tipping, (2, 4, vertical factors, directions), and by tipping."""

    held_kN: Array
    tipping_kN: Array

    @property
    def best(self) -> NDArray[np.intp]:
        """The way whose least model holds more, (vertical factors, directions); an unknown one only if no other is."""
        least_kN = np.min(self.held_kN, axis=1)
        return np.asarray(np.argmax(np.where(np.isnan(least_kN), np.finfo(float).min, least_kN), axis=0), dtype=np.intp)

    @property
    def by_model_kN(self) -> Array:
        """Resistance by each of MODELS in the better way, (models, vertical factors, directions)."""
        chosen = np.take_along_axis(self.held_kN, self.best[None, None], axis=0)[0]
        return np.asarray(np.insert(chosen, 1, self.tipping_kN, axis=0), dtype=float)


def by_model_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Resistance by each of MODELS in the better way, (models, vertical factors, directions).

    Source: ways_of and elastic_chains (practice).
    """
    return ways_of(arrangement, vertical_ratio, elastic_chains(arrangement, vertical_ratio)).by_model_kN


def ways_of(
    arrangement: Arrangement, vertical_ratio: Array, elastic: Pushed, *, by_stops_kN: Array | None = None
) -> Ways:
    """Resistance by every model in both ways; elastic is elastic_chains, by_stops_kN stopped_kN where known already.

    Source: several models, each blind to something else; the least is used (practice).
    """
    closed_kN = closed_forms_kN(arrangement, vertical_ratio)
    stops_kN = stopped_kN(arrangement, vertical_ratio) if by_stops_kN is None else by_stops_kN
    by_stops = [*closed_kN[0], stops_kN, closed_kN[0, 1]]
    by_chains = [*closed_kN[1], chained_kN(arrangement, vertical_ratio), elastic.multiplier_ratio]
    by_chains[3] = by_chains[3] * arrangement.weight_kN
    return Ways(np.stack([by_stops, by_chains]), tipping_kN(arrangement, vertical_ratio))


def elastic_chains(arrangement: Arrangement, vertical_ratio: Array) -> Pushed:
    """The unit pushed on its elastic chains, friction and pads, without stops, in every direction.

    Chains start free of slack, without tension. Where pretensions are unequal, so that one chain is ahead of the
    others, or so high that a tight opposed pair could be full before its slack side unloads, T0 > F / 2, the least of
    loose and tightened chains counts.
    Source: elastic.first_chain_full; opposed springs, T = T0 + F / 2 up to F = 2 T0 (read).
    """
    alone = chains_alone(arrangement)
    slack = first_chain_full(alone, vertical_ratio, EVERY_WAY)
    direct = alone.capacity_kN > 0.0
    tight_kN = np.broadcast_to(alone.pretension_kN, direct.shape) * direct
    unequal = direct.any() and float(np.ptp(tight_kN[direct])) > 0.0
    if not (unequal or (2.0 * tight_kN > alone.capacity_kN).any()):
        return slack
    return slack.least(first_chain_full(alone, vertical_ratio, EVERY_WAY, pretension_kN=tight_kN))


def lost_kN(arrangement: Arrangement, vertical_ratio: Array, losses: tuple[Loss, ...], whole: Ways) -> Array:
    """Resistance by each model after each loss, (losses, models, vertical factors, directions); never more than whole.

    Equilibrium is solved anew only where a lost chain counted, the stops only where a top-over leg is lost; the elastic
    chains everywhere, since a chain behind the push may be stretched as the unit turns.
    Source: EN 1990:2002, 3.2, accidental design situation (memory).
    """
    return np.stack([_left(arrangement, vertical_ratio, loss, whole).by_model_kN for loss in losses])


def _left(arrangement: Arrangement, vertical_ratio: Array, loss: Loss, whole: Ways) -> Ways:
    rest, left_kN = without(arrangement, loss.rows), whole.held_kN.copy()
    over = bool((arrangement.fixed_kN[loss.rows] > 0.0).any())
    chosen = np.flatnonzero(counted(arrangement)[:, loss.rows].any(axis=1) | over)
    closed_kN = closed_forms_kN(rest, vertical_ratio)
    left_kN[:, :2] = np.minimum(left_kN[:, :2], closed_kN)
    left_kN[0, 3] = np.minimum(left_kN[0, 3], closed_kN[0, 1])
    if chosen.size:
        left_kN[1, 2][:, chosen] = np.minimum(left_kN[1, 2][:, chosen], chained_kN(rest, vertical_ratio, chosen))
    left_kN[1, 3] = np.minimum(left_kN[1, 3], elastic_chains(rest, vertical_ratio).multiplier_ratio * rest.weight_kN)
    if over:
        left_kN[0, 2][:, chosen] = np.minimum(left_kN[0, 2][:, chosen], stopped_kN(rest, vertical_ratio, chosen))
    return Ways(left_kN, np.minimum(whole.tipping_kN, tipping_kN(rest, vertical_ratio)))
