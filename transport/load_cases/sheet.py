"""Calculation lines of the load cases, at the governing station, ready to be checked by hand."""

from collections.abc import Sequence

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from transport.load_cases import accidental, earthquake, operation
from transport.load_cases.cases import Case
from transport.load_cases.codes import Codes
from transport.load_cases.equilibrium_sheet import equilibrium_lines
from transport.load_cases.federal_sheet import federal_lines
from transport.load_cases.governing import At
from transport.load_cases.movement import movement_lines
from transport.load_cases.push_sheet import operation_pushes, shaken_pushes
from transport.load_cases.resistance_sheet import resistance_lines
from transport.load_cases.ride import Masses, Ride
from transport.load_cases.setting import Setting
from transport.load_cases.statutory_sheet import statutory_lines
from transport.load_cases.wind_sheet import gust_lines
from transport.securing.admissible import Admissible

__all__ = [
    "At",
    "accidental_lines",
    "earthquake_lines",
    "gust_lines",
    "held_lines",
    "lines_of",
    "operation_lines",
    "resistance_lines",
]


def lines_of(
    cases: Sequence[Case],
    places: Sequence[At | None],
    balanced: Sequence[Admissible | None],
    codes: Codes,
    setting: Setting,
    pretension_kN: Array,
) -> list[Line]:
    """All lines of LC1 to LC4: what the codes ask, pushes and resistances, what balances them, the wind at the limit.

    Source: the sheets of this package (practice).
    """
    masses, ride = setting.masses, setting.ride
    lines = [*statutory_lines(codes, masses), *federal_lines(codes, masses)]
    _, operated, shook, lost = places
    lines += operation_lines(operated, masses, ride) if operated else []
    lines += earthquake_lines(shook, masses, ride, setting.shaking_kN) if shook else []
    lines += accidental_lines(lost, masses, ride) if lost else []
    for case, at, forces in zip(cases, places, balanced, strict=True):
        if at is not None and forces is not None:
            lines += held_lines(case.name, at, forces, pretension_kN)
    for case, slower in zip(cases[1:], (1.0, figure("load_cases_gust_to_mean_ratio"), 1.0), strict=True):
        lines += gust_lines(case.name, case.limit_mps, setting.wind, setting.station_m, slower)
    return lines


def operation_lines(at: At, masses: Masses, ride: Ride) -> list[Line]:
    """LC2: force forward, force to the left, what is carried, resistance.

    Source: operation.still (practice).
    """
    return [*operation_pushes(operation.NAME, at, masses, ride), *resistance_lines(operation.NAME, at)]


def earthquake_lines(at: At, masses: Masses, ride: Ride, shaking_kN: Array) -> list[Line]:
    """LC3: grade and bend, shaking with its parts, both together, what is carried, resistance.

    Source: earthquake.shaken (memory).
    """
    return [*shaken_pushes(earthquake.NAME, at, masses, ride, shaking_kN), *resistance_lines(earthquake.NAME, at)]


def accidental_lines(at: At, masses: Masses, ride: Ride) -> list[Line]:
    """LC4: the pushes of LC2 at its own station, and the resistance after the worst member is lost.

    Source: accidental.lost_envelope (memory).
    """
    return [*operation_pushes(accidental.NAME, at, masses, ride), *resistance_lines(accidental.NAME, at)]


def held_lines(check: str, at: At, balanced: Admissible, pretension_kN: Array) -> list[Line]:
    """Movement before the push is balanced, and one set of forces that balances it.

    Source: sharing.settled_m and admissible.admissible (practice).
    """
    return [*movement_lines(check, at, pretension_kN), *equilibrium_lines(check, at, balanced)]
