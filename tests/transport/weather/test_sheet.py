"""Calculation lines: each can be worked out again from its own numbers."""

from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.calculation import lines_of
from transport.weather.assess import assess
from transport.weather.inputs import Site, Weather


@pytest.mark.parametrize("kind", ["maximum", "none"])
def test_lines_work_out(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], kind: str) -> None:
    found = assess([normal.assign_attrs(gust_kind=kind)], site, weather, **road)
    mean, ratio, gust, felt, pressure_ratio, pressure = lines_of(found)
    value = {name: number for line in (mean, ratio, gust, felt, pressure) for name, number, *_ in line.values}
    assert mean.result[1] == pytest.approx(value["c_r"] * value["c_o"] * value["v_10"], rel=1e-5)
    assert ratio.result[1] == pytest.approx(max(1.0 + value["g"] * value["I_v"], value['G_"min"']))
    parts = [ratio.result[1] * value["v_m"], value["v_m"] + value["v_c"], value["c_f"] * value['v_"field"']]
    assert gust.result[1] == pytest.approx(max(part for part in parts if not np.isnan(part)), rel=1e-5)
    assert felt.result[1] >= gust.result[1] * (1 - 1e-6)
    assert pressure_ratio.result[1] == pytest.approx(np.sqrt(1.0 + 7.0 * value["I_v"]))
    assert pressure.result[1] == pytest.approx(value["c_e"] * value["rho"] / 2.0 * value["v_10"] ** 2)


def test_the_windiest_place_in_the_time_asked_for(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    storm = normal.copy(deep=True)
    storm["gust_mps"][:, 25:] = 60.0
    felt = lines_of(assess([storm], site, weather, **road))[3]
    assert felt.result[1] < 30.0
