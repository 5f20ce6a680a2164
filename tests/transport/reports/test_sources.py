"""Second opinions and instruments in tables and as plain objects."""

import json
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from shared.assessment import Assessment
from transport.reports.record import json_bytes
from transport.reports.sources import instrument_listing, opinion_listing, source_listings, source_records, sources_of

ZONE = ZoneInfo("Etc/GMT+1")


def test_a_row_for_each_second_opinion_over_what_both_know(several: Assessment) -> None:
    found = opinion_listing(several.disagreement, ZONE)
    assert found.columns == ("second opinion", "forecast", "opinion", "above", "known until", "differ", "governs")
    first, second = found.rows
    assert first[0] == "second.nc"
    assert first[3:] == ("-0.4", "Thu 12 22:00", "0 of 217", "0")
    assert second[4:] == ("Wed 11 04:00", "12 of 100", "31")
    high = several.window["gust_high_mps"].values[:30].max()
    assert float(second[1]) == pytest.approx(high, abs=0.1)
    assert float(second[2]) == pytest.approx(1.3 * high, abs=0.1)
    assert found.note.startswith("The worse counts: a second opinion can only close starts.")


def test_without_starts_none_are_counted(several: Assessment) -> None:
    names = ["starts_compared_count", "starts_differ_count", "starts_governed_count"]
    found = opinion_listing(several.disagreement.drop_vars(names), ZONE)
    assert found.columns[-1] == "known until"
    assert "Differ" not in found.note


def test_nothing_known_is_said(several: Assessment) -> None:
    dark = several.disagreement.assign(opinion_above_mps=several.disagreement["opinion_above_mps"] * np.nan)
    assert opinion_listing(dark, ZONE).rows[0] == ("second.nc", *("unknown",) * 4, "0 of 217", "0")
    silent = several.observations[0] * np.nan
    silent.attrs = several.observations[0].attrs | {"compared": 0}
    silent.attrs.pop("observed_average_mps")
    (row,) = instrument_listing([silent], ZONE).rows
    assert row == ("Shelf mast", "unknown", "unknown", "unknown", "3.2", "unknown", "NO")


def test_the_highest_gust_of_an_instrument_with_the_members_at_its_time(several: Assessment) -> None:
    (row,) = instrument_listing(several.observations, ZONE).rows
    assert row == ("Shelf mast", "6.0", "5.0 to 7.0", "3.6", "3.2", "Tue 10 05:00", "yes")


def test_nothing_to_show_without_other_sources(result: Assessment) -> None:
    assert [listing.rows for listing in source_listings(sources_of(result), ZONE)] == [(), ()]
    assert source_records(sources_of(result)) == {"opinions": [], "observations": [], "disagreement": {}}


def test_json_holds_every_step_and_explains_each_null(several: Assessment) -> None:
    found = json.loads(json_bytes(several))
    second = found["disagreement"]["opinions"][1]
    assert second["opinion_gust_high_mps"][:30] == several.disagreement["opinion_gust_high_mps"].values[1, :30].tolist()
    assert set(second["opinion_gust_high_mps"][30:]) == {None}
    assert found["observations"][0]["cases"][2]["observed_gust_mps"] is None
    fields = {one["field"] for one in found["nulls"]}
    assert {"disagreement.opinions[1].opinion_above_mps[30]", "observations[0].cases[2].observed_gust_mps"} <= fields


def test_a_refused_second_opinion_tells_why(several: Assessment) -> None:
    refused = several.opinions[0].assign_attrs(refusals='[{"gate": "age", "message": "second.nc: is old"}]')
    found = source_records(sources_of(replace(several, opinions=(refused,))))
    assert found["opinions"][0]["refusals"] == ["second.nc: is old"]
