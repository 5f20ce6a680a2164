"""One proposal with its numbers, and the search that estimates many changes and assesses the best few in full."""

from collections.abc import Iterable
from dataclasses import dataclass, field, fields, replace
from typing import Any

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.errors import InputError
from transport.load_cases import statutory
from transport.securing.inputs import Chain, Contact, arrangement_faults
from transport.window.checks import securing_of, seismic_of, stopping_of, trailer_of
from transport.window.inputs import Move
from transport.window.proposal_chains import Candidate
from transport.window.proposal_screen import Known, Scheme, known_pushes, scaled, use_ratio, windy
from transport.window.proposal_speed import exposed_h, slowed

__all__ = ["HELD_WIND", "Proposal", "Search", "held_wind", "unknown_where"]

HELD_WIND = "held wind"
FINE_COUNT = 5
FULL_COUNT = 2
MOST_FULL_COUNT = 7
SIGNED = "to be confirmed by the one who signs"


@dataclass(frozen=True)
class Proposal:
    """One change, or the nearest miss of its kind, with use in still air and gust limit of each load case.

    after_*: by the full assessment of the changed move; empty where nothing was assessed. confirmed: every load case is
    met after the change. screened_count: how many of the kind were estimated; assessed_count: how many changes of all
    kinds had been assessed in full by then. chains, contacts: those that are new or changed.
    """

    kind: str
    change: str
    confirmed: bool
    pieces_count: int
    added_lc_kN: float
    states: tuple[str, ...]
    before_ratio: tuple[float, ...]
    after_ratio: tuple[float, ...]
    before_gust_mps: tuple[float, ...]
    after_gust_mps: tuple[float, ...]
    governed_by: str
    clause: str
    screened_count: int
    assessed_count: int
    chains: tuple[Chain, ...] = ()
    contacts: tuple[Contact, ...] = ()
    speed_mps: float | None = None
    remark: str = SIGNED

    @property
    def worst_ratio(self) -> float:
        """Largest use after the change, infinite where it is not known."""
        worst = max(self.after_ratio, default=np.inf)
        return float(worst) if np.isfinite(self.after_ratio).all() else float("inf")

    def plain(self) -> dict[str, Any]:
        """The proposal as one plain object, new and changed chains and contacts as their tables."""
        found = {one.name: getattr(self, one.name) for one in fields(self)}
        tables = {
            name: [one.model_dump(mode="json", exclude_none=True) for one in found[name]]
            for name in ("chains", "contacts")
        }
        return {name: list(value) if isinstance(value, tuple) else value for name, value in found.items()} | tables


