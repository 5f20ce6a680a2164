"""The securing in short, for those who ask for it alone: verdicts, codes, resistance, losses, movement, findings."""

from collections.abc import Mapping, Sequence
from typing import Any

import xarray as xr

from shared.provenance import Provenance
from transport.reports.capacities import code_listings, four_ways, strictest
from transport.reports.chain_schedule import chain_schedule
from transport.reports.extracts import Extract, check_extract
from transport.reports.lashing import lacking, told
from transport.reports.listings import Listing, holds
from transport.reports.notation import use
from transport.reports.numbers import numbers_of
from transport.reports.proofs import (
    group_listing,
    loss_listing,
    worst_loss,
)
from transport.reports.proposed import proposal_sentences
from transport.reports.slides import code_slide_listing, movement_listing, slide_sentence

__all__ = ["securing_extract"]

NO = "NO"
TITLE = "Chains, trailer, stopping, earthquake"
PARTS = ("securing", "trailer", "stopping")


def securing_extract(
    checks: Mapping[str, xr.Dataset],
    road: xr.Dataset,
    move: Mapping[str, Any],
    facts: Provenance,
    proposals: Sequence[Mapping[str, Any]] = (),
    remarks: Sequence[str] = (),
) -> Extract:
    """The part on the terminal in short; its record holds every number of the calculation sheet."""
    limits = check_extract(TITLE, [checks[name] for name in PARTS], road)
    check, stand = checks["securing"], checks["trailer"]
    said = [str(checks["seismic"].attrs[name]) for name in ("level_sentence", "chance_sentence")]
    listings = (
        _verdicts(limits),
        *code_listings(check),
        four_ways(check),
        loss_listing(check),
        movement_listing(check),
        code_slide_listing(check),
        group_listing(stand),
        *limits.listings[1:],
    )
    missing = lacking(check, "code_name", "redundancy_ratio", "movement_m", "held_way")
    known = (*(() if missing else (strictest(check),)), worst_loss(check), slide_sentence(check))
    findings = (line for name in PARTS for line in told(checks[name]))
    first, last = (*_failing(limits), *proposal_sentences(proposals)), (*missing, *_unread(facts), *limits.sentences)
    sentences = (*first, *said, *known, *findings, *remarks, *last)
    record = limits.record | {
        "verdict": _verdict(limits),
        "earthquake": said,
        "checks": {name: numbers_of(one) for name, one in sorted(checks.items()) if name in (*PARTS, "seismic")},
        "chain_schedule": [_rows(table) for table in chain_schedule(move, check)],
        "inputs": [{"path": file.path, "sha256": file.sha256} for file in facts.inputs],
        "unread_numbers": [used._asdict() for used in facts.unread],
        "missing": list(missing),
        "proposals": [dict(one) for one in proposals],
        "remarks": list(remarks),
    }
    return Extract(TITLE, listings, sentences, record)


def _verdicts(limits: Extract) -> Listing:
    """The limit states with a word on whether each holds."""
    table, rows = limits.listings[0], limits.record["limit_states"]
    words = [holds(row["still_air_ratio"], row["gust_limit_mps"]) for row in rows]
    cells = tuple((name, word, *rest) for (name, *rest), word in zip(table.rows, words, strict=True))
    columns = (table.columns[0], "holds", *table.columns[1:])
    return Listing("Verdict by load case and limit state", columns, cells, frozenset(range(1, 6)))


def _words(limits: Extract) -> list[str]:
    return [holds(row["still_air_ratio"], row["gust_limit_mps"]) for row in limits.record["limit_states"]]


def _verdict(limits: Extract) -> str:
    """no-go where a limit state does not hold in any wind, undecided where one is not known; else nothing to decide."""
    words = _words(limits)
    if NO in words:
        return "no-go"
    return "nothing to decide" if set(words) <= {"yes"} else "undecided"


def _failing(limits: Extract) -> tuple[str, ...]:
    """What does not hold, in one sentence before all others."""
    pairs = zip(limits.record["limit_states"], _words(limits), strict=True)
    failed = [f"{row['name']} {use(row['still_air_ratio'])}" for row, word in pairs if word == NO]
    return (f"DOES NOT HOLD, utilisation in still air: {', '.join(failed)}",) if failed else ()


def _rows(table: Listing) -> dict[str, Any]:
    return {"title": table.title, "rows": [dict(zip(table.columns, row, strict=True)) for row in table.rows]}


def _unread(facts: Provenance) -> tuple[str, ...]:
    said = "numbers used are not confirmed by reading their source; --json and the calculation sheet list them"
    return (f"{len(facts.unread)} {said}",)
