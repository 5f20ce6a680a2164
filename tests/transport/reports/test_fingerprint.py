"""The mark on every page."""

from dataclasses import replace

from shared.assessment import Assessment
from shared.provenance import InputFile
from transport.reports.fingerprint import fingerprint


def test_it_changes_with_inputs_options_and_clock(result: Assessment) -> None:
    facts = result.provenance
    others = (
        replace(facts, inputs=(InputFile("move.toml", "0" * 64), *facts.inputs[1:])),
        replace(facts, options={"rule": "alpha"}),
        replace(facts, as_of=facts.as_of.replace(hour=1)),
    )
    marks = {fingerprint(replace(result, provenance=other)) for other in (facts, *others)}
    assert len(marks) == 4
    assert all(len(mark) == 12 for mark in marks)