@dataclass
class Search:
    """The move as it stands, the worst pushes learnt so far, and how many changes were assessed in full."""

    move: Move
    road: xr.Dataset
    checks: dict[str, xr.Dataset]
    exposure_h: float
    wanted_mps: float | None
    known: tuple[Known, ...] = ()
    first: tuple[Known, ...] = ()
    assessed_count: int = 0
    present: Scheme = field(init=False)

    def __post_init__(self) -> None:
        self.present = Scheme(self.move.chain, self.move.contact)

    def met(self, securing: xr.Dataset) -> bool:
        """Whether every load case is met everywhere in still air and, if wanted, in the gust; unknown is not met."""
        use, gust_mps = _numbers(securing)
        least_mps = np.nextafter(0.0, 1.0) if self.wanted_mps is None else self.wanted_mps
        return bool((use <= 1.0).all() and (gust_mps >= least_mps).all())

    def learn(self, securing: xr.Dataset, scheme: Scheme) -> None:
        """Keep the worst pushes of an assessment, with the gust that is wanted."""
        still = [scaled(one, self.move, scheme) for one in known_pushes(securing)]
        self.first = self.first or tuple(windy(one, self.move, self.wanted_mps) for one in still)
        other = (self._mirrored(one, scheme) for one in still if one.state == statutory.NAME and one.left_kN != 0.0)
        self.known += tuple(windy(one, self.move, self.wanted_mps) for one in (*still, *other))

    def _mirrored(self, known: Known, scheme: Scheme) -> Known:
        """The statutory push to the other side, which every code asks for as well, with its estimate."""
        other = replace(known, left_kN=-known.left_kN)
        return replace(other, use_ratio=use_ratio(other, self.move, scheme, whole=False))

    def guess(self, candidate: Candidate, *, whole: bool) -> float:
        """The largest estimated use over the known pushes."""
        return max(_unknown_last(use_ratio(one, self.move, candidate.scheme, whole=whole)) for one in self.known)

    def least(
        self, kind: str, candidates: Iterable[Candidate], *, screen: bool = True, missing: bool = True
    ) -> Proposal:
        """The least of the candidates that the full assessment confirms, or the nearest miss.

        Without screen all are assessed, without missing none that the estimate refuses.
        """
        every = list(candidates)
        closest = (
            _ordered((self.guess(one, whole=False), one) for one in every) if screen else [(1.0, c) for c in every]
        )
        passed = [pair for pair in closest if pair[0] <= 1.0][:FINE_COUNT]
        fine = _ordered((self.guess(one, whole=True), one) for _, one in passed) if screen else passed
        chosen = [one for guess, one in fine if guess <= 1.0][: FULL_COUNT if screen else None]
        if missing and not chosen:
            chosen = [one for _, one in sorted(fine or closest, key=lambda pair: pair[0])[:1]]
        missed: Proposal | None = None
        for one in chosen:
            found = self._assessed(one, len(every))
            if found.confirmed:
                return found
            missed = found if missed is None or found.worst_ratio < missed.worst_ratio else missed
        return missed or self.nothing(kind, "none of those tried is enough by the estimate", len(every))

    def nothing(self, kind: str, words: str, screened_count: int = 0) -> Proposal:
        """That nothing of a kind was found, with the reason."""
        use, gust_mps = _numbers(self.checks["securing"])
        states = tuple(map(str, self.checks["securing"]["limit_state"].values))
        before = (tuple(use.tolist()), (), tuple(gust_mps.tolist()), ())
        return Proposal(kind, words, False, 0, 0.0, states, *before, "", "", screened_count, 0)

    def _assessed(self, candidate: Candidate, screened_count: int) -> Proposal:
        """The full assessment of a change, or why there is none."""
        if self.assessed_count >= MOST_FULL_COUNT:
            words = f"not assessed, {MOST_FULL_COUNT} changes were: {candidate.change}"
            return self.nothing(candidate.kind, words, screened_count)
        self.assessed_count += 1
        try:
            securing = self._securing(candidate)
        except InputError as problem:
            return self.nothing(candidate.kind, f"{candidate.change}: refused, {problem.faults[0]}", screened_count)
        confirmed = self.met(securing)
        if not confirmed and candidate.speed_mps is None:
            self.learn(securing, candidate.scheme)
        return self._told(candidate, securing, confirmed, screened_count)

    def _securing(self, candidate: Candidate) -> xr.Dataset:
        scheme, checks = candidate.scheme, self.checks
        move = self.move.model_copy(update={"chain": scheme.chains, "contact": scheme.contacts})
        deck = {"deck_length_m": move.trailer.deck_length_m, "deck_width_m": move.trailer.deck_width_m}
        if faults := arrangement_faults(move.unit, move.chain, move.contact, move.anchor, **deck):
            raise InputError.of(faults)
        if candidate.speed_mps is None:
            return securing_of(move, self.road, checks["stopping"], checks["trailer"], checks["seismic"])
        road = slowed(self.road, candidate.speed_mps)
        stop, quake = stopping_of(move, road), seismic_of(move, road, exposed_h(move, self.road, road, self.exposure_h))
        return securing_of(move, road, stop, trailer_of(move, road, stop, quake), quake)

    def _told(self, candidate: Candidate, securing: xr.Dataset, confirmed: bool, screened_count: int) -> Proposal:
        use, gust_mps = _numbers(securing)
        before, before_mps = _numbers(self.checks["securing"])
        worst = int(np.argmax(np.where(np.isnan(use), np.inf, use)))
        change = candidate.change if confirmed else f"not enough, the nearest miss: {candidate.change}"
        return Proposal(
            kind=candidate.kind,
            change=change,
            confirmed=confirmed and bool(use[int(np.argmax(before))] <= before.max()),
            pieces_count=candidate.pieces_count,
            added_lc_kN=candidate.lc_kN,
            states=tuple(map(str, securing["limit_state"].values)),
            before_ratio=tuple(before.tolist()),
            after_ratio=tuple(use.tolist()),
            before_gust_mps=tuple(before_mps.tolist()),
            after_gust_mps=tuple(gust_mps.tolist()),
            governed_by=str(securing["limit_state"].values[worst]),
            clause=str(securing["clause"].values[worst]),
            screened_count=screened_count,
            assessed_count=self.assessed_count,
            chains=tuple(one for one in candidate.scheme.chains if one not in self.move.chain),
            contacts=tuple(one for one in candidate.scheme.contacts if one not in self.move.contact),
            speed_mps=candidate.speed_mps,
        )


