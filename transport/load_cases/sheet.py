"""Calculation lines of the load cases, at the governing station, ready to be checked by hand."""

from shared.arrays import Array
from shared.calculation import Line
from transport.load_cases import accidental, earthquake, operation
from transport.load_cases.equilibrium_sheet import equilibrium_lines
from transport.load_cases.governing import At
from transport.load_cases.movement import movement_lines
from transport.load_cases.push_sheet import operation_pushes, shaken_pushes
from transport.load_cases.resistance_sheet import resistance_lines
from transport.load_cases.ride import Masses, Ride
from transport.load_cases.wind_sheet import gust_lines
from transport.securing.admissible import Admissible

__all__ = [
    "At",
    "accidental_lines",
    "earthquake_lines",
    "gust_lines",
    "held_lines",
    "operation_lines",
    "resistance_lines",
]


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

    Source: sharing.settled_m and admissible.admissible (read).
    """
    return [*movement_lines(check, at, pretension_kN), *equilibrium_lines(check, at, balanced)]
