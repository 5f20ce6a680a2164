"""Of several kinds of one field the one that bounds the others."""

import numpy as np
import pytest

from shared.errors import InputError
from transport.weather.feeds.grib.choice import chosen_of
from transport.weather.feeds.grib.extract import INSTANT
from transport.weather.feeds.grib.facts import Facts
from transport.weather.feeds.grib.fields import rules

NAMES = [rule.name for rule in rules()]
MAXIMUM, SURFACE, ABOVE = 2, 1, 103


def facts(*kinds: tuple[str, int, int, int]) -> Facts:
    """Field, process, surface, height in millimetres."""
    none = np.zeros(len(kinds), dtype=np.int64)
    return Facts(
        rule=np.array([NAMES.index(name) for name, _, _, _ in kinds]),
        process=np.array([process for _, process, _, _ in kinds]),
        surface=np.array([surface for _, _, surface, _ in kinds]),
        height_mm=np.array([height for _, _, _, height in kinds]),
        start_s=none,
        end_s=none,
        member=none,
        along_grid=none,
        run=np.datetime64("2026-03-10", "s"),
        members_stated=0,
        remarks=(),
    )


def test_maximum_before_instant_and_10_m_before_surface() -> None:
    kinds = [("gust", INSTANT, SURFACE, 0), ("gust", INSTANT, ABOVE, 10000), ("gust", MAXIMUM, SURFACE, 0)]
    (best,), left_out = chosen_of(facts(*kinds), rules(), "a")
    assert (best.method, best.messages.tolist(), best.height_m) == ("maximum", [2], 10.0)
    assert best.remark == "gust is stated at the surface and is taken as the gust at 10 m"
    assert len(left_out) == 2
    (best,), _ = chosen_of(facts(*kinds, ("gust", MAXIMUM, ABOVE, 10000)), rules(), "a")
    assert (best.messages.tolist(), best.remark) == ([3], "")


def test_two_heights_of_one_field() -> None:
    with pytest.raises(InputError, match=r"a: 2t: stands at 1\.5 and 2 m above ground; keep one height"):
        chosen_of(facts(("2t", INSTANT, ABOVE, 1500), ("2t", INSTANT, ABOVE, 2000)), rules(), "a")


def test_fields_of_different_names_stand_side_by_side() -> None:
    chosen, left_out = chosen_of(facts(("10u", INSTANT, ABOVE, 10000), ("sp", INSTANT, SURFACE, 0)), rules(), "a")
    assert [(item.rule.name, item.height_m) for item in chosen] == [("10u", 10.0), ("sp", None)]
    assert left_out == []


def test_only_one_height_of_the_ground() -> None:
    chosen, left_out = chosen_of(facts(("z", INSTANT, SURFACE, 0), ("orog", INSTANT, SURFACE, 0)), rules(), "a")
    assert [item.rule.name for item in chosen] == ["orog"]
    assert left_out == ["z (time: point, 1 messages) not used beside orog (time: point)"]
