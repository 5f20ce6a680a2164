"""What is wrong between the chains and the lashing points of the deck."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from shared.arrays import Array
from shared.errors import Fault
from shared.tables import figure
from transport.securing.chains import pull_ratio, vertical_angle_deg
from transport.securing.slips import off_deck

if TYPE_CHECKING:
    from transport.securing.inputs import Anchor, Chain

__all__ = ["anchor_faults"]

ROUNDING_DEG = 1e-6


def anchor_faults(chains: Sequence[Chain], anchors: Sequence[Anchor], deck_m: Array) -> Iterator[Fault]:
    """Anchors off the deck or in one place; chains that do not fit the anchor they name, or name none where one is.

    Length and width of the deck (2,) in m.
    Source: house rule, every fault in one run; ratings hold for the pulls they were given for (practice).
    """
    for number, anchor in enumerate(anchors):
        field = f"anchor[{number}].position_m"
        if not (np.abs(anchor.position_m[:2]) <= deck_m / 2.0).all():
            text = f"'{anchor.name}' is off the deck of {deck_m[0]:g} m by {deck_m[1]:g} m"
            yield Fault("", field, f"{text}; measure from the middle of the deck{off_deck(anchor.position_m, deck_m)}")
        for other in anchors[:number]:
            if _apart_m(anchor.position_m, other.position_m) <= figure("securing_same_point_m"):
                text = f"'{anchor.name}' is where '{other.name}' is; give each lashing point once"
                yield Fault("", field, text)
    known = {anchor.name: anchor for anchor in anchors}
    for number, chain in enumerate(chains):
        if chain.anchor is None:
            yield from _unnamed_faults(number, chain, anchors)
        elif chain.anchor in known:
            yield from _named_faults(f"chain[{number}]", chain, known[chain.anchor])
        else:
            near = difflib.get_close_matches(chain.anchor, known, n=1)
            text = f"no [[anchor]] is called '{chain.anchor}'{f'; did you mean {near[0]!r}?' if near else ''}"
            yield Fault("", f"chain[{number}].anchor", text)


def _apart_m(left_m: Sequence[float], right_m: Sequence[float]) -> float:
    return float(np.linalg.norm(np.subtract(left_m, right_m)))


def _unnamed_faults(number: int, chain: Chain, anchors: Sequence[Anchor]) -> Iterator[Fault]:
    for anchor in anchors:
        if _apart_m(chain.on_deck_m, anchor.position_m) <= figure("securing_same_point_m"):
            text = f"'{chain.tag}' meets the deck at the anchor '{anchor.name}' but does not name it"
            yield Fault("", f"chain[{number}]", f"{text}; write anchor, so that its rating and angles are checked")


def _named_faults(field: str, chain: Chain, anchor: Anchor) -> Iterator[Fault]:
    apart_m, allowed_m = _apart_m(chain.on_deck_m, anchor.position_m), figure("securing_same_point_m")
    if not apart_m <= allowed_m:
        text = f"'{chain.tag}' meets the deck {1000 * apart_m:.4g} mm from its anchor '{anchor.name}', allowed up to "
        yield Fault("", f"{field}.on_deck_m", f"{text}{1000 * allowed_m:g} mm; measure both again")
    if not chain.anchor_rating_kN <= anchor.rating_kN:
        text = f"'{chain.tag}' counts on {chain.anchor_rating_kN:g} kN at its anchor '{anchor.name}', rated for "
        yield Fault("", f"{field}.anchor_rating_kN", f"{text}{anchor.rating_kN:g} kN; give no more than that")
    angle_deg = float(vertical_angle_deg(pull_ratio(np.array([chain.on_load_m]), np.array([chain.on_deck_m])))[0])
    low_deg, high_deg = anchor.least_vertical_angle_deg, anchor.greatest_vertical_angle_deg
    if not low_deg - ROUNDING_DEG <= angle_deg <= high_deg + ROUNDING_DEG:
        text = (
            f"'{chain.tag}' pulls its anchor '{anchor.name}' at {angle_deg:.3g} deg to the deck, rated from {low_deg:g}"
        )
        yield Fault("", f"{field}.on_load_m", f"{text} to {high_deg:g} deg; take another anchor or move the chain")
