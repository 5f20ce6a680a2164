"""Relief by sector and shape, height, and what is never reduced."""

import numpy as np
import pytest

from transport.weather.exposure import ANY, exposure, flat_ratio, relief_ratio, relief_table, shape_ratio
from transport.weather.inputs import Relief, Shape, Site

STATIONS = np.array([0.0, 50.0, 100.0, 150.0])


def relief(first_deg: float, last_deg: float, factor: float = 1.3, begin_m: float = 50.0) -> Relief:
    return Relief(
        name="r",
        from_station_m=begin_m,
        to_station_m=100.0,
        wind_from_deg=(first_deg, last_deg),
        factor_ratio=factor,
        source="x",
    )


def with_relief(site: Site, *parts: Relief) -> Site:
    return site.model_copy(update={"relief": parts})


def test_sector_is_widened_by_the_spread_and_runs_clockwise_over_north(site: Site) -> None:
    table = relief_table(with_relief(site, relief(350.0, 20.0)), STATIONS, 2.4, 10.0)
    raised = np.flatnonzero(table[1, :ANY] > 1.0)
    assert set(raised) == set(range(339, 360)) | set(range(0, 31))
    np.testing.assert_array_equal(table[0], 1.0)
    np.testing.assert_array_equal(table[3], 1.0)
    assert table[2, ANY] == 1.3


def test_overlapping_stretches_take_the_larger_and_all_directions_mean_all(site: Site) -> None:
    table = relief_table(with_relief(site, relief(0.0, 360.0, 1.2), relief(90.0, 100.0, 1.5, 90.0)), STATIONS, 2.4, 0.0)
    assert (table[1] == 1.2).all()
    assert table[2, 95] == 1.5
    assert table[2, 200] == 1.2


def test_no_wind_is_taken_off_below_ten_metres_unless_measured(site: Site) -> None:
    assert flat_ratio(site, 2.4) == flat_ratio(site, 10.0) == pytest.approx(1.00668, abs=1e-5)
    rough = site.model_copy(update={"terrain_category": "IV"})
    assert flat_ratio(rough, 2.4) == 1.0
    measured = site.model_copy(update={"height_reduction_measured": True})
    assert flat_ratio(measured, 4.0) == pytest.approx(1.00668 * 0.8796, abs=1e-4)
    assert flat_ratio(measured, 10.0) == flat_ratio(site, 10.0)
    assert flat_ratio(site, 30.0) > flat_ratio(site, 10.0)


def test_gust_over_mean_has_its_floor_and_falls_with_relief(site: Site) -> None:
    found = exposure(with_relief(site, relief(0.0, 360.0, 1.4874)), STATIONS, 2.4, 30.0, 3600.0)
    flat, crest = found.gust_from_mean[0, 0] / found.mean[0, 0], found.gust_from_mean[1, 0] / found.mean[1, 0]
    assert flat == pytest.approx(1.0 + 3.5 * 0.18874, abs=1e-4)
    assert crest == 1.6
    assert found.height_m == 10.0
    calm_sea = site.model_copy(update={"terrain_category": "0"})
    at_sea = exposure(calm_sea, STATIONS, 2.4, 30.0, 3600.0)
    np.testing.assert_allclose(at_sea.gust_from_mean / at_sea.mean, 1.6)


def test_shape_takes_the_larger_of_two_codes() -> None:
    ridge = Shape(feature="ridge", height_m=50.0, upwind_length_m=200.0, downwind_length_m=200.0, crest_distance_m=0.0)
    assert shape_ratio(ridge, 4.0, "II") == pytest.approx(1.6430, abs=1e-4)
    wide = ridge.model_copy(update={"height_m": 20.0, "crest_distance_m": 190.0})
    assert shape_ratio(wide, 4.0, "II") >= 1.0
    cliff = Shape(feature="cliff", height_m=60.0, upwind_length_m=100.0, downwind_length_m=100.0, crest_distance_m=0.0)
    assert shape_ratio(cliff, 4.0, "II") == pytest.approx(1.5849, abs=1e-4)
    shaped = Relief(name="r", from_station_m=0.0, to_station_m=9.0, wind_from_deg=(0.0, 90.0), shape=cliff, source="x")
    assert relief_ratio(shaped, 4.0, "II") == shape_ratio(cliff, 4.0, "II")
