"""Charts of the papers."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from shared.assessment import Assessment
from transport.reports import plots

CHARTS = (plots.strip_map, plots.limit_profile, plots.limit_rose)


@pytest.mark.parametrize("chart", CHARTS)
def test_same_text_twice(
    chart: Callable[[Assessment], str], result: Assessment, rebuilt: Callable[[], Assessment]
) -> None:
    assert chart(result) == chart(rebuilt())


@pytest.mark.parametrize("chart", CHARTS)
def test_text_stays_text_and_carries_no_date(chart: Callable[[Assessment], str], result: Assessment) -> None:
    drawing = chart(result)
    assert "station, m</text>" in drawing
    assert "dc:date" not in drawing


def test_strip_map_shows_speeds_and_limits(result: Assessment) -> None:
    drawing = plots.strip_map(result)
    assert all(f">{text}</text>" in drawing for text in ("13.6 m/s", "10.8", "H1", "2.0", "R 18 m", "↓ 11.7 %"))
    assert "see stretch n" not in drawing


def test_strip_map_of_very_short_stretches_refers_to_the_table(result: Assessment) -> None:
    ends = result.orders["to_station_m"].copy()
    ends[0] = 20.0
    drawing = plots.strip_map(replace(result, orders=result.orders.assign(to_station_m=ends)))
    assert ">(1)</text>" in drawing
    assert "station, m; (n): see stretch n in the table</text>" in drawing
