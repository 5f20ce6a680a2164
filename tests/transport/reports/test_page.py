"""The page as text, and in a browser that may fetch nothing."""

import base64
import hashlib
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from shared.assessment import Assessment
from transport.reports.cautions import CAUTION
from transport.reports.page import page
from transport.reports.stretches import HOLD_NOTE


def test_same_bytes_twice(result: Assessment, rebuilt: Callable[[], Assessment]) -> None:
    assert page(result) == page(rebuilt())


def test_policy_names_the_hashes_of_what_stands_in_the_page(result: Assessment) -> None:
    # W3C Content Security Policy level 3 (from memory): the hash is over the text between the tags, as base64.
    text = page(result)
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)
    script = re.search(r"<script>(.*?)</script>", text, re.DOTALL)
    for found in (style, script):
        assert found is not None
        digest = base64.b64encode(hashlib.sha256(found[1].encode()).digest()).decode()
        assert f"sha256-{digest}" in text.replace("&#43;", "+")
    assert "style=" not in text.replace("default-style=", "")


def test_text_of_the_user_stays_text(hostile: Assessment, several: Assessment) -> None:
    assert "<img" not in page(several)
    text = page(hostile)
    assert "<img" not in text
    assert text.count("</script>") == 2
    assert "49" not in re.findall(r"<h1>(.*?)</h1>", text)[0]


def test_page_holds_verdict_zone_caution_and_hashes(result: Assessment) -> None:
    text = page(result)
    assert "<strong>GO</strong>" in text
    assert "UTC-01:00 (Etc/GMT+1)" in text
    assert text.count("Etc/GMT+1") == 1
    assert "<h2>Windows: start of the operation (stage &#39;Lift onto the trailer&#39;)</h2>" in text
    assert '<td>Drive</td><td class="fixed">08:36-12:00</td><td class="fixed">12:26-15:50</td>' in text
    assert HOLD_NOTE in text
    assert all(line in text for line in CAUTION)
    assert all(file.sha256 in text for file in result.provenance.inputs)
    assert "http://" not in text
    assert "https://" not in text


def test_a_rose_with_one_value_is_a_sentence(result: Assessment) -> None:
    even = result.rose.assign(
        gust_limit_mps=result.rose["gust_limit_mps"] * 0 + 9.0, governed_by=result.rose["governed_by"].copy()
    )
    even["governed_by"][:] = "cover hem"
    text = page(replace(result, rose=even))
    assert "<p>At every place and for every wind direction: 9.0 m/s, governed by cover hem.</p>" in text
    assert 'id="rose-chart"' not in text
    assert 'id="rose-chart"' in page(result)


@pytest.fixture
def shown(browser: Any, tmp_path: Path) -> Iterator[Callable[[Assessment], Any]]:
    """Open a page; any request, error or console message fails the test."""
    tab, trouble = browser.new_page(), []
    tab.on("console", lambda message: trouble.append(message.text))
    tab.on("pageerror", lambda error: trouble.append(str(error)))
    tab.on("request", lambda request: trouble.append(request.url) if not request.url.startswith("file:") else None)

    def show(result: Assessment) -> Any:
        path = tmp_path / "page.html"
        path.write_text(page(result), encoding="utf-8")
        tab.goto(path.as_uri())
        return tab

    yield show
    tab.close()
    assert trouble == []


@pytest.mark.browser
@pytest.mark.parametrize("kind", ["result", "closed", "undecided", "hostile", "several"])
def test_no_accessibility_finding(
    kind: str, shown: Callable[[Assessment], Any], request: pytest.FixtureRequest
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    tab = shown(request.getfixturevalue(kind))
    found = Axe().run(tab)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.browser
def test_slider_tells_start_and_verdict(shown: Callable[[Assessment], Any], result: Assessment) -> None:
    tab = shown(result)
    slider = tab.get_by_label("Start time", exact=True)
    assert slider.get_attribute("aria-valuetext") == "Tue 10 Mar 07:00, go"
    before = tab.locator("#start-marker").get_attribute("x1")
    slider.focus()
    tab.keyboard.press("Home")
    assert slider.get_attribute("aria-valuetext") == "Tue 10 Mar 05:00, no-go"
    assert tab.locator("#chosen-start").inner_text() == "Tue 10 Mar 05:00: no-go"
    assert tab.locator("#chosen-governed").inner_text() == "daylight"
    assert tab.locator("#start-marker").get_attribute("x1") != before
    tab.keyboard.press("End")
    assert tab.locator("#chosen-utilisation").inner_text() == "unknown"


@pytest.mark.browser
def test_every_value_stands_in_the_table(shown: Callable[[Assessment], Any], result: Assessment) -> None:
    tab = shown(result)
    tab.get_by_text("Table of all 217 starts").click()
    assert tab.locator("details tbody tr").count() == 217


@pytest.mark.browser
def test_page_stands_without_scripts(browser: Any, result: Assessment, tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(page(result).replace("<script>", '<script type="text/plain">'), encoding="utf-8")
    tab = browser.new_page()
    tab.goto(path.as_uri())
    assert tab.locator("#slider").is_hidden()
    assert tab.locator("#chosen-start").inner_text() == "Tue 10 Mar 07:00: go"
    tab.close()


@pytest.mark.browser
def test_page_prints_on_few_sheets(shown: Callable[[Assessment], Any], result: Assessment) -> None:
    import io

    from pypdf import PdfReader

    content = shown(result).pdf(format="A4", print_background=False)
    assert len(PdfReader(io.BytesIO(content)).pages) <= 6
