"""The page of a verification: as text, in a browser that may fetch nothing, on paper."""

import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from shared.verification import Verification
from transport.reports.cautions import CAUTION
from transport.reports.verified_page import verified_page

EVERY = ["result", "raw_only", "few", "none_known", "hostile"]


def test_same_bytes_twice(result: Verification, rebuilt: Callable[[], Verification]) -> None:
    assert verified_page(result) == verified_page(rebuilt())


def test_misses_are_the_headline(result: Verification) -> None:
    text = verified_page(result)
    headline = re.findall(r"<strong>(.*?)</strong>", text)[0]
    counts = result.scores.sel(threshold=11.0).isel(lead_class=0)
    assert headline == f"{int(counts['miss_count'].max())} of {int(counts['event_count'].max())} events missed"
    assert text.index("events missed") < text.index("Each missed event") < text.index("(accuracy)")


def test_nothing_observed_is_the_headline_too(few: Verification) -> None:
    text = verified_page(few)
    assert "<strong>No event observed</strong>" in text
    assert "0 of 0" not in text
    assert text.count("Too few pairs: 20 can be scored, at least 30 are needed. No score is told.") >= 2
    assert 'id="reliability-chart"' not in text


def test_the_page_needs_no_script_and_no_address(result: Verification) -> None:
    text = verified_page(result)
    assert "<script" not in text
    assert "script-src &#39;none&#39;" in text
    assert "http://" not in text and "https://" not in text
    assert " style=" not in text


def test_text_of_the_user_stays_text(hostile: Verification) -> None:
    text = verified_page(hostile)
    assert "<img" not in text
    assert "<script" not in text
    assert "49" not in re.findall(r"<h1>(.*?)</h1>", text)[0]


def test_caution_hashes_remarks_and_unread_numbers_stand_there(result: Verification) -> None:
    text = verified_page(result)
    assert all(line in text for line in (*CAUTION, *result.remarks))
    assert all(file.sha256 in text for file in result.provenance.inputs)
    assert "skill_spell_gap_h" in text


@pytest.fixture
def shown(browser: Any, tmp_path: Path) -> Iterator[Callable[[Verification], Any]]:
    """Open a page; any request, error or console message fails the test."""
    tab, trouble = browser.new_page(), []
    tab.on("console", lambda message: trouble.append(message.text))
    tab.on("pageerror", lambda error: trouble.append(str(error)))
    tab.on("request", lambda request: trouble.append(request.url) if not request.url.startswith("file:") else None)

    def show(result: Verification) -> Any:
        path = tmp_path / "verification.html"
        path.write_text(verified_page(result), encoding="utf-8")
        tab.goto(path.as_uri())
        return tab

    yield show
    tab.close()
    assert trouble == []


@pytest.mark.browser
@pytest.mark.parametrize("kind", EVERY)
def test_no_accessibility_finding(
    kind: str, shown: Callable[[Verification], Any], request: pytest.FixtureRequest
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(shown(request.getfixturevalue(kind)))
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.browser
@pytest.mark.parametrize("chart", ["reliability-chart", "rank-chart", "value-chart"])
def test_no_words_of_a_chart_overlap(chart: str, shown: Callable[[Verification], Any], result: Verification) -> None:
    tab = shown(result)
    boxes = [one.bounding_box() for one in tab.locator(f"#{chart} text").all()]
    apart = 1.0
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            aside = min(one["x"] + one["width"], other["x"] + other["width"]) - max(one["x"], other["x"]) <= apart
            above = min(one["y"] + one["height"], other["y"] + other["height"]) - max(one["y"], other["y"]) <= 3.0
            assert aside or above, (one, other)


@pytest.mark.browser
def test_page_prints_on_few_sheets(shown: Callable[[Verification], Any], result: Verification) -> None:
    from pypdf import PdfReader

    content = shown(result).pdf(format="A4", print_background=False)
    assert len(PdfReader(io.BytesIO(content)).pages) <= 9
