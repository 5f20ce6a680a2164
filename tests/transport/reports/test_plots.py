"""Charts of the papers."""

from collections.abc import Callable

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
    assert all(f">{text}</text>" in drawing for text in ("13.6 m/s", "10.8", "H1", "2.0"))
