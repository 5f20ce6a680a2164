"""From decoded GRIB messages to CF variables: the times of the wind are the clock, each field is brought onto it."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from shared.errors import Fault, InputError
from transport.weather.feeds.grib.choice import Chosen, chosen_of
from transport.weather.feeds.grib.cube import Cube, cube_of, hours, members_of
from transport.weather.feeds.grib.facts import Facts, facts_of
from transport.weather.feeds.grib.fields import Rule
from transport.weather.feeds.grib.grid import along_axes, grid_variables
from transport.weather.feeds.grib.steps import Onto, onto_clock, since_start, tangled
from transport.weather.feeds.grib.variables import (
    field_variables,
    fixed_variable,
    member_variables,
    time_variables,
)
from transport.weather.feeds.raw import Raw

__all__ = ["Found", "found_in"]

WINDS = ("eastward_wind", "northward_wind", "wind_speed")
FIXED = "surface_altitude"
NAMED = 30


class Found(NamedTuple):
    """What a file holds as CF variables, sentences on what was read, and remarks."""

    raw: Raw
    read: tuple[str, ...]
    remarks: tuple[str, ...]


class Field(NamedTuple):
    """One field: which messages it is made of, how they are arranged, and how they fall on the clock."""

    item: Chosen
    cube: Cube


def found_in(table: Raw, rules: Sequence[Rule]) -> Found:
    """Put the decoded messages of a file together.

    Errors: InputError naming field, member and step for whatever is missing, stands twice, or does not fit together.
    Source: WMO-No. 306 volume I.2, FM 92 GRIB edition 2 (read); CF conventions (read).
    """
    if not len(table.variables["facts"]):
        raise _no_wind([], table)
    facts = facts_of(table.variables["facts"].to_numpy(), table.file)
    chosen, left_out = chosen_of(facts, rules, table.file)
    fields, labels = _fields([item for item in chosen if item.rule.standard_name != FIXED], facts, table)
    clock_s, values = _clock_s(fields, table), table.variables["values"].to_numpy()
    grid = grid_variables(table)
    variables = grid | time_variables(facts.run, clock_s) | member_variables(labels)
    read = []
    for item, cube in fields:
        onto = _onto(item, cube, clock_s, table.file)
        name = along_axes(item.rule.standard_name, facts.along_grid[item.messages], grid, table.file)
        variables |= field_variables(item, name, cube, onto, values, facts.run)
        read.append(_sentence(item, cube, clock_s))
    for item in chosen:
        if item.rule.standard_name == FIXED:
            variables[item.rule.name] = fixed_variable(item, values, table.file)
            read.append(f"{item.rule.name}: height of the model's ground, {len(item.messages)} messages")
    raw = Raw(table.file, variables, (*(item.rule.name for item in chosen), *table.names[:NAMED]))
    remarks = (*facts.remarks, *_fewer(facts, labels), *(item.remark for item, _ in fields if item.remark))
    return Found(raw, (*read, *left_out), remarks)


def _fields(moving: Sequence[Chosen], facts: Facts, table: Raw) -> tuple[list[Field], np.ndarray]:
    everywhere = np.concatenate([item.messages for item in moving] or [np.zeros(0, dtype=np.int64)])
    labels = members_of(facts.member[everywhere], table.file)
    values = table.variables["values"].to_numpy()
    return [
        Field(
            item,
            cube_of(item.rule.name, item.messages, facts, labels, table.file, values if item.method == "sum" else None),
        )
        for item in moving
    ], labels


def _clock_s(fields: Sequence[Field], table: Raw) -> list[int]:
    ends = {
        item.rule.standard_name: {end for _, end in cube.ranges}
        for item, cube in fields
        if item.rule.standard_name in WINDS
    }
    if not ends:
        raise _no_wind([item.rule.name for item, _ in fields], table)
    east, north = (ends.get(name, set()) for name in WINDS[:2])
    if east and north and east != north:
        step_s = min(east ^ north)
        lost, other = ("10v", "10u") if step_s in east else ("10u", "10v")
        what = f"is missing at step {hours((step_s, step_s))}, where {other} is given; fetch the file again"
        raise InputError(Fault(table.file, lost, what))
    return sorted(set().union(*ends.values()))


def _no_wind(held: Sequence[str], table: Raw) -> InputError:
    listed = ", ".join([*held, *table.names[:NAMED]])
    return InputError(Fault(table.file, "", f"holds no wind at 10 m above ground; it has {listed}"))


def _onto(item: Chosen, cube: Cube, clock_s: Sequence[int], file: str) -> Onto:
    if item.method == "point":
        rows = {end: (row,) for row, (_, end) in enumerate(cube.ranges)}
        return Onto(tuple(rows.get(time, ()) for time in clock_s), np.array([(time, time) for time in clock_s]))
    if item.method == "sum" and (growing := since_start(cube.ranges, clock_s)) is not None:
        return growing
    if (pair := tangled(cube.ranges)) is not None:
        what = f"is given over {hours(pair[0])} and over {hours(pair[1])}, which tell one time twice; keep one kind"
        raise InputError(Fault(file, item.rule.name, what))
    return onto_clock(cube.ranges, clock_s)


def _sentence(item: Chosen, cube: Cube, clock_s: Sequence[int]) -> str:
    members, steps = cube.messages.shape
    of_whom = "single forecast" if cube.single else f"{members} members"
    lengths_h = sorted({(end - start) / 3600.0 for start, end in cube.ranges} - {0.0})
    shown = [f"{length_h:g}" for length_h in lengths_h]
    over = f" over {' or '.join(shown) if len(shown) < 4 else f'{shown[0]} to {shown[-1]}'} h" if shown else ""
    span = f"{steps} steps from {cube.ranges[0][1] / 3600.0:g} to {cube.ranges[-1][1] / 3600.0:g} h"
    absent = len(set(clock_s) - {end for _, end in cube.ranges})
    lost = f", none at {absent} of the {len(clock_s)} times of the wind" if absent else ""
    height = "" if item.height_m is None else f" at {item.height_m:g} m"
    return f"{item.rule.name}: {item.rule.units}{height}, time: {item.method}{over}, {of_whom}, {span}{lost}"


def _fewer(facts: Facts, labels: np.ndarray) -> tuple[str, ...]:
    stated = facts.members_stated
    return (f"holds {len(labels)} members of an ensemble of {stated}",) if 1 < stated > len(labels) else ()
