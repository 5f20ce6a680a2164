"""The main job: the whole move, its checks and tomorrow's weather, decided for every start."""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from datetime import UTC, datetime
from functools import partial
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
from transport.window.answered import Question, answered
from transport.window.band import band
from transport.window.checks import checks_of, road_of
from transport.window.disagreement import decided_differently, disagreement, told
from transport.window.doubts import doubts
from transport.window.doubts import faults as faults_of_slips
from transport.window.feeds import feeds_of
from transport.window.ground import ground_of, relief_edges_m
from transport.window.inputs import Move
from transport.window.joint import Joint, joined
from transport.window.openings import openings
from transport.window.operation import clocks_of, finish_s, start_times_s, steps_of
from transport.window.orders import orders
from transport.window.outlook import Outlook, learned_of, outlook
from transport.window.proposal_inputs import available_faults
from transport.window.proposals import proposals
from transport.window.reasons import conditional, members_lacking, reasons, refusals, unchecked, would_open
from transport.window.rose import cell_edges_m, cells, rose
from transport.window.schedule import Passage, driving_time_s, passages, timetable, waiting_s

__all__ = [
    "Plan",
    "assess",
    "calculation",
    "move_of",
    "plan_of",
    "proposed",
    "provenance_of",
    "remarks_of",
    "weather_of",
]


class Plan(NamedTuple):
    """The move on its road: cells and stays."""

    move: Move
    folder: Path
    road: xr.Dataset
    edges_m: Array
    stays: tuple[Passage, ...]


def assess(path: Path, *, as_of: datetime, proposing: bool = False, offline: bool = False) -> Assessment:
    """Answer whether, when and how the move of a file can go, as known at one moment.

    proposing: search for what would close a securing that does not hold, which takes some tens of seconds.
    offline: no feed is fetched, the copies from before are taken.
    The feeds are read, each in a process of its own, while the checks are calculated.
    Errors: InputError for anything the inputs lack or contradict; what is only not known gives undecided.
    """
    with ledger() as used, ThreadPoolExecutor(max_workers=1) as aside:
        plan = plan_of(path)
        feeds = aside.submit(copy_context().run, partial(feeds_of, plan.move, plan.folder, plan.road, offline=offline))
        _measured_by(plan.move.cover.tension_measured_at, "cover.tension_measured_at", as_of)
        _measured_by(plan.move.mirror.temperature_measured_at, "mirror.temperature_measured_at", as_of)
        checks = calculation(plan)
        full = rose(check for check in checks.values() if "gust_limit_mps" in check)
        places = cells(full, plan.edges_m)
        ahead = weather_of(plan, feeds.result(), as_of)
        forecast = ahead.forecast
        given, shown, differing = _decided(plan, checks["cover"], places, ahead, as_of)
        offered = proposed(plan, checks) if proposing else ()
    shut = [one for one in ahead.opinions if refusals(one)]
    doubted = tuple(message for one in shut for message in refusals(one))
    refused = (*refusals(forecast), *doubted, *members_lacking(plan.move.decision, forecast))
    window = _undecided(given.table(finish_s(plan.stays)), refusals(forecast), shut).merge(shown)
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
        remarks=(*remarks_of(plan.move, as_of), *ahead.remarks, *told(differing)),
        proposals=offered,
        opinions=ahead.opinions,
        observations=ahead.observations,
        disagreement=differing,
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


def weather_of(plan: Plan, feeds: Sequence[xr.Dataset], as_of: datetime) -> Outlook:
    """The weather at the load over the cells of the plan, by every source."""
    ground = ground_of(plan.move, plan.folder, float(plan.road["station"][-1]))
    learned, horizon_s = learned_of(plan.move, plan.folder), finish_s(plan.stays)
    return outlook(
        plan.move, feeds, plan.road, plan.edges_m, as_of=as_of, horizon_s=horizon_s, ground=ground, learned=learned
    )


def provenance_of(
    path: Path, move: Move, used: set[Used], as_of: datetime, files: Sequence[str] | None = None
) -> Provenance:
    """Version, clock, hashes of every input, rule of the decision, published numbers, defaults taken.

    files: what was read besides the move and its survey; by default its feeds, of which one with a url need not have
    been fetched yet where no weather is read.
    """
    feeds = (feed for feed in move.weather.feed if feed.url is None or (path.parent / feed.path).exists())
    read = [feed.path for feed in feeds] if files is None else files
    names = [path.name, move.route.survey, *read]
    decision = move.decision.model_dump(mode="json", exclude_none=True)
    names += list(dict.fromkeys(relief.measured for relief in move.site.relief if relief.measured))
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
    plan: Plan, cover: xr.Dataset, places: xr.Dataset, ahead: Outlook, as_of: datetime
) -> tuple[Joint, xr.Dataset, xr.Dataset | None]:
    """The decision of all sources, gust and limit over time, and how the second opinions differ, if there are any."""
    move, steps = plan.move, steps_of(ahead.forecast)
    factor = move.decision.alpha_ratio if move.decision.alpha_ratio is not None else 1.0
    start_s = start_times_s(steps, as_of.timestamp(), finish_s(plan.stays), move.decision.start_every_min)
    tension = _epoch_s(cover.attrs["tension_valid_until"]), 3600.0 * move.cover.tension_valid_h
    clocks = tuple(clocks_of(plan.stays, start_s, plan.road, tension))
    wet = bool(cover.attrs["wet_is_closed"])
    question = Question(plan.stays, places, clocks, start_s, move.limits, move.decision, wet, factor)
    first, wind = answered(question, ahead.forecast)
    seconds = [answered(question, one)[0] for one in ahead.opinions]
    given = joined(first, [answer for answer, one in zip(seconds, ahead.opinions, strict=True) if not refusals(one)])
    drive = next(stay for stay in plan.stays if stay.stage.kind == "drive")
    shown = band(given, drive, wind, ahead.forecast["time"])
    if not seconds:
        return given, shown, None
    differing = disagreement(ahead.forecast, ahead.opinions, float(shown["band_station_m"][0]))
    return given, shown, differing.merge(decided_differently(given, first, seconds))


def _measured_by(moment: datetime | None, field: str, as_of: datetime) -> None:
    """Nothing can have been measured after the moment whose knowledge counts."""
    if moment is not None and not moment <= as_of:
        message = f"is {moment.isoformat()}, after {as_of.isoformat()}, the moment that counts; correct it or --as-of"
        raise InputError(Fault("", field, message))


def _undecided(window: xr.Dataset, refused: tuple[str, ...], shut: Sequence[xr.Dataset]) -> xr.Dataset:
    """A forecast that was refused decides nothing, not even a no-go; a second opinion that was refused lets none go.

    The second opinion that keeps a start from going is its governing feed.
    """
    verdict, feed = window["verdict"].values, window["governing_feed"].values
    if shut and not refused:
        feed = np.where(verdict == "go", str(shut[0].attrs["file"]), feed)
    if refused or shut:
        verdict = np.where((verdict == "go") | bool(refused), "undecided", verdict)
    told = {"verdict": verdict, "governing_feed": feed}
    return window.assign({name: ("start", values, window[name].attrs) for name, values in told.items()})


def _verdict(window: xr.Dataset) -> str:
    found = set(window["verdict"].values.tolist())
    return next((verdict for verdict in ("go", "undecided") if verdict in found), "no-go")


def _epoch_s(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()
