"""The charts of a verification: where the signs lie, and what an empty bin shows."""

import math
import re

import numpy as np
import pytest

from shared.verification import Verification
from transport.reports import rank_chart, reliability_chart, value_chart
from transport.reports.reliability_chart import BOTTOM_PX, SHELF_PX, TOP_PX, up_px


def test_the_scale_upwards_is_a_logarithm_with_a_shelf_for_nothing() -> None:
    assert up_px(1.0) == TOP_PX
    assert up_px(0.002) == pytest.approx(BOTTOM_PX)
    assert up_px(0.0) == up_px(0.001) == SHELF_PX > BOTTOM_PX
    middle = math.sqrt(0.002 * 1.0)
    assert up_px(middle) == pytest.approx((TOP_PX + BOTTOM_PX) / 2)


def test_an_empty_bin_has_its_count_and_no_sign(result: Verification) -> None:
    drawn = str(reliability_chart.draw(result))
    one = result.scores.sel(threshold=11.0)
    filled = int((one["bin_case_count"] > 0).sum())
    assert 0 < filled < one["bin_case_count"].size
    assert drawn.count('class="promised"') == filled + 1
    assert drawn.count("bar raw") + drawn.count("bar calibrated") == filled
    assert "nan" not in drawn.lower()


def test_kinds_differ_in_shape_and_dash_and_not_only_in_colour(result: Verification) -> None:
    drawn = str(reliability_chart.draw(result))
    assert re.search(r'<circle[^>]*class="point raw"', drawn)
    assert re.search(r'<rect[^>]*class="point calibrated"', drawn)


def test_ranks_have_a_bar_each_and_their_ends_in_words(result: Verification) -> None:
    drawn = str(rank_chart.draw(result))
    assert drawn.count('class="rank raw"') == drawn.count('class="rank calibrated"') == 12
    assert "below all" in drawn and "above all" in drawn
    assert 'class="even"' in drawn


def test_cost_and_loss_of_the_move_are_marked_only_where_they_are_stated(
    result: Verification, raw_only: Verification
) -> None:
    assert "cost and loss of the move" in str(value_chart.draw(result))
    assert "cost and loss of the move" not in str(value_chart.draw(raw_only))


def test_a_value_below_the_frame_lies_at_its_foot(result: Verification) -> None:
    drawn = str(value_chart.draw(result))
    places = [float(y) for y in re.findall(r'cy="([\d.]+)"', drawn)]
    values = result.scores["value_ratio"].sel(threshold=11.0, forecast_kind="raw").values
    assert np.nanmin(values) < value_chart.LOWEST
    assert max(places) <= value_chart.BOTTOM_PX
    assert places.count(value_chart.BOTTOM_PX) == int((values <= value_chart.LOWEST).sum())