def held_wind(search: Search) -> Proposal:
    """The gust below which the scheme as it stands holds every load case, everywhere and from any direction.

    Source: load_cases.assess (practice).
    """
    use, gust_mps = _numbers(search.checks["securing"])
    least_mps, words = float(np.min(gust_mps)), search.nothing(HELD_WIND, "closed in still air: no wind is held")
    if not ((use <= 1.0).all() and least_mps > 0.0):
        return words
    worst = int(np.argmin(gust_mps))
    change = f"no change of the scheme: go only while the gust at the load stays below {_down(least_mps)} m/s"
    securing = search.checks["securing"]
    told = {"governed_by": words.states[worst], "clause": str(securing["clause"].values[worst])}
    both = {"after_ratio": words.before_ratio, "after_gust_mps": words.before_gust_mps}
    return Proposal(**(words.__dict__ | {"change": change, "confirmed": True} | told | both))


def unknown_where(securing: xr.Dataset) -> str | None:
    """Where a load case is not known, in words; a change of the scheme cannot be shown to close that."""
    use = securing["utilisation_ratio"].transpose("limit_state", "station").values
    limit = securing["gust_limit_mps"].transpose("limit_state", "station", "wind_from").values
    lost = np.isnan(use) | np.isnan(limit).any(axis=-1)
    if not lost.any():
        return None
    rows = np.flatnonzero(lost.any(axis=0))
    where = f"{len(rows)} of {lost.shape[1]} stations, the first at {float(securing['station'].values[rows[0]]):.0f} m"
    return f"not known at {where}; no change of the securing can be shown to close what is not known"


def _numbers(securing: xr.Dataset) -> tuple[Array, Array]:
    """Largest use in still air and least gust limit of each load case, (states,)."""
    use = np.max(securing["utilisation_ratio"].transpose("limit_state", "station").values, axis=1)
    limit = securing["gust_limit_mps"].transpose("limit_state", "station", "wind_from").values
    return np.asarray(use, dtype=float), np.asarray(np.min(limit, axis=(1, 2)), dtype=float)


def _ordered(found: Iterable[tuple[float, Candidate]]) -> list[tuple[float, Candidate]]:
    """Fewest pieces, then least LC, then least estimated use, then by what it says."""
    return sorted(found, key=lambda pair: (pair[1].pieces_count, pair[1].lc_kN, pair[0], pair[1].change))


def _unknown_last(use: float) -> float:
    return float("inf") if np.isnan(use) else use


def _down(value: float) -> str:
    return f"{np.floor(10.0 * value) / 10.0:.1f}"
