"""The weather alone: tables, JSON and the page, in a browser that may fetch nothing. Our own numbers, no proof."""

import html
import io
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.assessment import Ahead, Assessment
from transport.reports.cautions import CAUTION
from transport.reports.weather_page import weather_page
from transport.reports.weather_part import source_listing, told, weather_extract

EVERY = ["plain", "many", "refused", "unknown"]
REFUSAL = json.dumps([{"gate": "age", "message": "forecast.nc: the forecast is 20.0 h old <b>"}])


def weather(result: Assessment, **attrs: object) -> xr.Dataset:
    """The forecast of the invented result at one place, with the other weather beside it."""
    data = result.forecast.expand_dims(station=[120.0], axis=2)
    other = {"precipitation_mm_per_h": 0.2, "visibility_m": 9000.0, "air_temperature_K": 280.0, "dew_margin_K": 4.0}
    flat = {
        name: (("realization", "time"), np.full(data["gust_apparent_mps"].shape[:2], one))
        for name, one in other.items()
    }
    start = data["time"].values - np.timedelta64(1, "h")
    told = {"read": '["gust from fg10 (m s-1)"]', "derived": '["mean wind: the length of its components"]'}
    facts = {"file": "forecast.nc", "role": "forecast", "source_kind": "NetCDF", "gust_kind": "maximum"} | told
    return (
        data.drop_vars("precipitation_mm_per_h")
        .assign(flat)
        .assign_coords(time_start=("time", start))
        .assign_attrs(facts | attrs)
    )


@pytest.fixture(scope="module")
def many(several: Assessment) -> Ahead:
    opinions = tuple(weather(several, **one.attrs | {"role": "second_opinion"}) for one in several.opinions)
    assert several.disagreement is not None
    return Ahead(
        several.move,
        weather(several),
        opinions,
        several.observations,
        several.disagreement,
        several.provenance,
        ("mast.csv: stands 6 m above ground",),
    )


@pytest.fixture(scope="module")
def plain(many: Ahead) -> Ahead:
    return replace(
        many, opinions=(), observations=(), disagreement=many.disagreement.isel(opinion=slice(0, 0)), remarks=()
    )


@pytest.fixture(scope="module")
def refused(many: Ahead) -> Ahead:
    shut = many.forecast.assign_attrs(refusals=REFUSAL)
    return replace(many, forecast=shut, opinions=tuple(one.assign_attrs(refusals=REFUSAL) for one in many.opinions))


@pytest.fixture(scope="module")
def unknown(plain: Ahead) -> Ahead:
    names = [f"road_gust_{name}_mps" for name in ("low", "median", "high")]
    dark = plain.disagreement.assign({name: plain.disagreement[name] * np.nan for name in names})
    gone = {"gust_apparent_mps": plain.forecast["gust_apparent_mps"] * np.nan}
    return replace(plain, disagreement=dark, forecast=plain.forecast.assign(gone))


def test_every_source_has_a_row(many: Ahead) -> None:
    rows = source_listing(many).rows
    assert rows[0] == ("forecast.nc", "forecast", "NetCDF", "Mon 09 11:00", "6.0", "31", "yes")
    assert [row[1] for row in rows] == ["forecast", "second opinion", "second opinion", "observation"]
    assert rows[3][3:] == ("unknown", "-", "-", "yes")


def test_a_refused_source_is_never_called_believed(refused: Ahead) -> None:
    assert [row[-1] for row in source_listing(refused).rows] == ["REFUSED", "REFUSED", "REFUSED", "yes"]
    record = weather_extract(refused).record
    assert record["refusals"] == ["forecast.nc: the forecast is 20.0 h old <b>"]
    assert "Weather refused" in weather_page(refused)
    assert "Weather not refused" not in weather_page(refused)


def test_json_tells_what_each_source_says_of_itself(many: Ahead) -> None:
    record = weather_extract(many).record
    assert record["sources"][0] == {
        "file": "forecast.nc",
        "role": "forecast",
        "read": ["gust from fg10 (m s-1)"],
        "derived": ["mean wind: the length of its components"],
        "refused": [],
    }
    assert len(record["sources"]) == len(told(many)) == 4
    assert record["remarks"] == ["mast.csv: stands 6 m above ground"]
    assert record["hours"][0]["gust_high_mps"] == many.forecast["gust_apparent_mps"].values[:, 0].max()


def test_an_unknown_gust_is_unknown_everywhere(unknown: Ahead) -> None:
    assert {row[1] for row in weather_extract(unknown).listings[1].rows} == {"unknown"}
    page = weather_page(unknown)
    assert "No gust is known." in page
    assert page.count('class="unknown"') == 1


@pytest.mark.parametrize("kind", EVERY)
def test_the_page_runs_no_script_and_asks_nobody(kind: str, request: pytest.FixtureRequest) -> None:
    raw = weather_page(request.getfixturevalue(kind))
    text = html.unescape(raw)
    assert "<script" not in raw
    assert "script-src 'none'" in text
    assert "default-src 'none'" in text
    assert not re.findall(r"https?://(?!www\.w3\.org)", text)
    assert "<b>" not in raw
    assert all(line.split("'")[0] in text for line in CAUTION)


def test_the_page_draws_every_source(many: Ahead) -> None:
    text = weather_page(many)
    assert text.count('class="opinion opinion-') == 4  # two lines and their two keys
    assert text.count('class="observed"') == 6  # five known gusts and their key
    assert ">now<" not in text  # the clock of this result lies before its weather
    later = replace(many.provenance, as_of=many.provenance.as_of + timedelta(hours=12))
    assert ">now<" in weather_page(replace(many, provenance=later))


@pytest.fixture
def shown(browser: Any, tmp_path: Path) -> Iterator[Callable[[Ahead], Any]]:
    """Open a page; any request, error or console message fails the test."""
    tab, trouble = browser.new_page(), []
    tab.on("console", lambda message: trouble.append(message.text))
    tab.on("pageerror", lambda error: trouble.append(str(error)))
    tab.on("request", lambda request: trouble.append(request.url) if not request.url.startswith("file:") else None)

    def show(ahead: Ahead) -> Any:
        path = tmp_path / "weather.html"
        path.write_text(weather_page(ahead), encoding="utf-8")
        tab.goto(path.as_uri())
        return tab

    yield show
    tab.close()
    assert trouble == []


@pytest.mark.browser
@pytest.mark.parametrize("kind", EVERY)
def test_no_accessibility_finding(kind: str, shown: Callable[[Ahead], Any], request: pytest.FixtureRequest) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(shown(request.getfixturevalue(kind)))
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.browser
def test_nothing_is_wider_than_the_page_and_it_prints(shown: Callable[[Ahead], Any], many: Ahead) -> None:
    from pypdf import PdfReader

    tab = shown(many)
    assert tab.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert len(PdfReader(io.BytesIO(tab.pdf(format="A4"))).pages) <= 9
