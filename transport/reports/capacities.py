"""What the securing holds, model beside model, as tables: by direction, by code, by counting rule."""

from collections.abc import Callable, Iterable, Mapping

import numpy as np
import xarray as xr

from shared.arrays import Array
from transport.reports.lashing import lacking, names_of, scalar, table, text_table
from transport.reports.listings import Listing
from transport.reports.notation import UNKNOWN, down, plain, up, use

__all__ = ["UPPER_BOUND_NOTE", "capacity_listings", "capacity_remarks", "code_listings", "four_ways", "strictest"]

ABOVE_RATIO = 1.1
HEADS = {
    "EN 12195-1 sliding": "A sliding",
    "EN 12195-1 tipping": "A tipping",
    "elastic share": "share",
    "equilibrium": "B limit",
    "elastic chains": "C elastic",
}
WAYS = {0.0: "forward", 90.0: "to the left", 180.0: "rearward", 270.0: "to the right"}
UPPER_BOUND_NOTE = (
    "The free limit analysis (upper bound) lets every chain and contact take whatever force helps most. It is an upper "
    "bound and never used; ↑ marks where it lies above 1.1 times the usable resistance. Counted only where a chain "
    "resists in this and both neighbouring directions; stops or chains, whichever way is better as a whole."
)
Writers = Mapping[str, Callable[[float], str]]
COUNTED = {
    "393.106(d)": "aggregate working load limit",
    "393.102(b)": "downward force of the tiedowns",
    "393.110, 393.130": "number of tiedowns",
}
BOUNDS = ("lower_bound_ratio", "upper_bound_ratio")
ELASTIC = ("first_full", "first_full_movement_m", "share_movement_m", "slack_chains", "lifted_contacts", "held_way")


def capacity_listings(check: xr.Dataset) -> list[Listing]:
    """Resistance over the weight by direction and model, then how it comes about."""
    return [listing for listing in (_ratios(check), _manner(check)) if listing.rows]


def capacity_remarks(check: xr.Dataset) -> tuple[str, ...]:
    """What the two tables lack, and how far the envelope lies inside what is held."""
    error = scalar(check, "envelope_error_ratio")
    given = (f"The envelope used at every station gives away at most {up(100.0 * error)} % of a resistance.",)
    return (*lacking(check, "resistance_ratio", *BOUNDS, *ELASTIC), *(given if error >= 0.0 else ()))


def four_ways(check: xr.Dataset) -> Listing:
    """Usable resistance forward, left, rearward and right, with the model that gives it."""
    title = "Usable resistance on a level deck"
    columns = ("towards", "kN", "over weight", "model", "held by", "upper bound")
    ratio, by_model = table(check, "usable_ratio", "direction"), table(check, "resistance_ratio", "model", "direction")
    if ratio is None:
        return Listing(title, columns, ())
    weight_kN, models = scalar(check, "weight_kN"), names_of(check, "model")
    upper, held = _numbers(check, "upper_bound_ratio", ratio), _texts(check, "held_way", ratio)
    rows = []
    for order, angle in enumerate(check["direction"].values):
        if float(angle) in WAYS:
            least = UNKNOWN if by_model is None else _least(by_model[:, order], models)
            bound = f"{down(upper[order], 3)}{_flag(upper[order], ratio[order])}"
            force = down(ratio[order] * weight_kN)
            rows.append((WAYS[float(angle)], force, down(ratio[order], 3), least, held[order], bound))
    note = "Upper bound: free limit analysis, never used." + (" ↑: above 1.1 times usable." if _any_flag(rows) else "")
    return Listing(title, columns, tuple(rows), frozenset((0, 1, 2, 5)), note)


def code_listings(check: xr.Dataset) -> list[Listing]:
    """The rows of the codes, strictest first, and the counting rules."""
    return [listing for listing in (_code_rows(check), _counting(check)) if listing.rows]


def strictest(check: xr.Dataset) -> str:
    """Which code is strictest, in one sentence."""
    rows = _code_rows(check).rows
    if not rows:
        return "Codes side by side are not in this result: no strictest code can be named."
    code, way, level, *_, used = rows[0]
    return f"Strictest code: {code} {way}, on {level}, use {used}."


