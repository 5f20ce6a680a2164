"""Where the vehicle does not fit: closed is 0, no limit is inf, unknown is NaN, never the other way round."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import assess, fit, survey
from routes.inputs import Route
from shared.calculation import lines_of
from shared.vocabulary import VOCABULARY

WIND = np.arange(0.0, 360.0, 15.0)
FIXED = settings(derandomize=True, deadline=None, max_examples=25)


def road(
    *,
    grade: float = 0.08,
    grade_se: float = 0.005,
    curvature: float = 0.0,
    curvature_se: float = 0.004,
    width: tuple[float, float] = (3.5, 3.5),
    survey_class: str = "stability",
    bend: tuple[float, float] | None = None,
) -> xr.Dataset:
    """An even road of 20 stations by hand, curved between stations 40 and 60 m."""
    station_m = 5.0 * np.arange(20)
    inside = (station_m >= 40.0) & (station_m <= 60.0)
    columns = {
        "elevation_m": 1900.0 + grade * station_m,
        "grade_ratio": np.full(20, grade),
        "grade_se_ratio": np.full(20, grade_se),
        "curvature_per_m": np.where(inside, curvature, 0.0),
        "curvature_se_per_m": np.full(20, curvature_se),
        "width_left_m": np.full(20, width[0]),
        "width_right_m": np.full(20, width[1]),
    }
    bends = [] if bend is None else [bend]
    listed = {
        "bend_from_station_m": [40.0 for _ in bends],
        "bend_to_station_m": [60.0 for _ in bends],
        "bend_turned_deg": [turned for turned, _ in bends],
        "bend_radius_low_m": [radius for _, radius in bends],
    }
    return xr.Dataset(
        {name: ("station", values) for name, values in columns.items()}
        | {name: ("bend", np.array(values, dtype=float)) for name, values in listed.items()},
        {"station": station_m},
        {
            "survey_class": survey_class,
            "survey_reason": "" if survey_class == "stability" else "the grade is known badly",
            "survey_grade_error_ratio": 0.006,
            "survey_radius_error_ratio": 0.03,
            "sigma_xy_m": 0.02,
            "sigma_z_m": 0.02,
            "spacing_m": 5.0,
        },
    )


@pytest.fixture(scope="session")
def check(make_route: Callable[..., Route]) -> Callable[..., xr.Dataset]:
    def run(data: xr.Dataset, *, width_m: float = 3.0, length_m: float = 12.0, **changes: Any) -> xr.Dataset:
        return fit.assess(
            data,
            make_route(**changes),
            vehicle_width_m=width_m,
            vehicle_length_m=length_m,
            wind_from_deg=WIND,
        )

    return run


def limit(found: xr.Dataset, state: str) -> np.ndarray:
    values: np.ndarray = found["gust_limit_mps"].sel(limit_state=state).values
    assert (values == values[:, :1]).all() or np.isnan(values).any()
    return values[:, 0]


def test_a_road_that_fits_sets_no_limit(check: Callable[..., xr.Dataset]) -> None:
    found = check(road())
    assert found["gust_limit_mps"].dims == ("limit_state", "station", "wind_from")
    assert found["limit_state"].values.tolist() == ["road grade", "road width", "survey"]
    assert np.isposinf(found["gust_limit_mps"].values).all()
    assert found["utilisation_ratio"].values[0] == pytest.approx(0.09 / 0.14)
    assert {str(name) for name in found.variables} <= set(VOCABULARY)
    assert all(str(text) for name in ("clause", "remedy") for text in found[name].values)


@pytest.mark.parametrize(
    ("grade", "closed"), [(0.1299, False), (-0.1299, False), (0.1301, True), (-0.1301, True)]
)
def test_a_grade_counts_with_two_standard_errors(
    check: Callable[..., xr.Dataset], grade: float, closed: bool
) -> None:
    found = limit(check(road(grade=grade)), "road grade")
    assert (found == (0.0 if closed else np.inf)).all()


def test_the_deck_sweeps_outwards(check: Callable[..., xr.Dataset]) -> None:
    """Left bend of 15 m: the right side needs 17.557 - 15 m (SWP-7b), the left one half the deck."""
    found = check(road(curvature=1.0 / 15.0, curvature_se=0.0), side_clearance_m=0.5)
    assert found["swept_right_m"].values[10] == pytest.approx(2.557, abs=5e-4)
    assert found["swept_left_m"].values[10] == pytest.approx(1.5)
    assert found["width_needed_right_m"].values[10] == pytest.approx(2.557 + 0.5 + 0.04, abs=5e-4)
    assert found["swept_right_m"].values[[6, 14]] == pytest.approx(found["swept_right_m"].values[10])
    assert found["swept_right_m"].values[[5, 15]] == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("curvature", "width", "closed"),
    [
        (1.0 / 15.0, (2.1, 3.11), False),
        (1.0 / 15.0, (2.1, 3.09), True),
        (-1.0 / 15.0, (3.11, 2.1), False),
        (-1.0 / 15.0, (3.09, 2.1), True),
        (0.0, (2.05, 2.05), False),
        (0.0, (2.03, 2.05), True),
        (0.0, (0.0, 2.05), True),
    ],
)
def test_each_side_of_the_road_counts(
    check: Callable[..., xr.Dataset], curvature: float, width: tuple[float, float], closed: bool
) -> None:
    found = limit(check(road(curvature=curvature, curvature_se=0.0, width=width)), "road width")
    assert (found == 0.0).any() == closed


def test_the_circle_of_a_bend_counts_where_it_is_sharper(check: Callable[..., xr.Dataset]) -> None:
    plain = check(road(curvature=1.0 / 18.0, curvature_se=0.0))
    sharper = check(road(curvature=1.0 / 18.0, curvature_se=0.0, bend=(170.0, 15.0)))
    other_way = check(road(curvature=1.0 / 18.0, curvature_se=0.0, bend=(-170.0, 15.0)))
    assert sharper["swept_right_m"].values[10] == pytest.approx(2.557, abs=5e-4)
    assert plain["swept_right_m"].values[10] < 2.5
    assert other_way["swept_right_m"].values[10] == plain["swept_right_m"].values[10]


@pytest.mark.parametrize("width", [(np.nan, 3.5), (3.5, np.nan)])
def test_an_unknown_width_is_unknown(check: Callable[..., xr.Dataset], width: tuple[float, float]) -> None:
    assert np.isnan(limit(check(road(width=width)), "road width")).all()


@pytest.mark.parametrize("survey_class", ["traction", "insufficient"])
def test_a_survey_below_stability_is_unknown(check: Callable[..., xr.Dataset], survey_class: str) -> None:
    data = road(survey_class=survey_class, grade=np.nan, curvature=np.nan)
    found = check(data)
    assert np.isnan(limit(found, "survey")).all()
    assert np.isnan(limit(found, "road grade")).all()
    assert found.attrs["survey_reason"] == "the grade is known badly"


def test_one_unknown_station_is_unknown_for_the_deck_over_it(check: Callable[..., xr.Dataset]) -> None:
    data = road()
    data["curvature_per_m"].values[10] = np.nan
    unknown = np.isnan(limit(check(data), "road width"))
    assert np.flatnonzero(unknown).tolist() == [8, 9, 10, 11, 12]


ORDER = {"closed": 0, "unknown": 1, "open": 2}


def rank(values: np.ndarray) -> np.ndarray:
    return np.where(
        np.isnan(values), ORDER["unknown"], np.where(values == 0.0, ORDER["closed"], ORDER["open"])
    )


@FIXED
@given(
    grade=st.floats(-0.2, 0.2),
    curvature=st.floats(-0.1, 0.1),
    width_m=st.floats(1.5, 6.0),
    steeper=st.floats(0.0, 0.1),
    sharper=st.floats(0.0, 0.05),
    narrower=st.floats(0.0, 2.0),
    error=st.floats(0.0, 0.02),
)
def test_a_worse_road_never_opens(
    check: Callable[..., xr.Dataset],
    grade: float,
    curvature: float,
    width_m: float,
    steeper: float,
    sharper: float,
    narrower: float,
    error: float,
) -> None:
    before = check(road(grade=grade, curvature=curvature, width=(width_m, width_m)))
    worse = road(
        grade=grade + np.copysign(steeper, grade),
        grade_se=0.005 + error,
        curvature=curvature + np.copysign(sharper, curvature),
        curvature_se=0.004 + error,
        width=(width_m - narrower, width_m - narrower / 2.0),
    )
    for state in ("road grade", "road width"):
        assert (rank(limit(check(worse), state)) <= rank(limit(before, state))).all()


def test_the_lines_can_be_checked_by_hand(check: Callable[..., xr.Dataset]) -> None:
    data = road(grade=-0.1, curvature=-1.0 / 20.0, width=(3.4, 3.6))
    found = lines_of(check(data))
    assert [line.check for line in found] == ["road grade", "road width", "road width", "survey"]
    values = [{name: value for name, value, *_ in line.values} for line in found]
    steep, reach, needed, best = values
    assert found[0].result[1] == pytest.approx(abs(steep["G"]) + steep["n"] * steep["s_G"])
    k, wide, long = reach["k"], reach["W"], reach["L"]
    root = np.hypot(1.0 + k * wide / 2.0, k * long / 2.0)
    assert found[1].result[1] == pytest.approx((wide + k * (wide**2 + long**2) / 4.0) / (1.0 + root))
    assert "to the left, in the sharpest bend to the right" in found[1].title
    assert found[2].result[1] == pytest.approx(needed["w"] + needed["c"] + needed["n"] * needed["s"])
    assert needed["b_road"] == 3.4
    s, d, r, base = best["s"], best["d"], best["R"], best["B"]
    assert base == pytest.approx((2048.0 * s**2 * d * r**2) ** 0.2)
    assert found[3].result[1] == pytest.approx(
        np.sqrt(12.0 * s**2 * d / base**3 + (3.0 * base / (32.0 * r)) ** 2)
    )
    assert reach["x"] == 30.0  # half a deck before the bend


def test_unknown_numbers_stay_unknown_in_the_lines(check: Callable[..., xr.Dataset]) -> None:
    found = lines_of(check(road(grade=np.nan, curvature=np.nan, survey_class="insufficient")))
    assert np.isnan(found[0].result[1])
    assert np.isnan(found[1].result[1])


def test_the_sample_fits_its_road(make_route: Callable[..., Route], check: Callable[..., xr.Dataset]) -> None:
    folder = Path(__file__).parents[2] / "samples" / "sheltered_morning"
    route = make_route()
    data = assess.assess(survey.read(folder / "road.csv", route), route, leg="out")
    found = check(data)
    assert np.isposinf(found["gust_limit_mps"].values).all()
    assert np.nanmax(np.abs(found["deck_rise_m"].values)) < 0.2
