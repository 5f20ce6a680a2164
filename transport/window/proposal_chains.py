"""Changes of the chains that could close a scheme: pairs added at points that are free, the same chains larger."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure, published
from transport.securing import chains as lashing
from transport.securing.crossing import crossing_height_m
from transport.securing.friction import design_friction_ratio
from transport.securing.inputs import Chain
from transport.window.inputs import Move
from transport.window.proposal_inputs import ReadyAnchor, ReadyChain
from transport.window.proposal_screen import Known, Scheme

__all__ = ["ADDED", "LARGER", "Candidate", "Pair", "joined", "larger_chains", "pairs"]

ADDED = "added chains"
LARGER = "larger chains"
MIRROR_M = 0.05
BEST_COUNT = 12
LARGER_COUNT = 4
WORN = ("inspected_on", "measured_diameter_mm", "measured_pitch_mm", "new_pitch_mm")


@dataclass(frozen=True)
class Candidate:
    """One change: what it takes, how many pieces and what LC they have together, and the scheme or speed after it."""

    kind: str
    change: str
    pieces_count: int
    lc_kN: float
    scheme: Scheme
    speed_mps: float | None = None


class Run(NamedTuple):
    """One straight run from a free anchor to a free point of the unit; named: a chain must name this anchor."""

    anchor: str
    attachment: str
    on_load_m: tuple[float, float, float]
    on_deck_m: tuple[float, float, float]
    rating_kN: float
    named: bool


class Pair(NamedTuple):
    """Two runs with the chain for both."""

    runs: tuple[Run, Run]
    chain: ReadyChain


def pairs(move: Move, known: Sequence[Known]) -> list[Pair]:
    """The pairs of runs that resist best each push that is not held, with each chain that lies ready twice.

    Mirrored about the long axis; where nothing mirrors, any two runs on either side. Sorted by what they resist and by
    name, so that the order of the tables means nothing.
    Source: common practice, symmetric sets (practice).
    """
    runs = sorted(_runs(move))
    twins = [(one, two) for one, two in combinations(runs, 2) if _apart(one, two) and _mirrored(one, two)]
    twins = twins or [(one, two) for one, two in combinations(runs, 2) if _apart(one, two) and _either_side(one, two)]
    kept: dict[tuple[Run, Run], None] = {}
    friction = design_friction_ratio(
        np.array([contact.friction_ratio for contact in move.contact if contact.kind == "pad"]),
        figure("securing_friction_conversion_ratio"),
    )
    for one in known:
        gains = {pair: _gain_kN(pair, one.towards, float(np.min(friction))) for pair in twins}
        best = sorted((pair for pair in twins if gains[pair] > 0.0), key=lambda pair: (-gains[pair], pair))
        kept |= dict.fromkeys(best[:BEST_COUNT])
    ready = [chain for chain in _ready(move) if chain.count >= 2]
    return [Pair(pair, chain) for pair in sorted(kept) for chain in ready]


def joined(move: Move, chosen: Sequence[Pair]) -> Candidate | None:
    """The scheme with some pairs added; none if two of them want the same point or more chains than lie ready."""
    runs = [run for pair in chosen for run in pair.runs]
    if any(len({getattr(run, name) for run in runs}) < len(runs) for name in ("on_deck_m", "on_load_m")):
        return None
    if any(2 * sum(pair.chain == one.chain for pair in chosen) > one.chain.count for one in chosen):
        return None
    tags = _free_tags(move.chain, len(runs))
    ready = [pair.chain for pair in chosen for _ in pair.runs]
    added = tuple(_chain(*each) for each in zip(tags, runs, ready, strict=True))
    change = "; ".join(
        f"add 2 chains {pair.chain.size_mm:g} mm, grade {pair.chain.grade}, LC {pair.chain.lc_kN:g} kN: "
        + " and ".join(f"{run.attachment} to {run.anchor}" for run in pair.runs)
        + (", crossed: they must not touch" if any(_crosses(run) for run in pair.runs) else "")
        for pair in chosen
    )
    lc_kN = sum(chain.lc_kN for chain in added)
    return Candidate(ADDED, change, len(added), lc_kN, Scheme((*move.chain, *added), move.contact))


def larger_chains(move: Move, known: Sequence[Known]) -> Iterator[Candidate]:
    """Direct chains with the next larger ones in their place: those that resist what is not held, or all.

    The ones that lie ready; without such a list those of the published table of LC.
    Source: BGHM-I 108 table 17 where nothing is listed as ready (read).
    """
    direct = [chain for chain in move.chain if chain.method == "direct"]
    resisting = [chain for chain in direct if any(_share(chain, one) > 0.0 for one in known)]
    for chosen, whose in ((resisting, "that resist"), (direct, "all direct chains")):
        if not chosen or (chosen is direct and len(direct) == len(resisting)):
            continue
        least_kN = min(chain.lc_kN for chain in chosen)
        larger = [one for one in _sizes(move) if one.lc_kN > least_kN]
        for ready in larger[:LARGER_COUNT]:
            weaker = [chain for chain in chosen if chain.lc_kN < ready.lc_kN]
            if len(weaker) <= ready.count:
                yield _replaced(move, weaker, ready, whose)


def _replaced(move: Move, weaker: Sequence[Chain], ready: ReadyChain, whose: str) -> Candidate:
    update = {"size_mm": ready.size_mm, "grade": ready.grade, "lc_kN": ready.lc_kN} | dict.fromkeys(WORN)
    changed = {chain.tag: Chain.model_validate(chain.model_dump() | update) for chain in weaker}
    capped = [chain.tag for chain in weaker if _gear_kN(chain) < ready.lc_kN]
    limit = f"; anchor, shackle or tensioner of {', '.join(capped)} is weaker than the chain" if capped else ""
    source = "" if move.available.chain else "; LC from the published table, read the tag"
    change = (
        f"{', '.join(changed)} ({whose}) as {ready.size_mm:g} mm, grade {ready.grade}, LC {ready.lc_kN:g} kN"
        f"{limit}{source}"
    )
    scheme = Scheme(tuple(changed.get(chain.tag, chain) for chain in move.chain), move.contact)
    return Candidate(LARGER, change, len(weaker), len(weaker) * ready.lc_kN, scheme)


def _gear_kN(chain: Chain) -> float:
    """The weakest rated part beside the chain itself."""
    ratings = (chain.anchor_rating_kN, chain.shackle_rating_kN, chain.tensioner_rating_kN)
    return min(rating for rating in ratings if rating is not None)


def _sizes(move: Move) -> list[ReadyChain]:
    """Chains to choose a larger one from, by LC."""
    listed = move.available.chain or tuple(
        ReadyChain.model_validate(
            {"size_mm": float(row["size_mm"]), "grade": int(row["grade"]), "lc_kN": float(row["lc_kN"]), "count": 200}
        )
        for row in published("chain_lc").rows
    )
    return sorted(listed, key=lambda one: (one.lc_kN, one.size_mm, one.grade, one.count))


def _ready(move: Move) -> list[ReadyChain]:
    """Chains to add, by LC; without a list of them another one like the strongest on the unit."""
    if move.available.chain:
        return _sizes(move)
    like = max(move.chain, key=lambda chain: (chain.lc_kN, chain.tag))
    return [ReadyChain(size_mm=like.size_mm, grade=like.grade, lc_kN=like.lc_kN, stf_kN=like.stf_kN, count=200)]


def _runs(move: Move) -> Iterator[Run]:
    """Every run from a rated point down to an anchor that its rating, the angle of the anchor and the unit allow."""
    centre_m = np.array(move.unit.centre_of_mass_m)
    pad_m = np.array([contact.position_m for contact in move.contact if contact.kind == "pad"])
    unused = _unused(move)
    for anchor in (*move.available.anchor, *unused):
        for point in move.available.attachment:
            start_m, end_m = np.array(point.position_m), np.array(anchor.position_m)
            if not (np.linalg.norm(end_m - start_m) >= 0.1 and start_m[2] > end_m[2]):
                continue
            pull = lashing.pull_ratio(start_m[None], end_m[None])
            angle_deg = float(lashing.vertical_angle_deg(pull)[0])
            away_m2 = float((end_m - start_m)[:2] @ (start_m - centre_m)[:2])
            if crossing_height_m(start_m, end_m, pad_m) < centre_m[2]:
                continue
            if away_m2 > 0.0 and anchor.least_vertical_angle_deg <= angle_deg <= anchor.greatest_vertical_angle_deg:
                rating_kN = min(anchor.rating_kN, point.rating_kN)
                yield Run(anchor.name, point.name, point.position_m, anchor.position_m, rating_kN, anchor in unused)


def _unused(move: Move) -> list[ReadyAnchor]:
    """The anchors of the deck, where the move lists them, that no chain hangs on."""
    taken_m = np.array([chain.on_deck_m for chain in move.chain])
    names = ("name", "position_m", "rating_kN", "least_vertical_angle_deg", "greatest_vertical_angle_deg")
    return [
        ReadyAnchor.model_validate({name: getattr(anchor, name) for name in names})
        for anchor in move.anchor
        if float(np.min(np.linalg.norm(taken_m - anchor.position_m, axis=-1))) > MIRROR_M
    ]


def _apart(one: Run, two: Run) -> bool:
    return one.on_deck_m != two.on_deck_m and one.on_load_m != two.on_load_m


def _mirrored(one: Run, two: Run) -> bool:
    flip = np.array([1.0, -1.0, 1.0])
    ends = ((one.on_load_m, two.on_load_m), (one.on_deck_m, two.on_deck_m))
    return all(float(np.linalg.norm(np.multiply(left, flip) - right)) <= MIRROR_M for left, right in ends)


def _either_side(one: Run, two: Run) -> bool:
    return one.on_deck_m[1] * two.on_deck_m[1] < 0.0


def _crosses(run: Run) -> bool:
    return run.on_load_m[1] * run.on_deck_m[1] < 0.0


def _gain_kN(pair: tuple[Run, Run], towards: Array, friction: float) -> float:
    """What a pair adds against a push when every chain of it carries the rating of its points."""
    ends_m = (np.array([getattr(run, name) for run in pair]) for name in ("on_load_m", "on_deck_m"))
    pull = lashing.pull_ratio(*ends_m)
    share = lashing.resisting_ratio(pull, towards)
    counts = share >= figure("securing_least_efficiency_ratio")
    rating_kN = np.array([run.rating_kN for run in pair])
    return float(np.sum(rating_kN * counts * (share - friction * pull[:, 2])))


def _share(chain: Chain, known: Known) -> float:
    """Share of a chain's pull that resists a push, 0 where it is too small to count."""
    pull = lashing.pull_ratio(np.array([chain.on_load_m]), np.array([chain.on_deck_m]))
    share = float(lashing.resisting_ratio(pull, known.towards)[0])
    return share if share >= figure("securing_least_efficiency_ratio") else 0.0


def _chain(tag: str, run: Run, ready: ReadyChain) -> Chain:
    return Chain(
        tag=tag,
        size_mm=ready.size_mm,
        grade=ready.grade,
        method="direct",
        lc_kN=ready.lc_kN,
        stf_kN=ready.stf_kN,
        on_load_m=run.on_load_m,
        on_deck_m=run.on_deck_m,
        anchor_rating_kN=run.rating_kN,
        anchor=run.anchor if run.named else None,
    )


def _free_tags(chains: Sequence[Chain], count: int) -> list[str]:
    taken, number, found = {chain.tag for chain in chains}, 1, list[str]()
    while len(found) < count:
        if f"N{number}" not in taken:
            found.append(f"N{number}")
        number += 1
    return found
