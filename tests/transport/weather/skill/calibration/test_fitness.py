"""Every way in which a calibration may not be for this move, each with its words."""

from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from transport.weather.inputs import Site
from transport.weather.skill.file import Calibration
from transport.weather.skill.fitness import differing, misfits

NOW = np.datetime64("2026-08-11T06:00:00", "s")
ATTRS = {"gust_kind": "maximum", "resolves_relief": 0}
NEAR = np.array([True, False])


def test_the_calibration_that_was_made_for_this_fits(learned: Calibration, site: Site) -> None:
    assert not list(misfits(learned, NOW, NEAR, alpha=False))
    assert not list(misfits(learned, NOW, NEAR, alpha=True))
    assert not list(differing(learned.basis, ATTRS, site, 6.0, 2000.2))


@pytest.mark.parametrize(
    ("change", "alpha", "expected"),
    [
        (
            {"trained_until": date(2026, 8, 12)},
            False,
            (
                "it was made at 2026-08-01T00:00:00 UTC from days until 2026-08-12, which lie after now "
                "(2026-08-11T06:00:00 UTC); check the clocks"
            ),
        ),
        (
            {"as_of": datetime(2026, 8, 11, 7, tzinfo=UTC)},
            False,
            (
                "it was made at 2026-08-11T07:00:00 UTC from days until 2026-07-31, which lie after now "
                "(2026-08-11T06:00:00 UTC); check the clocks"
            ),
        ),
        (
            {"trained_until": date(2025, 7, 1)},
            False,
            "its newest day is 2025-07-01, 406 days ago, allowed are 400; make it again",
        ),
        (
            {"errors": ()},
            True,
            "it holds no error of the control member; make it again with the rule 'alpha' in the move",
        ),
        ({"leads": ()}, False, "none of its fits may be used: "),
    ],
)
def test_another_day_or_rule(change: dict[str, Any], alpha: bool, expected: str, learned: Calibration) -> None:
    assert list(misfits(learned.model_copy(update=change), NOW, NEAR, alpha)) == [expected]


def test_a_mast_beside_another_road(learned: Calibration) -> None:
    found = list(misfits(learned, NOW, np.array([False, False]), alpha=False))
    assert found == ["no station of the road lies within 10 km of the mast 'Shelf mast'"]


@pytest.mark.parametrize(
    ("attrs", "options", "step_h", "altitude_m", "expected"),
    [
        (
            {"gust_kind": "none"},
            {},
            6.0,
            2000.0,
            "the kind of gust in the forecast is none, it was learned with maximum",
        ),
        ({"resolves_relief": 1}, {}, 6.0, 2000.0, "resolves_relief of the feed is True, it was learned with False"),
        ({}, {"terrain_category": "III"}, 6.0, 2000.0, "site.terrain_category is III, it was learned with II"),
        ({}, {"minimum_gust_ratio": 1.8}, 6.0, 2000.0, "site.minimum_gust_ratio is 1.8, it was learned with 1.6"),
        ({}, {}, 3.0, 2000.0, "weather.maximum_step_h is 3.0, it was learned with 6.0"),
        (
            {},
            {},
            6.0,
            1890.0,
            "the model's ground at the mast is 1890 m, it was 2000 m: another model, or another grid",
        ),
        (
            {},
            {},
            6.0,
            float("nan"),
            "the height of the model's ground is known only on one side, so it may be another model",
        ),
    ],
)
def test_another_model_or_other_options(
    attrs: dict[str, Any],
    options: dict[str, Any],
    step_h: float,
    altitude_m: float,
    expected: str,
    learned: Calibration,
    site: Site,
) -> None:
    other = site.model_copy(update=options)
    assert list(differing(learned.basis, ATTRS | attrs, other, step_h, altitude_m)) == [expected]
