"""The main job: the whole move, its checks and tomorrow's weather, decided for every start."""

import json
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.assessment import Assessment
from shared.errors import Fault, InputError
from shared.inputs import defaults_of, load_toml
from shared.provenance import Provenance, hashed, tool_version
from shared.tables import Used, ledger
from transport.cover.inputs import faults as faults_of_cover
from transport.securing.inputs import arrangement_faults
from transport.securing.remarks import remarks as securing_remarks
from transport.window.answer import Answer
from transport.window.band import band
from transport.window.checks import checks_of, road_of
from transport.window.decision import decide, worst_of
from transport.window.demand import wind_field
from transport.window.doubts import doubts
from transport.window.doubts import faults as faults_of_slips
from transport.window.inputs import Move
from transport.window.openings import openings
from transport.window.operation import clocks_of, demands_of, finish_s, start_times_s, steps_of
from transport.window.orders import orders
from transport.window.outlook import feeds_of, learned_of, outlook, relief_edges_m
from transport.window.proposal_inputs import available_faults
from transport.window.proposals import proposals
from transport.window.reasons import conditional, members_lacking, reasons, refusals, unchecked, would_open
from transport.window.rose import cell_edges_m, cells, rose
from transport.window.schedule import Passage, driving_time_s, passages, timetable, waiting_s

__all__ = [
    "Plan",
    "assess",
    "calculation",
    "forecast_of",
    "move_of",
    "plan_of",
    "proposed",
    "provenance_of",
    "remarks_of",
]


class Plan(NamedTuple):
    """The move on its road: cells and stays."""

    move: Move
    folder: Path
    road: xr.Dataset
    edges_m: Array
    stays: tuple[Passage, ...]


def assess(path: Path, *, as_of: datetime, proposing: bool = False) -> Assessment:
    """Answer whether, when and how the move of a file can go, as known at one moment.

    proposing: search for what would close a securing that does not hold, which takes some tens of seconds.
    The feeds are read, each in a process of its own, while the checks are calculated.
    Errors: InputError for anything the inputs lack or contradict; what is only not known gives undecided.
    """
    with ledger() as used, ThreadPoolExecutor(max_workers=1) as aside:
        plan = plan_of(path)
        feeds = aside.submit(copy_context().run, feeds_of, plan.move, plan.folder)
        _measured_by(plan.move.cover.tension_measured_at, "cover.tension_measured_at", as_of)
        _measured_by(plan.move.mirror.temperature_measured_at, "mirror.temperature_measured_at", as_of)
        checks = calculation(plan)
        full = rose(check for check in checks.values() if "gust_limit_mps" in check)
        places = cells(full, plan.edges_m)
        forecast = forecast_of(plan, feeds.result(), as_of)
        given, shown = _decided(plan, checks["cover"], places, forecast, as_of)
        offered = proposed(plan, checks) if proposing else ()
    refused = (*refusals(forecast), *members_lacking(plan.move.decision, forecast))
    window = _undecided(given.table(finish_s(plan.stays)), refusals(forecast)).merge(shown)
    window = window.merge(timetable(plan.stays))
    return Assessment(
        move=plan.move.model_dump(mode="json"),
        verdict=_verdict(window),
        reasons=reasons(window, refused, plan.move.site.zone),
        would_open=() if refused or _verdict(window) == "go" else would_open(given, plan.move.site.zone),
        openings=openings(window),
        road=plan.road,
        rose=full,
        forecast=forecast,
        window=window,
        orders=orders(plan.road, places, forecast["relief_ratio"].values),
        checks=checks,
        provenance=provenance_of(path, plan.move, used, as_of),
        remarks=(*remarks_of(plan.move, as_of), *_remarks(forecast)),
        proposals=offered,
    )


def move_of(path: Path) -> Move:
    """Read the move, and refuse what only two of its tables together show to be wrong."""
    move = load_toml(path, Move)
    deck = {"deck_length_m": move.trailer.deck_length_m, "deck_width_m": move.trailer.deck_width_m}
    faults = [
        *arrangement_faults(move.unit, move.chain, move.contact, move.anchor, **deck),
        *faults_of_cover(move.cover, move.mirror),
        *available_faults(move.available, move.unit, move.chain, move.contact, **deck),
        *faults_of_slips(move),
    ]
    if faults:
        raise InputError.of(faults)
    return move


def plan_of(path: Path) -> Plan:
    """Read the move and its road, and lay out where the convoy can be when."""
    move = move_of(path)
    road = road_of(move, path.parent)
    length_m = float(road["station"][-1])
    breaks_m = [*road["break_m"].values, *relief_edges_m(move, length_m)]
    edges_m = cell_edges_m(length_m, move.decision.cell_m, breaks_m)
    driving_s = driving_time_s(road["station"].values, road["speed_mps"].values, edges_m)
    waits_s = waiting_s(edges_m, road["hold_station_m"].values, road["hold_wait_h"].values)
    stays = passages(move.stage, driving_s, waits_s, earliest_ratio=move.decision.earliest_ratio)
    return Plan(move, path.parent, road, edges_m, stays)


