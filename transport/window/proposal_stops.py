"""Stops that could close a scheme: the least capacity as a number, and the stops that lie ready."""

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.securing.inputs import Contact
from transport.window.inputs import Move
from transport.window.proposal_chains import Candidate
from transport.window.proposal_screen import Known, Scheme, use_ratio

__all__ = ["NEEDED", "READY", "needed_stops", "ready_stops", "stronger"]

NEEDED = "stop of the capacity needed"
READY = "stop that lies ready"
STEP_KN = 10.0
MOST_WEIGHTS_RATIO = 2.0
FACING_RATIO = 0.9
SIDES = {"front": (1.0, 0.0), "rear": (-1.0, 0.0), "left": (0.0, 1.0), "right": (0.0, -1.0)}
OPPOSITE = {"front": "rear", "rear": "front", "left": "right", "right": "left"}


def needed_stops(move: Move, known: Sequence[Known]) -> Iterator[Candidate]:
    """Stops against what is not held: on the side that is pushed worst, or on that and the opposite one.

    The least capacity in steps of 10 kN by the closed forms. Where a stop faces the push already it is made stronger,
    else one is set at the outline of the pads, level with the deck and in line with the centre of mass.
    Source: own; the place is to be replaced by the real one (practice).
    """
    failing = sorted((one for one in known if one.fails), key=lambda one: -one.use_ratio)
    for one in failing[:1]:
        side = max(SIDES, key=lambda name: float(np.dot(SIDES[name], one.towards)))
        for sides in ((side,), (side, OPPOSITE[side])):
            if (found := _least(move, known, sides)) is not None:
                yield found


def ready_stops(move: Move) -> Iterator[Candidate]:
    """Each stop that lies ready, and each two of them.

    Source: own, the list of the user (practice).
    """
    stops = sorted(move.available.stop, key=lambda stop: stop.name)
    taken = {contact.name for contact in move.contact}
    for count in (1, 2):
        for chosen in combinations(stops, count):
            added = [
                _stop(_unlike(stop.name, taken), stop.position_m, stop.normal, stop.capacity_kN) for stop in chosen
            ]
            words = " and ".join(f"{stop.name}, {stop.capacity_kN:g} kN" for stop in chosen)
            yield Candidate(READY, f"set {words}", count, 0.0, Scheme(move.chain, (*move.contact, *added)))


def stronger(move: Move, found: Candidate) -> Candidate:
    """The same stops with a tenth more capacity, rounded up to the step.

    Source: own, a step of the search (practice).
    """
    old = {contact.name: contact for contact in move.contact}
    changed = [one for one in found.scheme.contacts if old.get(one.name) != one]
    capacity_kN = STEP_KN * np.ceil(1.1 * changed[0].capacity_kN / STEP_KN)
    return _with(move, [one.model_copy(update={"capacity_kN": float(capacity_kN)}) for one in changed])


def _least(move: Move, known: Sequence[Known], sides: tuple[str, ...]) -> Candidate | None:
    """The least capacity by halving; none if even the most of it is not enough by the closed forms."""
    stops = [stop for side in sides for stop in _facing(move, side)]
    most_count = int(np.ceil(MOST_WEIGHTS_RATIO * move.unit.mass_t * figure("securing_gravity_mps2") / STEP_KN))
    low, high = 0, most_count
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _enough(move, known, stops, middle * STEP_KN) else (middle, high)
    if high == most_count and not _enough(move, known, stops, high * STEP_KN):
        return None
    return _with(move, _sized(stops, high * STEP_KN))


def _sized(stops: Sequence[Contact], capacity_kN: float) -> list[Contact]:
    """The stops with a capacity, but none with less than it has."""
    given = [0.0 if stop.name.startswith(NEEDED) else stop.capacity_kN for stop in stops]
    return [
        stop.model_copy(update={"capacity_kN": max(capacity_kN, has)}) for stop, has in zip(stops, given, strict=True)
    ]


def _enough(move: Move, known: Sequence[Known], stops: Sequence[Contact], capacity_kN: float) -> bool:
    scheme = _with(move, _sized(stops, capacity_kN)).scheme
    return all(use_ratio(one, move, scheme, whole=False) <= 1.0 for one in known)


def _with(move: Move, stops: Sequence[Contact]) -> Candidate:
    """The scheme with stops set or made stronger."""
    by_name = {stop.name: stop for stop in stops}
    present = {contact.name: contact for contact in move.contact}
    kept = [by_name.get(contact.name, contact) for contact in move.contact]
    new = [stop for stop in stops if stop.name not in present]
    changed = [stop for stop in stops if present.get(stop.name) != stop]
    words = [
        f"{stop.name} of {stop.capacity_kN:g} kN instead of {present[stop.name].capacity_kN:g} kN"
        if stop.name in present
        else f"{stop.name} of {stop.capacity_kN:g} kN at {[round(one, 2) for one in stop.position_m]} m"
        for stop in changed
    ]
    return Candidate(NEEDED, " and ".join(words), len(changed), 0.0, Scheme(move.chain, (*kept, *new)))


def _facing(move: Move, side: str) -> list[Contact]:
    """The stop that faces a push to one side already, or a new one at the outline of the pads."""
    towards = np.array(SIDES[side])
    there = [
        contact
        for contact in move.contact
        if contact.kind == "stop" and -float(np.dot(contact.normal[:2], towards)) >= FACING_RATIO
    ]
    if there:
        return there
    taken = {contact.name for contact in move.contact}
    return [_stop(_unlike(f"{NEEDED}, {side}", taken), _place_m(move, towards), (*(-towards).tolist(), 0.0), STEP_KN)]


def _place_m(move: Move, towards: Array) -> tuple[float, float, float]:
    pads_m = np.array([contact.position_m for contact in move.contact if contact.kind == "pad"])[:, :2]
    centre_m = np.array(move.unit.centre_of_mass_m[:2])
    reach_m = float(np.max((pads_m - centre_m) @ towards))
    x_m, y_m = centre_m + reach_m * towards
    return float(x_m), float(y_m), 0.0


def _stop(name: str, position_m: tuple[float, ...], normal: tuple[float, ...], capacity_kN: float) -> Contact:
    return Contact.model_validate(
        {
            "name": name,
            "kind": "stop",
            "position_m": position_m,
            "normal": normal,
            "friction_ratio": 0.0,
            "friction_pair": "no friction counted on a stop",
            "capacity_kN": capacity_kN,
        }
    )


def _unlike(name: str, taken: set[str]) -> str:
    return name if name not in taken else f"{name} (ready)"
