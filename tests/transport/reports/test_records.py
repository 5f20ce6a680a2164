"""Where the result comes from."""

from dataclasses import replace

from shared.assessment import Assessment
from shared.tables import Used
from transport.reports import records


def test_inputs_with_their_hashes(result: Assessment) -> None:
    assert records.input_listing(result).rows[0] == ("move.toml", result.provenance.inputs[0].sha256)


def test_unread_numbers_with_status_in_words(result: Assessment) -> None:
    assert records.unread_listing(result).rows[0][-1] == "from memory"
    assert records.unread_listing(result).rows[1][-1] == "common practice"


def test_numbers_that_only_set_the_program_stand_last(result: Assessment) -> None:
    names = ("weather_feed_time_s", "weather_feed_size_MB", "weather_negligible_mps", "ground_types")
    used = tuple(Used(name, "1", "1", "common practice, no source", "practice") for name in names)
    facts = replace(result.provenance, unread=used)
    listed = [row[0] for row in records.unread_listing(replace(result, provenance=facts)).rows]
    assert listed == ["ground_types", *names[:3]]


def test_numbers_of_the_securing_stand_first(result: Assessment) -> None:
    names = ("cover_a", "load_cases_b", "securing_c")
    used = tuple(Used(name, "1", "1", "somewhere", "memory") for name in names)
    facts = replace(result.provenance, unread=used)
    listed = [row[0] for row in records.unread_listing(replace(result, provenance=facts)).rows]
    assert listed == ["securing_c", "load_cases_b", "cover_a"]


def test_a_unit_is_told_once(result: Assessment) -> None:
    units = {"speed_mps": "m s-1", "rate_mps2": "m s-2", "density_kg_per_m3": "kg m-3", "strain_per_K": "K-1"}
    units |= {"heat_J_per_kgK": "J/(kg K)", "size_MB": "MB", "gap_m": "m", "scale_m": "s/m^0.2", "part": "1"}
    used = tuple(Used(name, "2", measure, "somewhere", "memory") for name, measure in units.items())
    facts = replace(result.provenance, unread=used)
    told = {name: value for name, value, _ in records.unread_words(replace(result, provenance=facts))}
    assert told == dict.fromkeys(units, "2") | {"scale_m": "2 s/m^0.2"}


def test_defaults_and_run(result: Assessment) -> None:
    assert records.default_listing(result).rows[0] == (
        "cover.areal_mass_kg_per_m2",
        "1.0",
        "coated polyester of usual weight",
    )
    assert ("as of", "2026-03-09 18:00:00 UTC") in records.option_listing(result).rows


def test_tables_that_were_used_are_printed_with_their_rows(result: Assessment) -> None:
    used = (Used("adhesion", "table", "", "handbooks", "memory"), Used("gone", "table", "", "nowhere", "own"))
    facts = replace(result.provenance, unread=(*used, Used("figure", "1", "", "handbooks", "memory")))
    adhesion, gone = records.table_listings(replace(result, provenance=facts))
    assert adhesion.columns == ("surface", "dry ratio", "wet ratio")
    assert adhesion.note == "Source: handbooks. Status: from memory."
    assert gone.rows == (("nowhere",),)
