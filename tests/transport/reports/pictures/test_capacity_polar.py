"""Polar plot of capacity against demand."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import given
from hypothesis import strategies as st

from shared.assessment import Assessment
from transport.reports import capacity_polar
from transport.reports.capacity_data import code_points, pushes
from transport.reports.polar_disc import Disc

Read = Callable[[str], Any]
DIRECTION_DEG = np.arange(0.0, 360.0, 15.0)
MODELS = ["EN 12195-1 sliding", "EN 12195-1 tipping", "elastic share", "equilibrium", "elastic chains"]
CASES = ["statutory (LC1)", "operation (LC2)", "earthquake (LC3)", "one member lost (LC4)"]
# EN 12195-1:2010 table 2 and 49 CFR 393.102 as shared/published/securing_acceleration.csv has them
CODES = [
    *(("EN 12195-1", way, slide, tip) for way, slide, tip in (("forward", 0.8, 0.8), ("rearward", 0.5, 0.6))),
    *(("EN 12195-1", way, 0.5, 0.6) for way in ("to the left", "to the right")),
    *(("49 CFR 393", way, 0.435, 0.435) for way in ("forward",)),
]


def securing(**changes: Any) -> xr.Dataset:
    """A check as the plot receives it; numbers of our own, no proof."""
    usable = 0.9 + 0.2 * np.cos(np.radians(2.0 * DIRECTION_DEG))
    by_model = np.stack([usable + extra for extra in (0.2, 3.0, 0.0, 0.3, 0.1)])
    variables: dict[str, Any] = {
        "usable_ratio": ("direction", usable),
        "lost_usable_ratio": ("direction", 0.6 * usable),
        "upper_bound_ratio": ("direction", usable + 0.5),
        "resistance_ratio": (("model", "direction"), by_model),
        "push_ahead_kN": ("limit_state", [240.0, 60.0, -90.0, 55.0]),
        "push_left_kN": ("limit_state", [0.0, 30.0, 110.0, 25.0]),
        **{
            name: ("code_row", [row[order] for row in CODES])
            for order, name in enumerate(("code_name", "code_direction", "code_sliding_ratio", "code_tipping_ratio"))
        },
    }
    coords = {"direction": DIRECTION_DEG, "model": MODELS, "limit_state": CASES}
    return xr.Dataset(variables | changes, coords, {"weight_kN": 300.0})


def with_check(result: Assessment, check: xr.Dataset) -> Assessment:
    return replace(result, checks={**result.checks, "securing": check})


def unknown_ahead() -> np.ndarray:
    values = np.full(DIRECTION_DEG.size, 0.9)
    values[[0, 1, 23]] = np.nan
    return values


CHECKS = {
    "whole": securing(),
    "a gap": securing(usable_ratio=("direction", unknown_ahead())),
    "nothing known": securing(usable_ratio=("direction", np.full(24, np.nan))),
    "without bound": securing(usable_ratio=("direction", np.full(24, np.inf))),
    "nothing held": securing(usable_ratio=("direction", np.zeros(24))),
    "usable alone": securing()[["usable_ratio"]],
    "hostile": securing(
        code_name=("code_row", ["<b>" * 20, "'" * 90, "W" * 90, "\u05d0" * 70, "&"]),
        code_direction=("code_row", ["forward", "to the left", "</svg>", "37 deg", "rearward"]),
    ).assign_coords(
        model=["<script>" * 9, '"' * 80, "\u202ea", "漢字", "$x$"], limit_state=["<i>" * 30, "a", "b", "c"]
    ),
}


@pytest.mark.parametrize("name", CHECKS)
def test_every_text_can_be_read(result: Assessment, name: str, read: Read) -> None:
    picture = read(capacity_polar.capacity_polar(with_check(result, CHECKS[name])))
    assert not picture.overlapping()
    assert not picture.outside()
    assert picture.longest_run() < 65
    assert not picture.elements("script")
    assert picture.svg == capacity_polar.capacity_polar(with_check(result, CHECKS[name].copy(deep=True)))
    points = [item.attrib["points"] for item in picture.elements("polygon") + picture.elements("polyline")]
    assert not any(word in "".join(points) for word in ("nan", "inf"))


@pytest.mark.parametrize("name", CHECKS)
def test_the_papers_can_set_it(result: Assessment, name: str, read: Read) -> None:
    picture = read(capacity_polar.capacity_polar(with_check(result, CHECKS[name])))
    assert picture.set_size_mm()[0] == pytest.approx(capacity_polar.WIDTH_MM, abs=0.05)


def test_curves_and_demand_are_named(result: Assessment, read: Read) -> None:
    said = read(capacity_polar.capacity_polar(with_check(result, securing()))).texts()
    assert {*MODELS, "usable", "usable after the worst loss", "upper bound, not usable"} <= set(said)
    assert {"LC2", "LC3", "LC4", "EN 12195-1", "49 CFR 393", "forward", "rearward"} <= set(said)
    assert "LC1" not in said
    assert "Usable: least 0.70 times the weight at 90°." in said
    assert "EN 12195-1 tipping runs out of the plot, up to 4.10 times the weight." in said


def test_directions_lie_as_on_the_plan() -> None:
    """ISO 8855 seen from above: x forward, to the right on the paper; y left, upwards on the paper."""
    disc = Disc((100.0, 0.0), 50.0, 2.0)
    assert disc.at(0.0, 1.0) == pytest.approx((125.0, 0.0))
    assert disc.at(90.0, 1.0) == pytest.approx((100.0, -25.0))


def test_an_unknown_direction_is_a_gap_and_the_least_is_not_known(result: Assessment, read: Read) -> None:
    made = with_check(result, CHECKS["a gap"])
    said = read(capacity_polar.capacity_polar(made)).texts()
    assert "Usable: least value not known." in said
    assert "Usable not known at 0°, 15°, 345°: a gap in the curve." in said
    assert capacity_polar.capacity_alt(made).endswith("usable: least value not known.")


def test_no_plot_says_why(result: Assessment) -> None:
    words = "not drawn: usable_ratio of the securing check is missing"
    for check in (xr.Dataset(), securing().drop_vars("usable_ratio"), securing().isel(direction=[0, 6])):
        made = with_check(result, check)
        assert capacity_polar.capacity_polar(made) == ""
        assert capacity_polar.no_polar_words(made) == capacity_polar.capacity_alt(made) == words
    nothing = replace(result, checks={})
    assert capacity_polar.no_polar_words(nothing) == "not drawn: there is no securing check"


def test_a_demand_that_is_not_known_is_said(result: Assessment, read: Read) -> None:
    check = securing(
        push_ahead_kN=("limit_state", [1.0, np.nan, 2.0, 3.0]),
        code_direction=("code_row", ["forward", "somewhere", "to the left", "to the right", "forward"]),
    )
    said = read(capacity_polar.capacity_polar(with_check(result, check))).texts()
    assert "LC2: worst push not known, not drawn." in said
    assert "EN 12195-1, somewhere: direction not known, not drawn." in said


def test_every_row_of_the_published_codes_has_a_direction() -> None:
    """EN 12195-1:2010 table 2 has no direction other than forward, rearward and sideways."""
    points, unknown = code_points(securing())
    assert not unknown
    assert {(point.code, point.angle_deg, point.sliding_ratio) for point in points} >= {
        ("EN 12195-1", 0.0, 0.8),
        ("EN 12195-1", 180.0, 0.5),
        ("EN 12195-1", 90.0, 0.5),
        ("EN 12195-1", 270.0, 0.5),
    }


def test_no_demand_is_said(result: Assessment, read: Read) -> None:
    said = read(capacity_polar.capacity_polar(with_check(result, securing()[["usable_ratio"]]))).texts()
    assert "No demand is shown: the check gives neither code rows nor worst pushes." in said


@given(ahead_kN=st.floats(-500.0, 500.0), left_kN=st.floats(-500.0, 500.0))
def test_a_push_is_shown_over_the_weight(ahead_kN: float, left_kN: float) -> None:
    row = {"push_ahead_kN": ("limit_state", [ahead_kN]), "push_left_kN": ("limit_state", [left_kN])}
    (push,), _ = pushes(xr.Dataset(row, {"limit_state": ["x (LC2)"]}, {"weight_kN": 250.0}))
    assert push.name == "LC2"
    assert math.hypot(push.ahead_ratio, push.left_ratio) == pytest.approx(math.hypot(ahead_kN, left_kN) / 250.0)


@pytest.mark.parametrize("weight_kN", [None, 0.0, math.nan])
def test_no_weight_no_push(weight_kN: float | None) -> None:
    check = securing()
    check.attrs["weight_kN"] = weight_kN
    known, _ = pushes(check)
    assert not known
