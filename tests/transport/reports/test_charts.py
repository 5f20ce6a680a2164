"""The three charts of the page."""

import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from markupsafe import Markup

from shared.assessment import Assessment
from transport.reports import gust_chart, profile_chart, rose_chart

CHARTS = (gust_chart.draw, profile_chart.draw, rose_chart.draw)
Draw = Callable[[Assessment], Markup]


@pytest.mark.parametrize("draw", CHARTS)
@pytest.mark.parametrize("kind", ["result", "closed", "undecided", "hostile", "several"])
def test_well_formed_named_and_without_style(draw: Draw, kind: str, request: pytest.FixtureRequest) -> None:
    root = ET.fromstring(str(draw(request.getfixturevalue(kind))))  # noqa: S314
    assert root.get("role") == "img"
    assert root.find("title") is not None
    assert all("style" not in item.attrib for item in root.iter())
    assert "nan" not in ET.tostring(root, encoding="unicode").replace("nance", "").split()


def test_go_and_no_go_differ_by_word_and_height(result: Assessment) -> None:
    root = ET.fromstring(str(gust_chart.draw(result)))  # noqa: S314
    heights = {item.get("class"): item.get("height") for item in root.iter("rect") if "start " in item.get("class", "")}
    assert len(set(heights.values())) == 3
    words = [item.text for item in root.iter("text")]
    assert "go" in words
    assert "no-go" in words


def test_no_forecast_is_said(undecided: Assessment) -> None:
    assert "no forecast to show" in gust_chart.draw(undecided)


def test_pieces_of_the_bar_are_named_and_the_dark_is_shaded(result: Assessment) -> None:
    drawing = str(gust_chart.draw(result))
    assert ">night</text>" in drawing
    assert ">no-go</text>" in drawing
    assert "<title>no-go: daylight</title>" in drawing
    assert drawing.count('class="dark"') == 4
    assert all(
        f">{text}</text>" in drawing
        for text in ("starts closed by daylight", "lowest to highest member", "median member", "limit at that place")
    )
    assert ">local time, UTC-01:00</text>" in drawing


def test_one_member_under_the_factor_rule_has_its_own_legend(result: Assessment) -> None:
    move = {**result.move, "decision": {"rule": "alpha", "alpha_ratio": 0.8}}
    drawing = str(gust_chart.draw(replace(result, move=move, forecast=result.forecast.isel(realization=[0]))))
    assert ">0.8 of the limit at that place</text>" in drawing
    assert ">forecast</text>" in drawing
    assert "member" not in drawing


def test_lowest_limit_and_hold_point_are_written(result: Assessment) -> None:
    drawing = profile_chart.draw(result)
    assert "lowest: 10.2 m/s at 3305 m" in drawing
    assert "H1 Lay-by below the hairpins" in drawing


@pytest.mark.parametrize(("value", "word"), [(np.nan, "unknown"), (0.0, "closed")])
def test_unknown_and_closed_are_words_not_gaps(result: Assessment, value: float, word: str) -> None:
    limits = result.rose["gust_limit_mps"].copy()
    limits[400:700, :] = value
    other = replace(result, rose=result.rose.assign(gust_limit_mps=limits))
    assert f">{word}</text>" in profile_chart.draw(other)
    assert f">{word}</text>" in rose_chart.draw(other)


def test_every_run_of_the_rose_tells_place_wind_limit_and_letter(result: Assessment) -> None:
    assert "<title>0 m to 125 m, wind from 0° (N): 14.8 m/s, K</title>" in rose_chart.draw(result)
