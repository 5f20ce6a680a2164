"""What the calculation sheet must say about the chains although nothing is refused: angles, sharing, care, doubts."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import figure
from transport.securing.anchors import grouped
from transport.securing.chains import length_m, plan_angle_deg, pull_ratio, resisting_ratio, vertical_angle_deg
from transport.securing.crossing import crossing_height_m
from transport.securing.discard import elongation_ratio
from transport.securing.doubts import doubts
from transport.securing.inputs import Chain, Contact, Unit

__all__ = ["remarks"]

PUSHES = (("forward", (1.0, 0.0)), ("rearward", (-1.0, 0.0)), ("left", (0.0, 1.0)), ("right", (0.0, -1.0)))
NEAR_M = 0.15  # lashing points closer than this may be one that was measured twice; common practice, no source


def remarks(unit: Unit, chains: Sequence[Chain], contacts: Sequence[Contact], *, as_of: date) -> tuple[str, ...]:
    """Sentences for the sheet, on a scheme that has no fault; each names its chains.

    Source: VDI 2700 and 2701, angles (memory); the rest common practice, no source (practice).
    """
    on_load_m, on_deck_m = np.array([c.on_load_m for c in chains]), np.array([c.on_deck_m for c in chains])
    pull = pull_ratio(on_load_m, on_deck_m)
    pad_m = np.array([contact.position_m for contact in contacts if contact.kind == "pad"])
    return (
        *_angles(chains, pull),
        *_unlike(chains, pull, length_m(on_load_m, on_deck_m)),
        *_over_the_middle(chains, on_load_m, on_deck_m, pad_m),
        *_lashing_points(chains, on_deck_m),
        *_unrated(chains),
        *_stretched(chains),
        *_inspections(chains, as_of),
        *doubts(unit, chains, contacts),
    )


def _listed(chains: Sequence[Chain], which: NDArray[np.bool_], angle_deg: Array) -> str:
    return ", ".join(f"{chains[n].tag} ({angle_deg[n]:.0f} deg)" for n in np.flatnonzero(which).tolist())


def _angles(chains: Sequence[Chain], pull: Array) -> Iterator[str]:
    steep_deg, plan_deg = vertical_angle_deg(pull), plan_angle_deg(pull)
    direct = np.array([chain.method == "direct" for chain in chains])
    low_deg, high_deg = figure("securing_direct_least_vertical_deg"), figure("securing_direct_greatest_vertical_deg")
    if (flat := direct & ~(steep_deg >= low_deg)).any():
        yield f"Flatter to the deck than the {low_deg:g} deg of direct lashing: {_listed(chains, flat, steep_deg)}"
    if (upright := direct & ~(steep_deg <= high_deg)).any():
        share = np.cos(np.deg2rad(high_deg))
        text = f"less than {share:.2f} of their pull resists a push: {_listed(chains, upright, steep_deg)}"
        yield f"Steeper to the deck than the {high_deg:g} deg of direct lashing, so that {text}"
    low_deg, high_deg = figure("securing_direct_least_plan_deg"), figure("securing_direct_greatest_plan_deg")
    if (aside := direct & ~((plan_deg >= low_deg) & (plan_deg <= high_deg))).any():
        text = f"{low_deg:g} to {high_deg:g} deg of diagonal lashing to the long axis, so that they hold along one axis"
        yield f"Seen from above outside the {text}: {_listed(chains, aside, plan_deg)}"
    low_deg = figure("securing_top_over_least_vertical_deg")
    if (lying := ~direct & ~(steep_deg >= low_deg)).any():
        yield f"Flatter to the deck than the {low_deg:g} deg of top-over lashing: {_listed(chains, lying, steep_deg)}"


def _unlike(chains: Sequence[Chain], pull: Array, run_m: Array) -> Iterator[str]:
    share = resisting_ratio(pull, np.array([push for _, push in PUSHES]))
    direct = np.array([chain.method == "direct" for chain in chains])
    most = figure("securing_length_spread_ratio")
    for (word, _), row in zip(PUSHES, share, strict=True):
        held = np.flatnonzero(direct & (row >= figure("securing_least_efficiency_ratio"))).tolist()
        kinds = sorted({f"{chains[n].size_mm:g} mm grade {chains[n].grade}" for n in held})
        if len(kinds) > 1:
            yield f"Unlike chains hold a push {word}: {', '.join(kinds)}; the thicker takes more for the same stretch"
        if held and not np.max(run_m[held]) <= most * np.min(run_m[held]):
            short, long = held[np.argmin(run_m[held])], held[np.argmax(run_m[held])]
            text = f"{chains[short].tag} {run_m[short]:.2f} m, {chains[long].tag} {run_m[long]:.2f} m"
            yield f"Chains of very unequal length hold a push {word}: {text}; the shorter takes more of it"


def _over_the_middle(chains: Sequence[Chain], on_load_m: Array, on_deck_m: Array, pad_m: Array) -> Iterator[str]:
    for chain, start_m, end_m in zip(chains, on_load_m, on_deck_m, strict=True):
        if np.isfinite(high_m := crossing_height_m(start_m, end_m, pad_m)):
            yield f"{chain.tag} crosses the middle of the unit {high_m:.2f} m above the deck; confirm that it is clear"


def _lashing_points(chains: Sequence[Chain], on_deck_m: Array) -> Iterator[str]:
    group = grouped(on_deck_m, [chain.anchor for chain in chains], figure("securing_same_point_m"))
    for row in np.unique(group):
        members = [chains[n].tag for n in np.flatnonzero(group == row).tolist()]
        if len(members) > 1:
            text = f"{', '.join(members)} hang on one lashing point"
            yield f"{text}; each may count on 1/{len(members)} of its rating"
    for left, right in combinations(range(len(chains)), 2):
        apart_m = float(np.linalg.norm(on_deck_m[left] - on_deck_m[right]))
        if group[left] != group[right] and apart_m < NEAR_M:
            text = f"{chains[left].tag} and {chains[right].tag} meet the deck {1000 * apart_m:.0f} mm apart"
            yield f"{text}; if that is one lashing point, give both the same on_deck_m"


def _unrated(chains: Sequence[Chain]) -> Iterator[str]:
    for part in ("shackle", "tensioner"):
        if tags := [chain.tag for chain in chains if getattr(chain, f"{part}_rating_kN") is None]:
            yield f"No rating of its own is given for the {part} of {', '.join(tags)}; confirm that it is not below LC"


def _stretched(chains: Sequence[Chain]) -> Iterator[str]:
    for chain in chains:
        if chain.measured_pitch_mm is None or chain.new_pitch_mm is None:
            continue
        stretch = elongation_ratio(chain.measured_pitch_mm, chain.new_pitch_mm)
        if not stretch < (limit := figure("securing_warning_elongation_ratio")):
            text = f"some instructions for lashing chains discard from {100 * limit:g} %"
            yield f"{chain.tag} has stretched by {100 * stretch:.1f} %; {text}: read the instructions of its maker"


def _inspections(chains: Sequence[Chain], as_of: date) -> Iterator[str]:
    days = figure("securing_inspection_days")
    age = {chain.tag: None if chain.inspected_on is None else (as_of - chain.inspected_on).days for chain in chains}
    if tags := [tag for tag, old in age.items() if old is None]:
        yield f"No date of inspection is given for {', '.join(tags)}; look at the tag before use"
    if tags := [tag for tag, old in age.items() if old is not None and not old <= days]:
        yield f"The last inspection is more than a year old: {', '.join(tags)}; a competent person has to inspect them"
    if tags := [tag for tag, old in age.items() if old is not None and old < 0]:
        yield f"The date of inspection lies after {as_of.isoformat()}: {', '.join(tags)}; correct it"
