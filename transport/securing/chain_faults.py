"""What is wrong with chains: pairs, the same chain twice, worn links, and runs that cannot be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from shared.arrays import Array
from shared.errors import Fault
from shared.tables import figure
from transport.securing.crossing import crossing_height_m
from transport.securing.discard import elongation_ratio, greatest_pitch_mm, least_diameter_mm
from transport.securing.slips import LENGTH, LINK, looks_like, off_deck
from transport.securing.tipping import inside_m

if TYPE_CHECKING:
    from transport.securing.inputs import Chain, Unit

__all__ = ["chain_faults", "run_faults"]

HIGHEST_RATIO = 4.0  # a point on the load this many times above the centre of mass; common practice, no source
SHRUNK_RATIO = -0.02  # a chain that is shorter than new by more than it was made to; common practice, no source


def chain_faults(unit: Unit, chains: Sequence[Chain]) -> Iterator[Fault]:
    """What is wrong with the chains themselves, wherever the pads are.

    Source: house rule, every fault in one run; discard criteria as in discard (practice).
    """
    yield from _pair_faults(chains)
    yield from _twice_faults(chains)
    for number, chain in enumerate(chains):
        yield from _worn_faults(f"chain[{number}]", chain)
        height_m, centre_m = chain.on_load_m[2], unit.centre_of_mass_m[2]
        if not height_m <= HIGHEST_RATIO * centre_m:
            slip = looks_like(height_m, LENGTH, 0.2 * centre_m, 2.0 * centre_m)
            text = (
                f"'{chain.tag}' leaves the load {height_m:g} m above the deck, allowed up to {HIGHEST_RATIO:g} times "
            )
            yield Fault(
                "", f"chain[{number}].on_load_m", f"{text}the height of the centre of mass, {centre_m:g} m{slip}"
            )


def run_faults(unit: Unit, chains: Sequence[Chain], pad_m: Array, deck_m: Array) -> Iterator[Fault]:
    """What is wrong with where the chains run: anchors off the deck or under the unit, runs through the unit.

    Pads (p, 3), length and width of the deck (2,), in m.
    Source: geometry, see crossing (practice).
    """
    for number, chain in enumerate(chains):
        field = f"chain[{number}].on_deck_m"
        if not (np.abs(chain.on_deck_m[:2]) <= deck_m / 2.0).all():
            text = f"the anchor of '{chain.tag}' is off the deck of {deck_m[0]:g} m by {deck_m[1]:g} m"
            yield Fault("", field, f"{text}; measure from the middle of the deck{off_deck(chain.on_deck_m, deck_m)}")
        if float(inside_m(pad_m, np.array([chain.on_deck_m]))[0]) > 0.0:
            text = f"the anchor of '{chain.tag}' lies under the unit, inside the outline of its pads"
            yield Fault("", field, f"{text}; give the anchor on the deck beside it")
        height_m = crossing_height_m(np.array(chain.on_load_m), np.array(chain.on_deck_m), pad_m)
        if height_m < unit.centre_of_mass_m[2]:
            text = (
                f"'{chain.tag}' runs through the unit: it leaves the load on the far side of its anchor and would "
                f"cross the middle {height_m:.2g} m above the deck, below the centre of mass"
            )
            yield Fault("", field, f"{text}; is a sign of x or y wrong? Give the point where the chain leaves the load")


def _pair_faults(chains: Sequence[Chain]) -> Iterator[Fault]:
    pairs = [chain.pair for chain in chains]
    for number, chain in enumerate(chains):
        if chain.method == "frictional" and (legs := pairs.count(chain.pair)) != 2:
            text = f"'{chain.pair}' stands on {legs} chain{'s' * (legs > 1)}, allowed on 2"
            yield Fault("", f"chain[{number}].pair", f"{text}: the two legs of one top-over lashing")


def _twice_faults(chains: Sequence[Chain]) -> Iterator[Fault]:
    for number, chain in enumerate(chains):
        for other in chains[:number]:
            ends_m = np.subtract([chain.on_load_m, chain.on_deck_m], [other.on_load_m, other.on_deck_m])
            if not (np.linalg.norm(ends_m, axis=-1) > figure("securing_same_point_m")).any():
                text = f"'{chain.tag}' stands twice: it runs between the same two points as '{other.tag}'"
                yield Fault("", f"chain[{number}].on_load_m", f"{text}; take one out, or measure the ends of both")


def _worn_faults(field: str, chain: Chain) -> Iterator[Fault]:
    diameter_mm, pitch_mm, new_mm = chain.measured_diameter_mm, chain.measured_pitch_mm, chain.new_pitch_mm
    if diameter_mm is not None and not diameter_mm >= (least_mm := least_diameter_mm(chain.size_mm)):
        slip = looks_like(diameter_mm, LINK, least_mm, 1.15 * chain.size_mm)
        text = f"discard '{chain.tag}': its links are worn to {diameter_mm:g} mm, allowed from {least_mm:.4g} mm, nine "
        yield Fault("", f"{field}.measured_diameter_mm", f"{text}tenths of {chain.size_mm:g} mm{slip}")
    if pitch_mm is None or new_mm is None:
        return
    most_mm = greatest_pitch_mm(new_mm, chain.size_mm, chain.size_mm if diameter_mm is None else diameter_mm)
    if not pitch_mm <= most_mm:
        text = f"discard '{chain.tag}': its links are stretched to {pitch_mm:g} mm from {new_mm:g} mm"
        yield Fault("", f"{field}.measured_pitch_mm", f"{text}, allowed up to {most_mm:.4g} mm with the wear measured")
    if not elongation_ratio(pitch_mm, new_mm) >= SHRUNK_RATIO:
        text = (
            f"'{chain.tag}' measures {pitch_mm:g} mm, new {new_mm:g} mm, and no chain shrinks; are the two swapped, or "
        )
        yield Fault("", f"{field}.measured_pitch_mm", f"{text}taken over different links?")
