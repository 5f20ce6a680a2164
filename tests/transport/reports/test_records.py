"""Where the result comes from."""

from shared.assessment import Assessment
from transport.reports import records


def test_inputs_with_their_hashes(result: Assessment) -> None:
    assert records.input_listing(result).rows[0] == ("move.toml", result.provenance.inputs[0].sha256)


def test_unread_numbers_with_status_in_words(result: Assessment) -> None:
    assert records.unread_listing(result).rows[0][-1] == "from memory"
    assert records.unread_listing(result).rows[1][-1] == "common practice"


def test_defaults_and_run(result: Assessment) -> None:
    assert records.default_listing(result).rows[0] == (
        "cover.areal_mass_kg_per_m2",
        "1.0",
        "coated polyester of usual weight",
    )
    assert ("as of", "2026-03-09 18:00:00 UTC") in records.option_listing(result).rows
