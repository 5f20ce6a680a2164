"""One set of forces that holds the worst push of each load case, how far the unit slides, what a loss costs: tables."""

import numpy as np
import xarray as xr

from shared.arrays import Array
from transport.reports.lashing import case_name, lacking, names_of, table, text_table
from transport.reports.listings import Listing
from transport.reports.notation import UNKNOWN, plain, up, use
from transport.reports.notation import gust as gust_words
from transport.reports.states import worst

__all__ = [
    "balance_listings",
    "balance_remarks",
    "balance_sentence",
    "group_listing",
    "loss_listing",
    "loss_remarks",
    "worst_loss",
]

PUSHES = {"push_ahead_kN": "forward", "push_left_kN": "to the left", "push_carried_kN": "down on the deck"}
NOTHING_RATIO = 1e-7
NO_SET, NONE_SHORT = "no set holds this push", "no set"
LOSS_NOTE = (
    "LC4, operation after the loss, counts in the decision; a code's accelerations (LC1) or an earthquake (LC3) after "
    "a loss are shown for the one who signs. The divisor is 1 here, so a loss may show less use than the intact case "
    "with its divisor."
)
RESIDUALS = {"residual_kN": "sum of F, kN", "residual_kNm": "sum of M, kNm"}


def balance_listings(check: xr.Dataset) -> list[Listing]:
    """The worst push, then chain tensions, contact forces and what is left over in the sums."""
    made = (_pushes(check), _admissible_tension(check), _contact_force(check), _residuals(check))
    return [listing for listing in made if listing.rows]


def balance_remarks(check: xr.Dataset) -> tuple[str, ...]:
    """What the tables of equilibrium lack."""
    return lacking(check, "push_ahead_kN", "admissible_tension_kN", "admissible_contact_kN", *RESIDUALS)


def balance_sentence(check: xr.Dataset) -> str:
    """What the sets of forces are, and which member is lost in LC4."""
    cases, members = names_of(check, "limit_state"), text_table(check, "lost_member", "limit_state") or []
    lost = [
        f"{case_name(case)}: with {member} lost"
        for case, member in zip(cases, members, strict=False)
        if member not in {"none", "unknown", ""}
    ]
    return f"{'; '.join(['One possible set of forces for each load case, not a prediction', *lost])}."


def loss_listing(check: xr.Dataset) -> Listing:
    """Utilisation in still air with each one member of the securing lost, by load case; operation then is LC4."""
    ratio = table(check, "redundancy_ratio", "loss", "limit_state")
    if ratio is None:
        return Listing("", (), ())
    cases = [case_name(name) for name in names_of(check, "limit_state")]
    shown = [order for order, name in enumerate(cases) if name != "LC2" or "LC4" not in cases]
    columns = ("lost", *(cases[order] for order in shown), *(["LC4 holds"] if "LC4" in cases else []))
    rows = tuple(
        (name, *(use(float(row[order])) for order in shown), *_counting(row, cases))
        for name, row in zip(names_of(check, "loss"), ratio, strict=True)
    )
    title = "Utilisation with one member lost, still air, divisor 1"
    return Listing(title, columns, rows, frozenset(range(len(columns))), f"{worst_loss(check)} {LOSS_NOTE}")


def _counting(row: Array, cases: list[str]) -> tuple[str, ...]:
    """Whether the case that counts after a loss holds."""
    return (_holds(float(row[cases.index("LC4")])),) if "LC4" in cases else ()


def worst_loss(check: xr.Dataset) -> str:
    """The loss that costs most in operation, and in any case, in one sentence."""
    ratio = table(check, "redundancy_ratio", "loss", "limit_state")
    if ratio is None or not ratio.size:
        member = _lost_member(check)
        return f"Worst loss: {member}." if member else "Which loss is worst is not in this result."
    cases, names = [case_name(name) for name in names_of(check, "limit_state")], names_of(check, "loss")
    loss, case = np.unravel_index(worst(-ratio.ravel()), ratio.shape)
    anywhere = f"{names[loss]}, utilisation {use(float(ratio[loss, case]))} in {cases[case]}"
    if "LC4" not in cases or cases[case] in {"LC2", "LC4"}:
        return f"Worst loss: {anywhere}."
    operated = ratio[:, cases.index("LC4")]
    first = worst(-operated)
    counted = f"{names[first]}, utilisation {use(float(operated[first]))} in LC4"
    return f"Worst loss: {counted}; over all cases {anywhere}."


def loss_remarks(check: xr.Dataset, stand: xr.Dataset) -> tuple[str, ...]:
    """What the tables of losses lack."""
    return (*lacking(check, "redundancy_ratio"), *lacking(stand, "group_lost_ratio"))


