"""The chain schedule: as marked on the tag, as it runs, what else is declared, tension and use in each load case."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import xarray as xr

from shared.arrays import Array
from transport.reports.lashing import case_name, lacking, names_of, scalar, table, text_table
from transport.reports.listings import Listing
from transport.reports.notation import UNKNOWN, down, plain, up, use
from transport.reports.schedules import cell, further_rows

__all__ = ["chain_remarks", "chain_schedule"]

MARKED = ("tag", "size_mm", "grade", "method", "lc_kN", "stf_kN")
ANCHORED = ("anchor", "anchor_rating_kN")
POINTS = ("on_load_m", "on_deck_m")
RUNS = ("chain_length_m", "chain_vertical_angle_deg", "chain_plan_angle_deg", "chain_capacity_kN")
WITHOUT_DIVISOR = "LC4"


def chain_schedule(move: Mapping[str, Any], check: xr.Dataset) -> list[Listing]:
    """Tables of the chains; those that have no rows are left out."""
    chains = list(move.get("chain") or ())
    made = (_marked(chains, check), _running(chains, check), _declared(chains), _tension(chains, check))
    return [listing for listing in made if listing.rows]


def chain_remarks(check: xr.Dataset) -> tuple[str, ...]:
    """What the schedule lacks, and how its tensions are to be read."""
    read = "Tensions: the worst push in still air, shared elastically, as if no stop touched."
    told = (read,) if "chain_tension_kN" in check else ()
    return (*lacking(check, *RUNS, "chain_weakest", "chain_tension_kN"), *told)


def _marked(chains: Sequence[Mapping[str, Any]], check: xr.Dataset) -> Listing:
    anchored = tuple(name for name in ANCHORED if any(chain.get(name) is not None for chain in chains))
    weakest = _told(check, "chain_weakest", len(chains))
    rows = tuple(
        (*(cell(chain.get(name)) for name in (*MARKED, *anchored)), weakest[order])
        for order, chain in enumerate(chains)
    )
    heads = ("tag", "size, mm", "grade", "method", "LC, kN", "STF, kN")
    names = {"anchor": "anchor", "anchor_rating_kN": "anchor, kN"}
    columns = (*heads, *(names[name] for name in anchored), "weakest part")
    return Listing("As marked on the tag", columns, rows, frozenset(range(len(columns) - 1)))


def _running(chains: Sequence[Mapping[str, Any]], check: xr.Dataset) -> Listing:
    numbers = [_values(check, name, len(chains)) for name in RUNS]
    rows = tuple(
        (
            cell(chain.get("tag")),
            *(cell(chain.get(name)) for name in POINTS),
            plain(numbers[0][order]),
            *(f"{plain(column[order])}°" for column in numbers[1:3]),
            down(numbers[3][order]),
        )
        for order, chain in enumerate(chains)
    )
    columns = ("tag", "on the load, m", "on the deck, m", "length, m", "α", "βx", "capacity used, kN")
    title = "As it runs: α to the deck, βx to its long axis"
    return Listing(title, columns, rows, frozenset(range(7)))


def _declared(chains: Sequence[Mapping[str, Any]]) -> Listing:
    known = {*MARKED, *ANCHORED, *POINTS}
    rest = [{"tag": chain.get("tag"), **{k: v for k, v in chain.items() if k not in known}} for chain in chains]
    listing = further_rows("Further fields of the chains", rest, ("tag",))
    return listing if len(listing.columns) > 1 else listing._replace(rows=())


def _tension(chains: Sequence[Mapping[str, Any]], check: xr.Dataset) -> Listing:
    tension = table(check, "chain_tension_kN", "chain", "limit_state")
    if tension is None or len(tension) != len(chains):
        return Listing("", (), ())
    cases = [case_name(name) for name in names_of(check, "limit_state")]
    capacity = _values(check, "chain_capacity_kN", len(chains))
    divisor = np.array([scalar(check, "capacity_divisor") if case == WITHOUT_DIVISOR else 1.0 for case in cases])
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = tension / (capacity[:, None] * divisor[None, :])
    rows = tuple(
        (cell(chain.get("tag")), *(text for pair in zip(forces, uses, strict=True) for text in _pair(*pair)))
        for chain, forces, uses in zip(chains, tension, ratio, strict=True)
    )
    columns = ("tag", *(text for case in cases for text in (f"{case}, kN", f"{case} use")))
    note = "Use: tension over the capacity used, in LC4 without the divisor."
    return Listing(
        "Tension if no stop touched, chains sharing as they stretch",
        columns,
        rows,
        frozenset(range(len(columns))),
        note,
    )


def _pair(force_kN: float, ratio: float) -> tuple[str, str]:
    return up(force_kN, 1), use(ratio)


def _values(check: xr.Dataset, name: str, count: int) -> Array:
    found = table(check, name, "chain")
    return found if found is not None and len(found) == count else np.full(count, np.nan)


def _told(check: xr.Dataset, name: str, count: int) -> list[str]:
    found = text_table(check, name, "chain")
    return found if found is not None and len(found) == count else [UNKNOWN] * count
