"""The terminal."""

import io

import pytest
from rich.console import Console

from shared.assessment import Assessment
from transport.reports.cautions import CAUTION, CAUTION_HEADING
from transport.reports.listings import hour_listing, opening_listing, state_listing
from transport.reports.stretches import HOLD_NOTE
from transport.reports.text import Answer


def printed(result: Assessment, columns: int, **options: object) -> str:
    out = io.StringIO()
    Console(file=out, width=columns, **options).print(Answer(result))  # type: ignore[arg-type]
    return out.getvalue()


def test_verdict_comes_first(result: Assessment, closed: Assessment, undecided: Assessment) -> None:
    firsts = [printed(one, 80).splitlines()[0].split()[0] for one in (result, closed, undecided)]
    assert firsts == ["GO", "NO-GO", "UNDECIDED"]


@pytest.mark.parametrize("columns", [20, 40, 59, 60, 80, 120, 200])
def test_nothing_is_cut_at_any_width(result: Assessment, columns: int) -> None:
    text = printed(result, columns)
    assert "…" not in text
    joined = "".join(text.split())
    for listing in (
        opening_listing(result),
        hour_listing(result),
        state_listing(result).only("gust limit", "still air"),
    ):
        for row in listing.rows:
            assert all("".join(cell.split()) in joined for cell in row)


@pytest.mark.parametrize("columns", [60, 80, 100])
def test_no_line_is_wider_than_the_terminal(result: Assessment, columns: int) -> None:
    assert max(map(len, printed(result, columns).splitlines())) <= columns


def test_local_time_with_the_name_of_the_zone(result: Assessment) -> None:
    assert "all times are local: UTC-01:00 (Etc/GMT+1)" in printed(result, 100)
    assert "Tue 10 Mar 07:00" in printed(result, 100)


def test_windows_timetable_and_hold_points(result: Assessment, closed: Assessment) -> None:
    lines = printed(result, 80).splitlines()
    assert "Windows: start of the operation (stage 'Lift onto the trailer')" in lines
    row = next(line for line in lines if line.startswith("Lift onto the trailer"))
    assert row.split()[4:] == ["07:00-09:00", "10:50-12:50", "07:00-09:00", "07:50-09:50"]
    assert HOLD_NOTE in printed(result, 300)
    assert "Timetable of the start shown, no-go" in printed(closed, 200)


def test_reasons_and_what_would_open(closed: Assessment) -> None:
    text = printed(closed, 200)
    assert closed.reasons[0] in text
    assert closed.would_open[0] in text
    assert "No window" in text


def test_caution_and_unread_numbers(result: Assessment) -> None:
    text = printed(result, 200)
    assert all(line in text for line in (CAUTION_HEADING, *CAUTION))
    assert f"{len(result.provenance.unread)} numbers used are not confirmed by reading their source" in text
    assert all(one.field in text for one in result.provenance.defaults)


def test_text_of_the_user_is_no_markup_and_no_command(hostile: Assessment) -> None:
    text = printed(hostile, 200, force_terminal=True, color_system="truecolor")
    assert "[red]loud[/red]" in text
    assert "\x1b[2J" not in text
    assert "\u202e" not in text


def test_the_word_safe_is_never_printed(result: Assessment, closed: Assessment) -> None:
    assert "safe" not in (printed(result, 100) + printed(closed, 100)).lower().replace("safety officer", "")