def group_listing(stand: xr.Dataset) -> Listing:
    """What is left when the pressure of one hydraulic group is lost."""
    ratio, pressure = (table(stand, f"group_{name}", "group") for name in ("lost_ratio", "pressure_kPa"))
    gust, tilt = (table(stand, f"group_lost_{name}", "group") for name in ("gust_mps", "tilt_deg"))
    if ratio is None:
        return Listing("", (), ())
    parts = {
        "pressure, kPa": None if pressure is None else [plain(value) for value in pressure],
        "use when lost": [_stands(value) for value in ratio],
        "stands in gusts up to": None if gust is None else [gust_words(value) for value in gust],
        "tilts by": None if tilt is None else [f"{up(value, 1)}°" for value in tilt],
    }
    known = {name: cells for name, cells in parts.items() if cells is not None}
    rows = tuple(zip(names_of(stand, "group"), *known.values(), strict=True))
    title = "Pressure of one hydraulic group lost"
    note = "A use that is without bound means that the deck does not stand on the groups that are left."
    return Listing(title, ("group", *known), rows, frozenset(range(1 + len(known))), note)


def _pushes(check: xr.Dataset) -> Listing:
    found = {name: table(check, name, "limit_state") for name in PUSHES}
    columns = [values for values in found.values() if values is not None]
    if len(columns) < len(PUSHES):
        return Listing("", (), ())
    numbers = _rested(np.stack(columns, axis=1))
    rows = tuple((state, *map(plain, row)) for state, row in zip(names_of(check, "limit_state"), numbers, strict=True))
    return Listing("Worst push, kN", ("load case", *PUSHES.values()), rows, frozenset(range(4)))


def _admissible_tension(check: xr.Dataset) -> Listing:
    tension = table(check, "admissible_tension_kN", "chain", "limit_state")
    if tension is None:
        return Listing("", (), ())
    columns = ("chain", *map(case_name, names_of(check, "limit_state")))
    tags = names_of(check, "chain")
    none = _without_set(check, tension)
    rows = tuple(
        (tag, *(NONE_SHORT if lacks else plain(value) for value, lacks in zip(row, none, strict=True)))
        for tag, row in zip(tags, _rested(tension), strict=True)
    )
    return Listing("Chain tensions that balance it, kN", columns, rows, frozenset(range(len(columns))))


def _without_set(check: xr.Dataset, tension: Array) -> list[bool]:
    """Load cases whose push is known but no set of forces was found for it."""
    found = (table(check, name, "limit_state") for name in PUSHES)
    pushes = [values for values in found if values is not None]
    cases = range(tension.shape[1])
    if len(pushes) < len(PUSHES):
        return [False for _ in cases]
    return [bool(np.isnan(tension[:, k]).all() and np.isfinite([push[k] for push in pushes]).all()) for k in cases]


def _rested(force: Array) -> Array:
    """Forces, with 0 for what is nothing but the rest of a subtraction beside the greatest."""
    greatest = float(np.max(np.abs(force), initial=0.0, where=np.isfinite(force)))
    return np.where(np.abs(force) < NOTHING_RATIO * greatest, 0.0, force)


def _contact_force(check: xr.Dataset) -> Listing:
    force = table(check, "admissible_contact_kN", "contact", "limit_state", "axis")
    if force is None:
        return Listing("", (), ())
    columns = ("contact", *map(case_name, names_of(check, "limit_state")))
    named = zip(names_of(check, "contact"), _rested(force), strict=True)
    none = _without_set(check, force)
    rows = tuple(
        (name, *(NO_SET if lacks else "; ".join(map(plain, one)) for one, lacks in zip(row, none, strict=True)))
        for name, row in named
    )
    title = "Contact forces on the unit that balance it, kN: x; y; z"
    return Listing(title, columns, rows, frozenset(range(len(columns))))


def _residuals(check: xr.Dataset) -> Listing:
    found = {words: check[name] for name, words in RESIDUALS.items() if name in check}
    if not found:
        return Listing("", (), ())
    states = names_of(check, "limit_state")
    largest = {words: _largest(values) for words, values in found.items()}
    rows = tuple((state, *(_fixed(row[order]) for row in largest.values())) for order, state in enumerate(states))
    note = "What is left over when push, weight, tensions and contact forces are added up, to the nearest thousandth."
    return Listing("Residuals", ("load case", *largest), rows, frozenset((0, 1, 2)), note)


def _fixed(value: float) -> str:
    return f"{value:.3f}" if np.isfinite(value) else plain(value)


def _largest(values: xr.DataArray) -> list[float]:
    rows = np.abs(np.asarray(values.transpose("limit_state", ...).values, dtype=float))
    return [float(row) for row in rows.reshape(len(rows), -1).max(axis=1)]


def _holds(value_ratio: float) -> str:
    return UNKNOWN if np.isnan(value_ratio) else ("yes" if value_ratio <= 1.0 else "NO")


def _stands(value_ratio: float) -> str:
    return "does not stand" if np.isposinf(value_ratio) else up(value_ratio)


def _lost_member(check: xr.Dataset) -> str:
    """The member whose loss is worst by the check itself, where no matrix tells it."""
    members = text_table(check, "lost_member", "limit_state") or []
    return next((member for member in reversed(members) if member not in {"none", "unknown"}), "")
