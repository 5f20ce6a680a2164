"""The unit with its chains and contacts as arrays, and which of them count against a push in each direction.

Stops and direct chains never count together: a keyed stop is met at once, a chain is full only after the unit has slid
many millimetres. So each direction is held in one of two ways, by stops or by direct chains: see capacity.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing import sharing
from transport.securing.chains import credited, resisting_ratio
from transport.securing.equilibrium import Restraint

__all__ = [
    "DIRECTION_DEG",
    "Arrangement",
    "Loss",
    "centres_m",
    "chains_alone",
    "contact_limits_kN",
    "counted",
    "direction_ratio",
    "losses",
    "resisting",
    "share_movement_m",
    "shared_kN",
    "stop_ratio",
    "turned",
    "without",
]

DIRECTION_DEG: Array = np.arange(0.0, 360.0, 15.0)


@dataclass(frozen=True)
class Arrangement:
    """A unit with what holds it: chains (n) and contacts (p).

    capacity_kN is 0 for a top-over leg and fixed_kN 0 for a direct chain; friction in the restraint is f_mu mu.
    pretension_kN: tension that a direct chain is given when it is tightened, (n,).
    line: which lashing line each row belongs to, anchor: which anchor it hangs on, (n,); rows of one line or anchor are
    lost together, absent each row by itself.
    is_dry: the friction of a pad is published for dry surfaces only.
    """

    restraint: Restraint
    capacity_kN: Array
    fixed_kN: Array
    length_m: Array
    stiffness_kN: Array
    contact_limit_kN: Array
    is_pad: NDArray[np.bool_]
    weight_kN: float
    tolerance_m: float
    movement_m: float
    least_ratio: float
    pretension_kN: Array | float = 0.0
    line: NDArray[np.intp] | None = None
    anchor: NDArray[np.intp] | None = None
    is_dry: bool = False

    @property
    def pad_friction_ratio(self) -> float:
        """The least friction of the pads, f_mu mu."""
        return float(np.min(self.restraint.friction_ratio[self.is_pad]))

    @property
    def friction_words(self) -> str:
        """What to confirm about the friction, to be printed behind it."""
        return ", published for dry surfaces only: confirm that they are dry" if self.is_dry else ""


def direction_ratio() -> Array:
    """Unit vectors of the fan in the deck plane, 0 forward and 90 to the left.

    e = (cos psi, sin psi); result (24, 2).
    Source: geometry (read).
    """
    angle_rad = np.deg2rad(DIRECTION_DEG)
    return np.stack([np.cos(angle_rad), np.sin(angle_rad)], axis=-1)


@dataclass(frozen=True)
class Loss:
    """One member that may be lost, by name, and the rows of the chains that go with it."""

    name: str
    rows: NDArray[np.intp]


def losses(arrangement: Arrangement, tags: Sequence[str]) -> tuple[Loss, ...]:
    """Every lashing line and every anchor that more than one line hangs on, each lost by itself.

    Source: EN 1990:2002, 3.2, accidental design situation, loss of one member (memory).
    """
    rows = np.arange(len(tags))
    line = rows if arrangement.line is None else arrangement.line
    anchor = rows if arrangement.anchor is None else arrangement.anchor
    lines = [np.flatnonzero(line == first) for first in np.unique(line)]
    anchors = [np.flatnonzero(anchor == first) for first in np.unique(anchor)]
    shared = [hung for hung in anchors if len(np.unique(line[hung])) > 1]
    found = [(f"chain {_named(lost, tags)}", lost) for lost in lines]
    return tuple(Loss(*each) for each in (*found, *((f"anchor of {_named(hung, tags)}", hung) for hung in shared)))


def _named(rows: NDArray[np.intp], tags: Sequence[str]) -> str:
    return ", ".join(tags[row] for row in rows)


def without(arrangement: Arrangement, rows: NDArray[np.intp] | int) -> Arrangement:
    """The arrangement after some chains are lost; a top-over line that breaks slackens on both sides.

    Source: EN 1990:2002, 3.2, accidental design situation, loss of one member (memory).
    """
    line = np.arange(len(arrangement.capacity_kN)) if arrangement.line is None else arrangement.line
    kept = ~np.isin(line, line[rows])
    return replace(arrangement, capacity_kN=arrangement.capacity_kN * kept, fixed_kN=arrangement.fixed_kN * kept)


def chains_alone(arrangement: Arrangement) -> Arrangement:
    """The arrangement without its stops, so that chains, friction and pads hold the unit.

    Source: stops and direct chains never count together, EN 12195-1:2010, 5.3 and 5.5 (memory).
    """
    restraint, pads = arrangement.restraint, arrangement.is_pad
    bare = replace(
        restraint,
        contact_m=restraint.contact_m[pads],
        normal_ratio=restraint.normal_ratio[pads],
        friction_ratio=restraint.friction_ratio[pads],
    )
    return replace(arrangement, restraint=bare, contact_limit_kN=arrangement.contact_limit_kN[pads], is_pad=pads[pads])


def turned(arrangement: Arrangement, angle_deg: float) -> Arrangement:
    """The chains as a push sees them that is turned to the left of each direction by an angle.

    Source: geometry, turning the push one way is turning the pulls the other way (read).
    """
    angle_rad = np.deg2rad(angle_deg)
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    pull_ratio = arrangement.restraint.pull_ratio @ turn
    return replace(arrangement, restraint=replace(arrangement.restraint, pull_ratio=pull_ratio))


def resisting(arrangement: Arrangement) -> Array:
    """Share h of each chain's pull in each direction, (24, n).

    Source: chains.resisting_ratio, statics (read).
    """
    return resisting_ratio(arrangement.restraint.pull_ratio, direction_ratio())


def counted(arrangement: Arrangement) -> NDArray[np.bool_]:
    """Chains counted in each direction, (24, n).

    Source: chains.credited, remedy for non-associated friction (practice).
    """
    return credited(resisting(arrangement), arrangement.least_ratio)


def stop_ratio(arrangement: Arrangement) -> Array:
    """Share of each stop's force that resists each direction, 0 for pads and for stops not counted; (24, p).

    -n . e where it counts; n the normal into the unit.
    Source: chains.resisting_ratio applied to the push of a stop, statics (read).
    """
    share = resisting_ratio(arrangement.restraint.normal_ratio, direction_ratio())
    return np.asarray(share * (credited(share, arrangement.least_ratio) & ~arrangement.is_pad), dtype=float)


def contact_limits_kN(arrangement: Arrangement) -> Array:
    """Largest force of each contact that may be counted in each direction, (24, p).

    Two stops that face each other never count together, so that they cannot squeeze the unit.
    Source: remedy for non-associated friction (practice).
    """
    used = arrangement.is_pad | (stop_ratio(arrangement) > 0.0)
    return np.asarray(arrangement.contact_limit_kN * used, dtype=float)


def shared_kN(arrangement: Arrangement) -> Array:
    """Tension of each chain when the first is full or the allowed movement is reached, (24, n).

    Source: sharing.share_kN, translational elastic share (read).
    """
    return sharing.share_kN(_rate_kN_per_m(arrangement), share_movement_m(arrangement))


def share_movement_m(arrangement: Arrangement) -> Array:
    """Movement in each direction at which the first chain is full, or the movement allowed, (24,).

    Source: sharing.movement_m, translational elastic share (read).
    """
    return sharing.movement_m(_rate_kN_per_m(arrangement), arrangement.capacity_kN, arrangement.movement_m)


def centres_m(arrangement: Arrangement) -> Array:
    """Where the centre of mass may lie at worst for each direction, (2, 24, 3).

    c + tol (e + s, 1), s to either side; between the two lies every sideways error.
    Source: the set of wrenches that can be held is convex, so its corners govern (read).
    """
    ahead = direction_ratio()
    aside = np.stack([-ahead[:, 1], ahead[:, 0]], axis=-1)
    plan = np.stack([ahead + aside, ahead - aside])
    shift = np.concatenate([plan, np.ones((2, len(ahead), 1))], axis=-1)
    return np.asarray(arrangement.restraint.reference_m + arrangement.tolerance_m * shift, dtype=float)


def _rate_kN_per_m(arrangement: Arrangement) -> Array:
    """Tension for each metre of movement of the chains that count in each direction, (24, n)."""
    share = resisting(arrangement) * (counted(arrangement) & (arrangement.capacity_kN > 0.0))
    return sharing.rate_kN_per_m(share, arrangement.stiffness_kN, arrangement.length_m)
