"""Capacity models side by side."""

import numpy as np
import xarray as xr

from shared.assessment import Assessment
from transport.reports.capacities import capacity_listings, capacity_remarks, code_listings, four_ways, strictest


def test_models_stand_side_by_side_with_the_numbers_of_the_dataset(result: Assessment) -> None:
    check = result.checks["securing"]
    ratios, manner = capacity_listings(check)
    assert ratios.columns == (
        *("towards", "A sliding", "A tipping", "share", "B limit", "C elastic"),
        *("usable", "lower bound", "upper bound", "held by"),
    )
    assert len(ratios.rows) == 24
    assert ratios.rows[0] == (
        *("0°", "1.100", "3.000", "1.040", "1.070", "1.090", "1.040", "0.700", "1.400 ↑", "stops"),
    )
    assert "never used" in ratios.note
    assert manner.rows[0] == ("0°", "C3", "12.3", "9.8", "C1, C2", "none", "sliding")


def test_the_upper_bound_is_marked_only_above_its_share(result: Assessment) -> None:
    check = result.checks["securing"]
    low = check.assign(upper_bound_ratio=check["usable_ratio"] * 1.09)
    assert not any("↑" in row[8] for row in capacity_listings(low)[0].rows)
    assert "↑" not in four_ways(low).note


def test_four_ways_name_the_model(result: Assessment) -> None:
    rows = {row[0]: row for row in four_ways(result.checks["securing"]).rows}
    assert list(rows) == ["forward", "to the left", "rearward", "to the right"]
    # 1.0404 times 304.11 kN
    assert rows["forward"][1:4] == ("316.3", "1.040", "elastic share")
    assert rows["to the left"][3] == "equilibrium"


def test_an_unknown_model_leaves_no_least_one(result: Assessment) -> None:
    check = result.checks["securing"]
    gap = check.assign(resistance_ratio=check["resistance_ratio"].where(check["model"] != "equilibrium"))
    assert {row[3] for row in four_ways(gap).rows} == {"unknown"}


def test_codes_and_counting_rules(result: Assessment) -> None:
    codes, counting = code_listings(result.checks["securing"])
    assert codes.rows[0] == ("CTU Code", "forward", "LC / 1.5", "0.8", "0.8", "316.2", "925.9", "0.79")
    assert codes.rows[2][4] == "unknown"
    assert counting.rows[0] == ("393.106(d)", "aggregate working load limit", "151.9", "320", "kg", "0.48")
    assert counting.rows[1][1:5] == ("number of tiedowns", "3", "8", "pieces")
    assert strictest(result.checks["securing"]) == "Strictest code: CTU Code forward, on LC / 1.5, use 0.79."


def test_an_older_result_says_what_it_lacks() -> None:
    bare = xr.Dataset()
    assert capacity_listings(bare) == code_listings(bare) == []
    assert four_ways(bare).rows == ()
    assert "no strictest code can be named" in strictest(bare)
    (said,) = capacity_remarks(bare)
    assert said.startswith("Not in this result, and so not checked here: ")
    older = xr.Dataset({"usable_ratio": ("direction", np.ones(2))}, {"direction": [0.0, 15.0]})
    assert four_ways(older).rows[0][3:5] == ("unknown", "not given")
