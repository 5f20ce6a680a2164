"""What balances the worst push of each load case, as variables of the result."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from shared.arrays import Array
from transport.load_cases.equilibrium_sheet import balance
from transport.load_cases.governing import At
from transport.load_cases.movement import movement_m
from transport.securing.admissible import Admissible

__all__ = ["balances", "held_variables"]


def balances(places: Sequence[At | None]) -> list[Admissible | None]:
    """The most even set of forces of each case; none where no station is known.

    Source: admissible.admissible (read).
    """
    return [None if at is None else balance(at) for at in places]


def held_variables(
    places: Sequence[At | None], found: Sequence[Admissible | None], pretension_kN: Array, contact_count: int
) -> dict[str, Any]:
    """Worst push, movement, and the set of forces with its residuals and words; unknown where nothing balances.

    Dimensions limit_state, chain, contact and axis.
    Source: sharing.settled_m and admissible.admissible (read).
    """
    chains, one = np.full(len(pretension_kN), np.nan), "limit_state"
    pushes = {
        f"push_{side}_kN": (one, [np.nan if at is None else getattr(at.found, f"{side}_kN") for at in places])
        for side in ("ahead", "left", "carried")
    }
    sets = [_unknown(len(chains), contact_count) if each is None else each for each in found]
    return {
        **pushes,
        "movement_m": (one, [np.nan if at is None else movement_m(at, pretension_kN) for at in places]),
        "admissible_tension_kN": ((one, "chain"), np.stack([each.tension_kN for each in sets])),
        "admissible_contact_kN": ((one, "contact", "axis"), np.stack([each.contact_kN for each in sets])),
        "admissible_use_ratio": (one, [each.use_ratio for each in sets]),
        "admissible_status": (one, [each.status for each in sets]),
        "residual_kN": (one, [each.residual_kN for each in sets]),
        "residual_kNm": (one, [each.residual_kNm for each in sets]),
    }


def _unknown(chains: int, contacts: int) -> Admissible:
    forces = np.full(chains, np.nan), np.full((contacts, 3), np.nan), np.full(contacts, np.nan)
    return Admissible(*forces, np.nan, np.full(3, np.nan), np.nan, np.nan, "unknown")
