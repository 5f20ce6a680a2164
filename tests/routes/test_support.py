"""What a survey can support: its class, and the places where points are too far apart."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import support

ORDER = ["stability", "traction", "insufficient"]


@pytest.mark.parametrize(
    ("sigma_xy_m", "sigma_z_m", "spacing_m", "expected"),
    [
        (0.02, 0.02, 1.0, "stability"),
        (0.02, 0.02, 5.0, "stability"),
        (0.03, 0.03, 5.0, "stability"),
        (0.02, 0.1, 5.0, "traction"),
        (0.5, 0.02, 5.0, "traction"),
        (0.02, 0.02, 10.0, "traction"),
        (0.5, 0.5, 1.0, "traction"),
        (0.5, 0.5, 5.0, "traction"),
        (2.0, 2.0, 1.0, "insufficient"),
        (np.nan, 0.02, 5.0, "traction"),
        (0.02, np.nan, 5.0, "insufficient"),
    ],
)
def test_classes(sigma_xy_m: float, sigma_z_m: float, spacing_m: float, expected: str) -> None:
    """A handheld receiver supports nothing, a levelled or RTK survey all: common practice, no source."""
    found = support.support_of(sigma_xy_m, sigma_z_m, spacing_m)
    assert found.survey_class == expected
    assert bool(found.reason) == (expected != "stability")


def test_the_reason_in_its_words() -> None:
    assert support.support_of(2.0, 2.0, 5.0).reason == (
        "the grade over the best short base is known to 3.69 % only, needed 0.75 %; "
        "a radius of 15 m is known to 120.00 % only, needed 10.00 %; "
        "the grade over the long base is known to 3.81 % only, needed 1.00 % "
        "(sigma_xy 2.000 m, sigma_z 2.000 m, a point every 5.0 m)"
    )


def test_too_few_points_in_a_bend_in_their_words() -> None:
    assert support.support_of(0.02, 0.02, 10.0).reason == (
        "a radius of 15 m is not known at all (sigma_xy 0.020 m, sigma_z 0.020 m, a point every 10.0 m)"
    )


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    sigma_xy_m=st.floats(0.001, 3.0),
    sigma_z_m=st.floats(0.001, 3.0),
    spacing_m=st.floats(0.5, 30.0),
    more=st.floats(1.0, 10.0),
    which=st.sampled_from(["xy", "z"]),
)
def test_more_noise_never_gives_a_better_class(
    sigma_xy_m: float, sigma_z_m: float, spacing_m: float, more: float, which: str
) -> None:
    before = support.support_of(sigma_xy_m, sigma_z_m, spacing_m)
    more_xy, more_z = (more, 1.0) if which == "xy" else (1.0, more)
    after = support.support_of(sigma_xy_m * more_xy, sigma_z_m * more_z, spacing_m)
    assert ORDER.index(after.survey_class) >= ORDER.index(before.survey_class)


def columns(count: int) -> dict[str, np.ndarray]:
    names = (*support.SHORT_BASE, "grade_long_ratio", "elevation_m")
    return {name: np.full(count, 0.05) for name in names} | {"station": 5.0 * np.arange(count)}


def test_a_gap_is_where_the_neighbouring_points_are_far_apart() -> None:
    found = support.gap_at(np.array([0.0, 7.0, 15.0, 40.0]), np.array([0.0, 5.0, 10.0, 40.0]))
    assert found.tolist() == [5.0, 5.0, 30.0, 30.0]


def test_in_a_gap_the_short_base_is_unknown() -> None:
    held = support.support_of(0.02, 0.02, 5.0)
    gap_m = np.array([5.0, 5.0, 20.0, 20.0, 5.0])
    found, remarks = support.without_unsupported(columns(5), held, gap_m)
    for name in support.SHORT_BASE:
        assert np.isnan(found[name]).tolist() == [False, False, True, True, False]
    assert not np.isnan(found["grade_long_ratio"]).any()
    assert remarks == [
        (
            "points are more than 12 m apart at 2 stations, first at 10 m in the direction of the survey: "
            "grade and curvature are unknown there"
        )
    ]


def test_in_a_sharp_bend_the_points_must_be_close() -> None:
    held = support.support_of(0.02, 0.02, 5.0)
    road = columns(4) | {"curvature_per_m": np.array([0.0, -1.0 / 15.0, 1.0 / 15.0, 1.0 / 30.0])}
    found, remarks = support.without_unsupported(road, held, np.array([8.0, 8.0, 5.5, 8.0]))
    assert np.isnan(found["curvature_per_m"]).tolist() == [False, True, False, False]
    assert not np.isnan(found["grade_ratio"]).any()
    assert remarks == [
        (
            "points are further apart than 0.4 of the radius at 1 stations, "
            "first at 5 m in the direction of the survey: "
            "curvature is unknown there"
        )
    ]


@pytest.mark.parametrize(("sigma_m", "long_known"), [(0.1, True), (2.0, False)])
def test_below_stability_the_short_base_is_unknown_everywhere(sigma_m: float, long_known: bool) -> None:
    held = support.support_of(sigma_m, sigma_m, 5.0)
    found, remarks = support.without_unsupported(columns(3), held, np.full(3, 5.0))
    assert all(np.isnan(found[name]).all() for name in support.SHORT_BASE)
    assert np.isfinite(found["grade_long_ratio"]).all() == long_known
    assert remarks == [f"survey class {held.survey_class}: {held.reason}; grade and curvature are unknown"]
