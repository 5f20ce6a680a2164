"""Second opinions and instruments in the gust chart: told apart without colour, each with its key."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from shared.assessment import Assessment
from transport.reports import gust_chart, gust_legend, gust_marks
from transport.reports.page import page
from transport.reports.starts import starts


@pytest.fixture
def root(several: Assessment) -> ET.Element:
    return ET.fromstring(str(gust_chart.draw(several)))  # noqa: S314


def of_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [item for item in root.iter() if name in str(item.get("class", "")).split()]


def test_every_second_opinion_has_a_line_of_its_own_dashes_and_a_key(root: ET.Element, several: Assessment) -> None:
    for number in range(2):
        line, key = of_class(root, f"opinion-{number}")
        assert (line.tag, key.tag) == ("path", "line")
        assert "nan" not in str(line.get("d"))
    texts = [item.text or "" for item in root.iter("text")]
    assert "second opinion second.nc, highest member at that place" in texts
    dashes = re.findall(r"\.opinion-\d { stroke-dasharray: ([^;]*);", page(several))
    assert len(set(dashes)) == len(dashes) == gust_marks.DASHES_COUNT


def test_a_line_ends_where_the_second_opinion_does(root: ET.Element) -> None:
    lengths = [len(str(of_class(root, f"opinion-{number}")[0].get("d"))) for number in range(2)]
    assert lengths[1] < lengths[0]


def test_every_observed_gust_is_a_dot_and_what_is_unknown_is_none(root: ET.Element) -> None:
    assert len(of_class(root, "observed")) == 5 + 1
    assert "gust observed at Shelf mast, at the instrument" in [item.text for item in root.iter("text")]


def test_instruments_differ_by_shape() -> None:
    shapes = {re.sub(r"[\d.]+", "", str(gust_marks.dot(number, 10.0, 10.0))) for number in range(3)}
    assert len(shapes) == 3


def test_the_time_axis_begins_with_the_first_observation(several: Assessment, result: Assessment) -> None:
    before, after = gust_chart.time_scale(result), gust_chart.time_scale(several)
    assert before.low - after.low == pytest.approx(5 * 3600.0)
    assert after.high == before.high
    assert after(starts(several)[0].start.timestamp()) > before(starts(result)[0].start.timestamp())


def test_the_chart_grows_by_its_keys_and_is_as_before_without_them(several: Assessment, result: Assessment) -> None:
    heights = [
        float(str(gust_chart.draw(one)).split('viewBox="0 0 960 ')[1].split('"')[0]) for one in (result, several)
    ]
    assert heights[1] - heights[0] == gust_legend.others_px(several) == 60.0
    assert gust_legend.others_px(result) == 0.0
    assert "opinion" not in gust_chart.draw(result)


def test_a_strong_second_opinion_stays_inside_the_chart(several: Assessment) -> None:
    differing = several.disagreement.assign(opinion_gust_there_mps=3.0 * several.disagreement["opinion_gust_there_mps"])
    root = ET.fromstring(str(gust_chart.draw(replace(several, disagreement=differing))))  # noqa: S314
    path = str(of_class(root, "opinion-0")[0].get("d"))
    heights = [float(found) for found in re.findall(r"V([\d.]+)", path)]
    assert np.min(heights) >= gust_chart.TOP_PX
