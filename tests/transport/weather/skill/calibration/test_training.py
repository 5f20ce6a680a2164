"""Cases, their classes, and when there is too little to learn from."""

import numpy as np
import pytest
import xarray as xr

from transport.weather.skill.training import cases_of, extent, lacking, lead_class, sector_of


def pairs(days: int = 40, a_day: int = 4, members: int = 7, seed: int = 1) -> xr.Dataset:
    rng = np.random.default_rng(seed)
    count = days * a_day
    hours = np.arange(count) * 24 // a_day + 24 // a_day
    gust = rng.uniform(3.0, 14.0, count)
    return xr.Dataset(
        {
            "forecast_gust_mps": (("case", "member"), gust[:, None] + rng.normal(size=(count, members))),
            "observed_gust_mps": ("case", gust),
            "lead_h": ("case", np.full(count, 6.0)),
            "wind_from_deg": ("case", rng.uniform(0.0, 360.0, count)),
        },
        {"time": ("case", np.datetime64("2026-06-01", "ns") + hours * np.timedelta64(1, "h"))},
    )


def test_a_lead_belongs_to_the_class_that_it_ends() -> None:
    leads = np.array([0.0, 0.5, 12.0, 12.5, 24.0, 48.0, np.nan])
    assert lead_class(leads).tolist() == [-1, 0, 0, 1, 1, 3, -1]


def test_north_begins_the_first_sector_and_the_unknown_has_none() -> None:
    assert sector_of(np.array([0.0, 89.9, 90.0, 359.9, 360.0, np.nan])).tolist() == [0, 0, 1, 3, 0, -1]


def test_a_step_that_ends_at_midnight_belongs_to_the_day_before() -> None:
    assert extent(cases_of(pairs(40))).days == 40


def test_a_case_with_anything_unknown_is_left_out() -> None:
    data = pairs(40)
    data["observed_gust_mps"][3] = np.nan
    data["forecast_gust_mps"][5, 2] = np.nan
    data["wind_from_deg"][7] = np.nan
    cases = cases_of(data)
    assert len(cases.day) == 158
    assert (cases.sector == -1).sum() == 1


def test_mean_and_variance_do_not_depend_on_the_order_of_the_members() -> None:
    data = pairs()
    turned = cases_of(data.isel(member=[3, 1, 0, 2, 6, 5, 4]))
    np.testing.assert_allclose(turned.mean_mps, cases_of(data).mean_mps, rtol=1e-14)
    np.testing.assert_allclose(turned.variance_m2_per_s2, cases_of(data).variance_m2_per_s2, rtol=1e-12)


def test_an_edge_that_one_storm_has_reached_is_not_trained() -> None:
    data = pairs(40)
    before = extent(cases_of(data)).mean_high_mps
    data["forecast_gust_mps"][8:10] = 40.0
    after = extent(cases_of(data))
    assert after.mean_high_mps < 16.0
    assert after.mean_high_mps == pytest.approx(before, abs=1.0)


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"days": 29}, ("29 of at least 30 days",)),
        ({"days": 32, "a_day": 2}, ("64 of at least 100 cases",)),
        ({"days": 3}, ("3 of at least 30 days", "12 of at least 100 cases")),
    ],
)
def test_too_little_is_told_with_its_numbers(change: dict[str, int], expected: tuple[str, ...]) -> None:
    assert lacking(extent(cases_of(pairs(**change)))) == expected


def test_calm_weather_teaches_nothing_of_wind() -> None:
    data = pairs()
    data["observed_gust_mps"][:] = 2.0 + 0.01 * np.arange(160)
    assert lacking(extent(cases_of(data))) == ("1.6 of at least 6 m/s between lowest and highest gust",)


def test_no_case_at_all_is_too_little_not_an_error() -> None:
    assert len(lacking(extent(cases_of(pairs().isel(case=slice(0, 0)))))) == 3
