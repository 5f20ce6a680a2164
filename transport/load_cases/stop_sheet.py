"""Calculation lines of primary restraint: what stops must bear if they hold alone, and the slide where chains must."""

import numpy as np

from shared.calculation import Line
from transport.load_cases.levels import lashing_rate_kN_per_m, steady_kN
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import NAME, Row
from transport.securing.arrangement import DIRECTION_DEG, Arrangement

__all__ = ["stop_lines"]

Value = tuple[str, float, str, str]


def stop_lines(row: Row, arrangement: Arrangement, masses: Masses) -> list[Line]:
    """One direction: stops needed over available, and where they are missing or too weak the slide of chains alone.

    B_n = c W - mu N - F_o; with the friction counted beside direct lashings, so that stops that hold here hold above.
    Source: EN 12195-1:2010, 5.3 and 5.4, blocking with friction and top-over lashings (memory).
    """
    values = _values(row, arrangement, masses)
    if not row.stop_needed_kN > 0.0:
        return [_needed_line(row, values)]
    weak = not row.stop_needed_kN <= row.stop_kN
    lines = [_stop_line(row, values)] if row.stop_kN > 0.0 else [_needed_line(row, values)]
    return [*lines, *([_slide_line(row, arrangement, values)] if weak and np.isfinite(row.slide_m) else [])]


def _values(row: Row, arrangement: Arrangement, masses: Masses) -> tuple[Value, ...]:
    friction, carried_kN = arrangement.pad_friction_ratio, masses.least_t * masses.gravity_mps2
    k = int(np.flatnonzero(row.angle_deg == DIRECTION_DEG)[0])
    over_kN = float(steady_kN(arrangement, carried_kN)[k]) - friction * carried_kN
    return (
        ("c_s", row.sliding_ratio, "", f"{row.code}, sliding {row.direction}"),
        ("W", masses.greatest_t * masses.gravity_mps2, "kN", "mass with its tolerance, 9.81 m/s2"),
        ("mu", friction, "", "0.75 of the least friction_ratio of the pads" + arrangement.friction_words),
        ("N", carried_kN, "kN", "mass less its tolerance, 9.81 m/s2, level deck"),
        ("F_o", over_kN if arrangement.fixed_kN.any() else 0.0, "kN", "held by top-over lashings and their friction"),
    )


def _needed_line(row: Row, values: tuple[Value, ...]) -> Line:
    missing = "no stop is there" if row.stop_needed_kN > 0.0 else "none is needed at 0 or below"
    title = f"Force that stops {row.direction} must bear to hold alone: {missing}"
    formula = "B_n = c_s W - mu N - F_o"
    result = ("B_n", row.stop_needed_kN, "kN")
    return Line(NAME, title, formula, formula, values, result, "EN 12195-1:2010", "5.3", "memory")


def _stop_line(row: Row, values: tuple[Value, ...]) -> Line:
    available = ("B", row.stop_kN, "kN", f"stops {row.direction} until the first is full, from capacity_kN")
    result = ("u_B", row.stop_needed_kN / row.stop_kN, "")
    words = "chains are then the second line" if row.stop_needed_kN <= row.stop_kN else "too weak to hold alone"
    title = f"Stops {row.direction} as primary restraint, needed over available: {words}"
    formula, spoken = "u_B = (c_s W - mu N - F_o) / B", "u_B = (c_s W - mu N - F_o) / B"
    text = (title, formula, spoken, (*values, available), result)
    return Line(NAME, *text, "EN 12195-1:2010", "5.3", "memory")


def _slide_line(row: Row, arrangement: Arrangement, values: tuple[Value, ...]) -> Line:
    rate = (
        "K",
        lashing_rate_kN_per_m(arrangement, row.angle_deg),
        "kN/m",
        "sum of E A / L h (h + mu v), E A estimated",
    )
    title = (
        f"Chains alone {row.direction} let the load slide about this far before they hold; "
        "use a stop as primary restraint"
    )
    formula, spoken = "d = (c_s W - mu N - F_o) / K", "d = (c_s W - mu N - F_o) / K"
    text = (title, formula, spoken, (*values, rate), ("d", row.slide_m, "m"))
    return Line(NAME, *text, "springs in tension only", "common practice, no source", "practice")
