"""The governing station of each load case in still air: what pushes, what holds, how the chains share it."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.load_cases.cases import Case
from transport.load_cases.combination import Push
from transport.load_cases.envelope import Envelope, between, held_kN
from transport.securing.arrangement import DIRECTION_DEG, Arrangement, Loss, stop_ratio, without
from transport.securing.capacity import MODELS, WAYS
from transport.securing.chains import resisting_ratio
from transport.securing.closed_forms import closed_forms_kN
from transport.securing.limit_analysis import stopped_kN
from transport.securing.sharing import rate_kN_per_m, settled_m, share_kN

__all__ = [
    "At",
    "Governing",
    "Names",
    "Sliding",
    "chain_tension_kN",
    "governing",
    "held_by",
    "place_of",
    "sliding",
    "stops_alone",
    "worst_row",
]

ALONG_RATIO = 1e-9


@dataclass(frozen=True)
class Governing:
    """One load case at the station where it uses most.

    beside: the two directions of the fan on either side of the push, with what may be used there; direction: the one of
    them that holds less by any model, with its resistances by model; lost: which of the losses is worst.
    """

    row: int
    use_ratio: float
    ahead_kN: float
    left_kN: float
    carried_kN: float
    beside: tuple[int, int]
    usable_kN: tuple[float, float]
    direction: int
    by_model_kN: Array
    lost: int | None

    @property
    def met(self) -> tuple[int, ...]:
        """Of the directions beside the push those that it has a part of."""
        _, parts = _beside(self.ahead_kN, self.left_kN)
        return tuple(k for k, is_met in zip(self.beside, parts, strict=True) if is_met)

    @property
    def push_kN(self) -> float:
        """Resultant in the plane of the deck."""
        return float(np.hypot(self.ahead_kN, self.left_kN))

    @property
    def model(self) -> str:
        """The model that gives the least resistance."""
        return MODELS[int(np.argmin(self.by_model_kN))]


class Names(NamedTuple):
    """Tags of the chains, names of the contacts, and what may be lost."""

    tags: tuple[str, ...]
    contacts: tuple[str, ...] = ()
    losses: tuple[Loss, ...] = ()


@dataclass(frozen=True)
class At:
    """A governing station with the arrangement that holds there, tags of its chains and names of its contacts."""

    found: Governing
    arrangement: Arrangement
    tags: tuple[str, ...]
    station_m: float
    losses: tuple[Loss, ...] = ()
    contacts: tuple[str, ...] = ()

    @property
    def left(self) -> Arrangement:
        """The arrangement without what is lost in this case."""
        return self.arrangement if self.found.lost is None else without(self.arrangement, self._loss.rows)

    @property
    def lost(self) -> str:
        """Name of what is lost in this case."""
        return "none" if self.found.lost is None else self._loss.name

    @property
    def _loss(self) -> Loss:
        return self.losses[self.found.lost or 0]

    @property
    def place(self) -> str:
        """Where the numbers belong."""
        return f"station {self.station_m:.0f} m"

    def contact(self, number: int) -> str:
        """Name of a contact."""
        return self.contacts[number] if self.contacts else f"contact {number + 1}"


@dataclass(frozen=True)
class Sliding:
    """A push against chains that stretch, as if no stop touched; chains (n,), a lost one has nothing.

    push_kN: resultant; rubbed_kN: friction of the weight; share: h, efficiency: h + mu v, both for this push.
    """

    push_kN: float
    rubbed_kN: float
    share_ratio: Array
    efficiency_ratio: Array
    rate_kN_per_m: Array
    pretension_kN: Array

    @property
    def movement_m(self) -> float:
        """How far the load slides before chains and friction balance the push; NaN where they never do."""
        left_kN = self.push_kN - self.rubbed_kN
        return settled_m(left_kN, self.efficiency_ratio, self.rate_kN_per_m, self.pretension_kN)


def worst_row(use_ratio: Array) -> int | None:
    """The station that uses most, none if every station is unknown.

    Source: largest utilisation governs (practice).
    """
    if np.isnan(use_ratio).all():
        return None
    return int(np.argmax(np.where(np.isnan(use_ratio), -np.inf, use_ratio)))


def place_of(case: Case, held: Arrangement, names: Names, station_m: Array) -> At | None:
    """The governing station of a load case with the arrangement that holds there; none where no station is known.

    Source: governing (practice).
    """
    whole = case.held
    found = governing(case.push, whole.envelope, whole.by_model_kN, after_loss=whole.after_loss)
    if found is None:
        return None
    return At(found, held, names.tags, float(station_m[found.row]), names.losses, names.contacts)


def governing(
    push: Push, envelope: Envelope, by_model_kN: Array, *, after_loss: bool | None = None
) -> Governing | None:
    """The governing station of a load case; resistances (losses or 1, models, vertical factors, directions).

    Of the two directions beside the push the one that holds less, and of the losses the worst; a push along one of the
    directions has no other beside it. after_loss: whether the first axis holds losses; else if it is longer than 1.
    Source: largest utilisation governs (practice).
    """
    if (row := worst_row(push.use_ratio)) is None:
        return None
    ahead_kN, left_kN, carried_kN = (float(value[row]) for value in (push.ahead_kN, push.left_kN, push.carried_kN))
    _, node, weight = between(envelope.vertical_ratio, np.array(carried_kN / envelope.weight_kN))
    beside, is_met = _beside(ahead_kN, left_kN)
    found_kN = by_model_kN[..., node, beside] * (1.0 - weight) + by_model_kN[..., node + 1, beside] * weight
    usable_kN = held_kN(envelope.force_kN[node, list(beside)], envelope.force_kN[node + 1, list(beside)], weight)
    met_kN = np.where(is_met, found_kN, np.inf)
    lost, _, side = np.unravel_index(int(np.argmin(met_kN)), found_kN.shape)
    return Governing(
        row=row,
        use_ratio=float(push.use_ratio[row]),
        ahead_kN=ahead_kN,
        left_kN=left_kN,
        carried_kN=carried_kN,
        beside=beside,
        usable_kN=(float(usable_kN[0]), float(usable_kN[1])),
        direction=beside[int(side)],
        by_model_kN=found_kN[lost, :, side],
        lost=int(lost) if (len(by_model_kN) > 1 if after_loss is None else after_loss) else None,
    )


def _beside(ahead_kN: float, left_kN: float) -> tuple[tuple[int, int], NDArray[np.bool_]]:
    """The directions of the fan on either side of a push, and of which of them it has a part."""
    count = len(DIRECTION_DEG)
    turn_rad, towards_rad = 2.0 * np.pi / count, np.arctan2(left_kN, ahead_kN)
    first = int(np.floor(towards_rad / turn_rad))
    parts = np.sin(turn_rad * np.array([first + 1.0, first]) - towards_rad)
    return (first % count, (first + 1) % count), np.abs(parts) > ALONG_RATIO


def held_by(found: Governing, left: Arrangement) -> str:
    """Which of WAYS holds the unit beside friction and top-over lashings: the one whose sliding and share are found.

    left: the arrangement without what is lost. Never the stops where none counts in the direction that governs.
    Source: capacity, stops or direct chains, never both (memory).
    """
    if not (stop_ratio(left)[found.direction] > 0.0).any():
        return WAYS[1]
    carried_ratio = np.array([found.carried_kN / left.weight_kN])
    ways_kN = closed_forms_kN(left, carried_ratio)[:, :, 0, found.direction]
    return WAYS[int(np.argmin(np.sum(np.abs(ways_kN - found.by_model_kN[[0, 2]]), axis=1)))]


def stops_alone(found: Governing, left: Arrangement) -> bool:
    """Whether the stops hold the whole push without any direct chain, so that the unit does not move.

    In each direction beside the push that it has a part of, by the closed form and by limit analysis.
    Source: EN 12195-1:2010, 5.3, blocking; a keyed stop is met at 0 mm (practice).
    """
    carried_ratio, towards = np.array([found.carried_kN / left.weight_kN]), np.array(found.met)
    if not (stop_ratio(left)[towards] > 0.0).any(axis=-1).all():
        return False
    held_kN = [closed_forms_kN(left, carried_ratio)[0, :, 0, towards].T, stopped_kN(left, carried_ratio, towards)]
    return bool((np.concatenate(held_kN) >= found.push_kN).all())


def sliding(found: Governing, left: Arrangement, pretension_kN: Array) -> Sliding:
    """What the push of the governing station meets: friction of the weight, and chains tightened to pretension (n,)."""
    restraint, works = left.restraint, (left.capacity_kN > 0.0) | (left.fixed_kN > 0.0)
    towards = np.array([found.ahead_kN, found.left_kN]) / max(found.push_kN, 1e-9)
    share = resisting_ratio(restraint.pull_ratio, towards)
    friction = left.pad_friction_ratio
    return Sliding(
        push_kN=found.push_kN,
        rubbed_kN=friction * found.carried_kN,
        share_ratio=share,
        efficiency_ratio=share - friction * restraint.pull_ratio[:, 2],
        rate_kN_per_m=rate_kN_per_m(share, left.stiffness_kN * (left.capacity_kN > 0.0), left.length_m),
        pretension_kN=np.where(left.fixed_kN > 0.0, left.fixed_kN, pretension_kN) * works,
    )


def chain_tension_kN(found: Governing, left: Arrangement, pretension_kN: Array) -> Array:
    """Tension of each chain when the push of the governing station is shared elastically, (n,).

    As if no stop touched and every chain had been tightened to its STF; a lost chain has 0. Where stops hold the unit
    this is what the chains would carry without them: see held_by.
    Source: sharing.settled_m, springs that take tension only (read).
    """
    met = sliding(found, left, pretension_kN)
    return share_kN(met.rate_kN_per_m, np.asarray(met.movement_m), met.pretension_kN)
