"""Calculation sheet and briefing, read back with an independent PDF library."""

import io
import json
import logging
from collections.abc import Callable
from dataclasses import replace

import pytest
from pypdf import PdfReader

from shared.assessment import Assessment
from shared.calculation import lines_of
from shared.tables import Used
from transport.reports.briefing import briefing
from transport.reports.calculation import calculation
from transport.reports.cautions import CAUTION, CAUTION_HEADING
from transport.reports.fingerprint import fingerprint
from transport.reports.rules import EMERGENCIES
from transport.reports.stretches import HOLD_NOTE

PAPERS = (calculation, briefing)
Paper = Callable[[Assessment], bytes]
ADHESION = Used("adhesion", "table", "", "tyre adhesion of heavy vehicles", "memory")


def text_of(content: bytes) -> str:
    """All text, spaces evened out."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).split())


def text_of_page(content: bytes, number: int) -> str:
    """All text of one page, spaces evened out."""
    return " ".join(PdfReader(io.BytesIO(content)).pages[number].extract_text().split())


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("paper", PAPERS)
def test_same_bytes_twice(paper: Paper, result: Assessment, rebuilt: Callable[[], Assessment]) -> None:
    assert paper(result) == paper(rebuilt())


@pytest.mark.parametrize("paper", PAPERS)
def test_all_fonts_are_embedded(paper: Paper, result: Assessment) -> None:
    for page in PdfReader(io.BytesIO(paper(result))).pages:
        for font in page["/Resources"]["/Font"].values():
            descendant = font.get_object().get("/DescendantFonts", [font])[0].get_object()
            assert {"/FontFile2", "/FontFile3"} & set(descendant["/FontDescriptor"].get_object())


@pytest.mark.parametrize("paper", PAPERS)
def test_tagged_titled_a4_and_numbered(paper: Paper, result: Assessment) -> None:
    reader = PdfReader(io.BytesIO(paper(result)))
    count = len(reader.pages)
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Primary mirror to the coating hall"
    for number, page in enumerate(reader.pages, start=1):
        # ISO 216: A4 is 210 mm by 297 mm; 1 pt is 1/72 inch.
        assert [round(float(side) * 25.4 / 72) for side in page.mediabox[2:]] == [210, 297]
        assert f"page {number} of {count}" in page.extract_text()
        assert fingerprint(result) in page.extract_text()


@pytest.mark.parametrize("paper", PAPERS)
def test_caution_stands_on_each_paper(paper: Paper, result: Assessment) -> None:
    text = text_of(paper(result))
    assert all(line in text for line in (CAUTION_HEADING, *CAUTION))


@pytest.mark.parametrize("paper", PAPERS)
def test_text_of_the_user_is_printed_as_it_is(
    paper: Paper, hostile: Assessment, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.WARNING):
        text = squeezed(text_of(paper(hostile)))
    assert squeezed('</script><img src=x onerror=alert(1)> #eval("1+1") $x^2$ [red]loud[/red]') in text
    assert "Καθρέφτης,zwierciadłogłówneęąśż,U+4E3BU+93E1" in text
    assert "U+4E3B, U+93E1" in caplog.text
    assert "\x1b" not in text


SECTIONS = (
    "1 Verdict by load case and limit state",
    "Numbers not confirmed by reading",
    "2 Inputs",
    "3 Unit and contacts",
    "4 Chain schedule",
    "5 Drawings to scale",
    "6 What the securing holds, model beside model",
    "7 Equilibrium under the worst push",
    "8 Movement",
    "9 Redundancy",
    "10 Where the limits are lowest",
    "11 Checks",
    "12 Re-tension and inspection record",
    "13 Assumptions and defaults",
    "14 Reasons and what would open a window",
    "15 Checked and signed",
    "Annex A: numbers not confirmed by reading, with their sources",
    "Annex B: published tables that were used",
)


def test_sections_stand_in_the_order_of_a_sheet_that_is_signed(result: Assessment) -> None:
    facts = replace(result.provenance, unread=(*result.provenance.unread, ADHESION))
    text = text_of(calculation(replace(result, provenance=facts)))
    places = [text.index(title) for title in SECTIONS]
    assert places == sorted(places)


def test_cover_page_holds_verdicts_strictest_code_and_unread_numbers(result: Assessment) -> None:
    first = text_of_page(calculation(result), 0)
    assert "securing statutory (LC1) yes 0.73 no wind limit" in first
    assert first.index("securing statutory (LC1)") < first.index("road grade")
    assert "Strictest code: CTU Code forward, on LC / 1.5, use 0.79." in first
    assert "Worst loss: anchor of C1, C5, utilisation 0.47 in LC4" in first
    assert f"{len(result.provenance.unread)} numbers of this calculation have not been read in their source" in first
    assert all(used.name in first for used in result.provenance.unread)


def test_a_check_that_does_not_hold_or_is_not_known_is_said_on_the_cover(result: Assessment) -> None:
    use = result.checks["securing"]["utilisation_ratio"].copy()
    use[0], use[1] = 1.2, float("nan")
    worse = result.checks["securing"].assign(utilisation_ratio=use)
    first = text_of_page(calculation(replace(result, checks={**result.checks, "securing": worse})), 0)
    assert "securing statutory (LC1) NO 1.20" in first
    assert "securing operation (LC2) not known" in first


def test_sheet_holds_the_numbers_of_the_securing(result: Assessment) -> None:
    text = text_of(calculation(result))
    needed = (
        "C1 2.4, 1, 0.8 4.4, 1.4, 0 2.191 21.42° 11.31° 106.7",
        "0° 1.100 3.000 1.040 1.070 1.090 1.040 0.700 1.400 ↑ stops",
        "upper bound and never used",
        "CTU Code forward LC / 1.5 0.8 0.8 316.2 925.9 0.79",
        "393.106(d) aggregate working load limit 151.9 320 kg 0.48",
        "pad front left 5; -2; 70",
        "securing earthquake (LC3) 17.4 20.0 yes",
        "anchor of C1, C5 0.97 0.83 0.47 yes",
        "front left 9150 does not stand",
        "gives away at most 0.25 %",
        "licensed engineer, where the law asks for one",
        "wear up to 10 % of d",
        "LC4: with anchor of C1, C5 lost",
        "securing statutory (LC1) 0.000 0.000",
        "LC1: a code asks, sliding",
        "a loss may show less use than the intact case with its divisor",
    )
    assert [words for words in needed if words not in text] == []


def test_sheet_of_an_older_result_says_what_it_lacks(result: Assessment) -> None:
    kept = ["utilisation_ratio", "chain_tension_kN"]
    older = result.checks["securing"][kept].assign_attrs({})
    text = text_of(calculation(replace(result, checks={**result.checks, "securing": older})))
    assert text.count("Not in this result, and so not checked here") >= 6
    assert "Codes side by side are not in this result" in text


def test_sheet_prints_each_formula_with_its_numbers(result: Assessment) -> None:
    text = squeezed(text_of(calculation(result)))
    # 1.5 * 70.4 / 160 = 0.66
    assert "1.5" in text and "70.4" in text
    assert "=0.66" in text


def test_remarks_of_a_check_stand_with_it(result: Assessment) -> None:
    told = result.checks["trailer"].assign_attrs(remarks='["a marked remark"]')
    assert "a marked remark" in text_of(calculation(replace(result, checks={**result.checks, "trailer": told})))


def test_published_tables_are_printed_with_their_rows(result: Assessment) -> None:
    facts = replace(result.provenance, unread=(ADHESION,))
    text = text_of(calculation(replace(result, provenance=facts)))
    # the rows as they stand in shared/published/adhesion.csv
    assert "loose gravel 0.4 0.4" in text


def test_a_long_name_of_a_field_may_break_and_is_still_found(result: Assessment) -> None:
    name = "tractor.emergency_deceleration_on_a_dry_road_mps2"
    lines = json.loads(result.checks["cover"].attrs["calculation"])
    lines[0]["values"] = [["v", 1.0, "m/s2", name], ["w", 1.0, "kN", "1.21234567 kN"]] * 3
    cover = result.checks["cover"].assign_attrs(calculation=json.dumps(lines))
    content = calculation(replace(result, checks={**result.checks, "cover": cover}))
    assert name in squeezed(text_of(content))
    raw = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    assert "\u200b" not in raw and name not in raw
    assert "1.21234567 kN" in raw


def test_sheet_says_a_rose_of_one_value_in_a_sentence(result: Assessment) -> None:
    names = result.rose["governed_by"].copy()
    names[:] = "cover hem"
    even = result.rose.assign(gust_limit_mps=result.rose["gust_limit_mps"] * 0 + 90.0, governed_by=names)
    text = text_of(calculation(replace(result, rose=even)))
    assert "At every place and for every wind direction: above 80 m/s, governed by cover hem." in text
    assert "the letters are the marks of section 11" not in text


def test_sheet_holds_every_line_with_source_clause_and_status(result: Assessment) -> None:
    text = squeezed(text_of(calculation(result)))
    for check in result.checks.values():
        for line in lines_of(check):
            source = ", ".join(part for part in (line.source, line.clause) if part)
            assert squeezed(line.title) in text
            assert squeezed(f"Source: {source}.") in text
            assert all(squeezed(origin) in text for *_, origin in line.values)


def test_sheet_holds_inputs_chains_and_earthquake(result: Assessment) -> None:
    text = squeezed(text_of(calculation(result)))
    assert all(file.sha256 in text for file in result.provenance.inputs)
    assert all(chain["tag"] in text for chain in result.move["chain"])
    assert squeezed(result.checks["seismic"].attrs["level_sentence"]) in text


def test_a_formula_that_cannot_be_set_is_printed_as_spoken(
    result: Assessment, caplog: pytest.LogCaptureFixture
) -> None:
    lines = json.loads(result.checks["cover"].attrs["calculation"])
    lines[0]["formula"] = "w_0 = nosuchname(("
    cover = result.checks["cover"].assign_attrs(calculation=json.dumps(lines))
    text = text_of(calculation(replace(result, checks={**result.checks, "cover": cover})))
    assert "w0 = p R^2 / (4 T)" in text
    assert "Sag under the gust" in caplog.text


def test_briefing_is_two_pages_with_all_the_driver_needs(result: Assessment) -> None:
    content = briefing(result)
    text = text_of(content)
    assert len(PdfReader(io.BytesIO(content)).pages) == 2
    needed = (
        "Tue 10 Mar 07:00",
        "UTC-01:00 (Etc/GMT+1)",
        "Time of the start of the operation (stage 'Lift onto the trailer')",
        "08:36-12:00",
        HOLD_NOTE,
        "31.0 t ± 0.5 t",
        "6 strong breeze",
        "R 18 m",
        "radio channel",
        "10.8 m/s",
    )
    assert all(word in text for word in needed)
    assert all(emergency.event in text for emergency in EMERGENCIES)


def test_briefing_stays_on_two_pages(hostile: Assessment, closed: Assessment) -> None:
    assert [len(PdfReader(io.BytesIO(briefing(one))).pages) for one in (hostile, closed)] == [2, 2]


def test_briefing_of_a_closed_day_says_no_start(closed: Assessment, undecided: Assessment) -> None:
    assert "NO START. No window is open" in text_of(briefing(closed))
    assert "NO START. Not enough is known" in text_of(briefing(undecided))


def test_sheet_holds_the_drawings_and_the_polar_plot(result: Assessment) -> None:
    text = text_of(calculation(result))
    assert all(words in text for words in ("Plan, to scale.", "Side view, to scale.", "View from behind, to scale"))
    assert "What the securing holds over the weight, against what codes and load cases ask for." in text


def test_sheet_says_why_nothing_is_drawn(result: Assessment) -> None:
    move = {name: table for name, table in result.move.items() if name != "trailer"}
    checks = {**result.checks, "securing": result.checks["securing"].drop_vars("usable_ratio")}
    text = text_of(calculation(replace(result, move=move, checks=checks)))
    assert "The polar plot is not drawn" in text
    assert "The scheme is not drawn" in text