def _ratios(check: xr.Dataset) -> Listing:
    by_model = table(check, "resistance_ratio", "model", "direction")
    usable = table(check, "usable_ratio", "direction")
    if by_model is None or usable is None:
        return Listing("", (), ())
    lower, upper = (_numbers(check, name, usable) for name in BOUNDS)
    heads = [HEADS.get(name, name) for name in names_of(check, "model")]
    held = _texts(check, "held_way", usable)
    rows = tuple(
        (
            f"{angle:.0f}°",
            *(down(value, 3) for value in by_model[:, k]),
            down(usable[k], 3),
            down(lower[k], 3),
            f"{down(upper[k], 3)}{_flag(upper[k], usable[k])}",
            held[k],
        )
        for k, angle in enumerate(check["direction"].values)
    )
    columns = ("towards", *heads, "usable", "lower bound", "upper bound", "held by")
    title = "Resistance over the weight, level deck; 0° forward, 90° to the left"
    return Listing(title, columns, rows, frozenset(range(len(columns))), UPPER_BOUND_NOTE)


def _manner(check: xr.Dataset) -> Listing:
    usable = table(check, "usable_ratio", "direction")
    if usable is None or "first_full" not in check:
        return Listing("", (), ())
    first, slack, lifted = (_texts(check, name, usable) for name in ("first_full", "slack_chains", "lifted_contacts"))
    full_m, share_m = (_numbers(check, name, usable) for name in ("first_full_movement_m", "share_movement_m"))
    motion = _texts(check, "mechanism", usable)
    angles = check["direction"].values
    rows = tuple(
        (f"{angle:.0f}°", first[k], _mm(full_m[k]), _mm(share_m[k]), slack[k], lifted[k], motion[k])
        for k, angle in enumerate(angles)
    )
    columns = ("towards", "first full", "there, mm", "share at, mm", "slack chains", "lifted contacts", "collapse by")
    title = "Elastic chains: what is full first, the movement there, what goes slack or lifts"
    return Listing(title, columns, rows, frozenset((0, 2, 3)))


def _code_rows(check: xr.Dataset) -> Listing:
    columns = ("code", "towards", "level", "c slide", "c tip", "R slide", "R tip", "use")
    texts = [text_table(check, f"code_{name}", "code_row") or [] for name in ("name", "direction", "level")]
    named: Writers = {
        "sliding_ratio": plain,
        "tipping_ratio": plain,
        "sliding_kN": down,
        "tipping_kN": down,
        "use_ratio": use,
    }
    cells = [list(map(write, _column(check, f"code_{name}", "code_row"))) for name, write in named.items()]
    if len({len(column) for column in (*texts, *cells)}) != 1:
        return Listing("", columns, ())
    rows = tuple(zip(*texts, *cells, strict=True))
    title = "Codes, strictest first: coefficient c, resistance R in kN against sliding and tipping, use"
    return Listing(title, columns, rows, frozenset(range(1, 8)))


def _counting(check: xr.Dataset) -> Listing:
    columns = ("counting rule", "what it counts", "needed", "provided", "unit", "use")
    clauses = text_table(check, "counting_clause", "counting_rule") or []
    named: Writers = {"needed": plain, "provided": plain, "use_ratio": use}
    cells = [list(map(write, _column(check, f"counting_{name}", "counting_rule"))) for name, write in named.items()]
    if len({len(column) for column in (clauses, *cells)}) != 1:
        return Listing("", columns, ())
    units = text_table(check, "counting_unit", "counting_rule") or [UNKNOWN] * len(clauses)
    counted = [COUNTED.get(clause, "-") for clause in clauses]
    needed, provided, used = cells
    rows = tuple(zip(clauses, counted, needed, provided, [unit or "pieces" for unit in units], used, strict=True))
    return Listing("Counting rules", columns, rows, frozenset((0, 2, 3, 4, 5)))


def _column(check: xr.Dataset, name: str, dim: str) -> list[float]:
    found = table(check, name, dim)
    return [] if found is None else [float(value) for value in found]


def _numbers(check: xr.Dataset, name: str, like: Array) -> Array:
    found = table(check, name, "direction")
    return np.full(like.shape, np.nan) if found is None else found


def _texts(check: xr.Dataset, name: str, like: Array) -> list[str]:
    found = text_table(check, name, "direction")
    return ["not given"] * like.size if found is None else [text or "none" for text in found]


def _least(by_model: Array, models: list[str]) -> str:
    return UNKNOWN if np.isnan(by_model).any() else models[int(np.argmin(by_model))]


def _flag(upper_ratio: float, usable_ratio: float) -> str:
    return "" if upper_ratio <= ABOVE_RATIO * usable_ratio or np.isnan(upper_ratio) else " ↑"


def _any_flag(rows: Iterable[tuple[str, ...]]) -> bool:
    return any(row[-1].endswith("↑") for row in rows)


def _mm(value_m: float) -> str:
    return up(1000.0 * value_m, 1)
