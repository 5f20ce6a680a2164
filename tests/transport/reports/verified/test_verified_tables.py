"""The tables of a verification hold the numbers of its Dataset, misses first and accuracy last."""

import numpy as np

from shared.verification import Verification
from transport.reports.verified_lists import left_out_listing, missed_listing
from transport.reports.verified_tables import (
    bin_listing,
    event_listing,
    general_listing,
    headline_listing,
    lead_listing,
    sector_listing,
    stake_listing,
    value_listing,
)
from transport.reports.verified_text import chosen, first_threshold, headlines, ratio


def test_the_headline_counts_events_misses_and_spells(result: Verification) -> None:
    table = headline_listing(result)
    assert table.columns[:4] == ("above", "forecast", "events", "MISSED")
    one = chosen(result.scores, threshold=11.0, forecast_kind="raw")
    row = next(row for row in table.rows if row[:2] == ("11.0 m/s", "raw"))
    names = ("event_count", "miss_count", "event_spell_count", "missed_spell_count")
    assert list(row[2:6]) == [f"{int(one[name])}" for name in names]
    assert int(one["miss_count"]) > 0


def test_the_limit_of_the_move_is_shown_first(result: Verification) -> None:
    assert first_threshold(result) == 11.0
    assert "11.0 m/s" in lead_listing(result).title
    stated = Verification(result.move, result.scores, np.nan, "", (), result.provenance)
    assert first_threshold(stated) == 8.0


def test_sentences_tell_the_bound_and_whose_limit_it_is(result: Verification) -> None:
    raw, calibrated = headlines(result, 11.0)
    assert "events above 11.0 m/s (the least limit of the move) missed by the raw forecast" in raw
    assert "of such spells may hold a miss (95% sure)." in raw
    assert "missed by the calibrated forecast" in calibrated
    assert "(a stated threshold)" in next(iter(headlines(result, 8.0)))


def test_nothing_observed_is_not_told_as_nothing_missed(few: Verification) -> None:
    (line,) = headlines(few, 11.0)
    assert (
        line
        == "Above 11.0 m/s (the least limit of the move) nothing was observed: nothing is known about misses there."
    )


def test_a_forecast_that_always_warns_proves_nothing(result: Verification) -> None:
    """No miss, and no case without a warning: whoever never goes misses nothing."""
    scores = result.scores.copy(deep=True)
    for name in ("miss_count", "correct_negative_count"):
        scores[name] = scores[name] * 0.0
    always = Verification(result.move, scores, 11.0, "", (), result.provenance)
    for line in headlines(always, 11.0):
        assert line.startswith("Every case was warned of by the")
        assert line.endswith("was missed says nothing.")


def test_accuracy_stands_last_and_misses_before_every_score(result: Verification) -> None:
    words = [row[0] for row in event_listing(result, 11.0).rows]
    assert words[-1] == "right forecasts (accuracy)"
    assert words.index("missed") < min(words.index(word) for word in words if "share" in word)


def test_kinds_stand_side_by_side(result: Verification, raw_only: Verification) -> None:
    assert event_listing(result, 11.0).columns == ("what", "raw", "calibrated")
    assert general_listing(raw_only).columns == ("score", "raw")
    assert lead_listing(raw_only).columns == ("lead", "pairs", "events", "missed raw", "in vain raw", "CRPS raw")


def test_every_row_has_a_cell_for_every_column(result: Verification, raw_only: Verification) -> None:
    for made in (result, raw_only):
        tables = (lead_listing, sector_listing, bin_listing, value_listing, stake_listing, general_listing)
        for table in (one(made) for one in tables):
            assert all(len(row) == len(table.columns) for row in table.rows), table.title


def test_leads_add_up(result: Verification) -> None:
    rows = lead_listing(result).rows
    assert rows[0][0] == "all leads"
    assert sum(int(row[1]) for row in rows[1:]) == int(rows[0][1])
    assert sum(int(row[3]) for row in rows[1:]) == int(rows[0][3])


def test_the_stake_is_in_the_currency_of_the_move(result: Verification, raw_only: Verification) -> None:
    assert stake_listing(result).title == "Mean expense of a case, EUR"
    assert len(stake_listing(result).rows) == 4
    assert stake_listing(raw_only).rows == ()


def test_missed_events_are_listed_with_their_year_and_none_is_lost_silently(result: Verification) -> None:
    total = result.scores.sizes["missed"]
    assert len(missed_listing(result, total).rows) == total > 3
    assert missed_listing(result, total).note == ""
    short = missed_listing(result, 3)
    assert short.note == f"{total - 3} more, with lower gusts, stand in verification.json."
    highest = max(result.scores["missed_observed_mps"].values)
    assert any(float(row[6].split()[0]) >= highest for row in short.rows)
    assert "2025" in short.rows[0][2] or "2026" in short.rows[0][2]


def test_a_forecast_is_rounded_down_and_an_observation_up(result: Verification) -> None:
    for row in missed_listing(result, 1000).rows:
        threshold, highest, observed = (float(row[column].split()[0]) for column in (1, 5, 6))
        assert highest <= threshold < observed


def test_what_could_not_be_scored_is_told(result: Verification) -> None:
    rows = left_out_listing(result).rows
    assert {row[0] for row in rows} == {"the observed gust is not known", "not every member is known"}
    assert sum(int(row[3]) for row in rows) == 5


def test_too_few_pairs_have_no_score(few: Verification) -> None:
    assert all(cell == "-" for row in general_listing(few).rows for cell in row[1:])
    assert general_listing(few).note == "Too few pairs: 20 can be scored, at least 30 are needed. No score is told."


def test_an_unknown_score_is_a_dash_and_a_trace_of_rounding_nothing() -> None:
    assert ratio(np.nan) == "-"
    assert ratio(-3e-33) == "0"
    assert ratio(0.88888) == "0.889"