def calculation(plan: Plan) -> dict[str, xr.Dataset]:
    """Every check of the plan, with the load exposed for as long as the operation can last."""
    return checks_of(plan.move, plan.road, exposure_h=finish_s(plan.stays) / 3600.0)


def proposed(plan: Plan, checks: dict[str, xr.Dataset]) -> tuple[Mapping[str, Any], ...]:
    """What would close a securing that does not hold, as plain objects; nothing if it holds."""
    found = proposals(plan.move, plan.road, checks, exposure_h=finish_s(plan.stays) / 3600.0)
    return tuple(one.plain() for one in found)


def remarks_of(move: Move, as_of: datetime) -> tuple[str, ...]:
    """What the move leaves unchecked, what it rests on, what looks like a slip, what to look at on the chains."""
    gear = securing_remarks(move.unit, move.chain, move.contact, as_of=as_of.date())
    return (*unchecked(move), *conditional(move), *doubts(move), *gear)


def forecast_of(plan: Plan, feeds: Sequence[xr.Dataset], as_of: datetime) -> xr.Dataset:
    """The weather at the load over the cells of the plan."""
    learned, horizon_s = learned_of(plan.move, plan.folder), finish_s(plan.stays)
    return outlook(plan.move, feeds, plan.road, plan.edges_m, as_of=as_of, horizon_s=horizon_s, learned=learned)


def provenance_of(
    path: Path, move: Move, used: set[Used], as_of: datetime, files: Sequence[str] | None = None
) -> Provenance:
    """Version, clock, hashes of every input, rule of the decision, published numbers, defaults taken.

    files: what was read besides the move and its survey; by default its feeds.
    """
    read = [feed.path for feed in move.weather.feed] if files is None else files
    names = [path.name, move.route.survey, *read]
    decision = move.decision.model_dump(mode="json", exclude_none=True)
    if move.weather.calibration is not None:
        names.append(move.weather.calibration.path)
        decision |= {"calibration": move.weather.calibration.path}
    return Provenance(
        version=tool_version(),
        as_of=as_of.astimezone(UTC),
        inputs=hashed((name, path.parent / name) for name in names),
        options={name: str(value) for name, value in decision.items()},
        unread=tuple(sorted(one for one in used if one.status != "read")),
        read=tuple(sorted(one for one in used if one.status == "read")),
        defaults=tuple(defaults_of(move)),
    )


def _decided(
    plan: Plan, cover: xr.Dataset, places: xr.Dataset, forecast: xr.Dataset, as_of: datetime
) -> tuple[Answer, xr.Dataset]:
    move, steps = plan.move, steps_of(forecast)
    factor = move.decision.alpha_ratio if move.decision.alpha_ratio is not None else 1.0
    wind = wind_field(
        places,
        forecast["gust_apparent_mps"].values,
        forecast["wind_from_deg"].values,
        spread_deg=float(forecast.attrs["direction_spread_deg"]),
        factor=factor,
        error_mps=forecast["forecast_error_mps"].values if "forecast_error_mps" in forecast else None,
    )
    start_s = start_times_s(steps, as_of.timestamp(), finish_s(plan.stays), move.decision.start_every_min)
    wet = bool(cover.attrs["wet_is_closed"])
    demands = list(demands_of(plan.stays, wind, forecast, move.limits, wet_is_closed=wet))
    tension = _epoch_s(cover.attrs["tension_valid_until"]), 3600.0 * move.cover.tension_valid_h
    clocks = list(clocks_of(plan.stays, start_s, plan.road, tension))
    worst = worst_of(demands, clocks, steps, start_s, forecast.sizes["realization"])
    expected = move.decision.members_count or 1
    given = Answer(demands, clocks, steps, start_s, worst, decide(worst, move.decision, expected_members=expected))
    drive = next(stay for stay in plan.stays if stay.stage.kind == "drive")
    return given, band(given, drive, wind, forecast["time"])


def _measured_by(moment: datetime | None, field: str, as_of: datetime) -> None:
    """Nothing can have been measured after the moment whose knowledge counts."""
    if moment is not None and not moment <= as_of:
        message = f"is {moment.isoformat()}, after {as_of.isoformat()}, the moment that counts; correct it or --as-of"
        raise InputError(Fault("", field, message))


def _undecided(window: xr.Dataset, refused: tuple[str, ...]) -> xr.Dataset:
    """A forecast that was refused decides nothing, not even a no-go."""
    if not refused:
        return window
    return window.assign(verdict=("start", np.full(window.sizes["start"], "undecided"), window["verdict"].attrs))


def _verdict(window: xr.Dataset) -> str:
    found = set(window["verdict"].values.tolist())
    return next((verdict for verdict in ("go", "undecided") if verdict in found), "no-go")


def _remarks(forecast: xr.Dataset) -> tuple[str, ...]:
    return tuple(json.loads(forecast.attrs.get("remarks", "[]")))


def _epoch_s(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()
