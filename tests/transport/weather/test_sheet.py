"""Calculation lines: each can be worked out again from its own numbers."""

from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.calculation import Line, lines_of
from transport.weather.assess import assess
from transport.weather.inputs import Site, Weather


def felt_by_hand(line: Line) -> float:
    """The gust felt, from what is printed only."""
    row = {symbol: number for symbol, number, *_ in line.values}
    apart = abs(row["D"] - row["h"])
    assert row["delta"] == pytest.approx(0.0 if np.isnan(apart) else min(apart, 360.0 - apart))
    assert row["y"] == pytest.approx(max(row["delta"] - row["s_1"] - row["s_2"], 0.0))
    gust, own = row['v_"gust"'], row["V"]
    return float(max(gust, np.sqrt(gust**2 + own**2 + 2.0 * gust * own * np.cos(np.deg2rad(row["y"])))))


@pytest.mark.parametrize("kind", ["maximum", "none"])
def test_lines_work_out(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], kind: str) -> None:
    found = assess(normal.assign_attrs(gust_kind=kind), site, weather, **road)
    mean, ratio, gust, felt, pressure_ratio, pressure = lines_of(found)
    value = {name: number for line in (mean, ratio, gust, felt, pressure) for name, number, *_ in line.values}
    assert mean.result[1] == pytest.approx(value["c_r"] * value["c_o"] * value["v_10"], rel=1e-5)
    assert ratio.result[1] == pytest.approx(max(1.0 + value["g"] * value["I_v"], value['G_"min"']))
    parts = [value["G"] * value["v_m"]]
    if kind == "maximum":
        parts.append(value["c_f"] * value['v_"field"'])
    else:
        parts.append(value["v_m"] + value["v_c"])
    assert gust.result[1] == pytest.approx(max(parts), rel=1e-5)
    assert value["G"] == ratio.result[1]
    assert gust.spoken == "vgust = max(G vm, cf vfield)" if kind == "maximum" else "vgust = max(G vm, vm + vc)"
    assert felt.result[1] == pytest.approx(felt_by_hand(felt), rel=1e-5)
    assert pressure_ratio.result[1] == pytest.approx(np.sqrt(1.0 + 7.0 * value["I_v"]))
    assert pressure.result[1] == pytest.approx(value["c_e"] * value["rho"] / 2.0 * value["v_10"] ** 2)


def test_the_windiest_place_in_the_time_asked_for(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    storm = normal.copy(deep=True)
    storm["gust_mps"][:, 25:] = 60.0
    felt = lines_of(assess(storm, site, weather, **road))[3]
    assert felt.result[1] < 30.0


@pytest.mark.parametrize("heading_deg", [0.0, 60.0, 100.0, 190.0, 270.0, 355.0])
def test_gust_felt_follows_from_the_printed_angles(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], heading_deg: float
) -> None:
    """Fast, so that the angle tells; with and without a known direction."""
    moving = road | {"speed_mps": np.full(9, 5.0), "heading_deg": np.full(9, heading_deg)}
    narrow = weather.model_copy(update={"direction_spread_deg": 7.0})
    blind = normal.copy(deep=True)
    blind["northward_wind_mps"][:] = np.nan
    for feed in (normal, blind):
        felt = lines_of(assess(feed, site, narrow, **moving))[3]
        assert felt.result[1] == pytest.approx(felt_by_hand(felt), rel=1e-5)
        assert {symbol: number for symbol, number, *_ in felt.values}["s_1"] == 7.0


def test_no_two_lines_have_one_title(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]) -> None:
    titles = [(line.check, line.title) for line in lines_of(assess(normal, site, weather, **road))]
    assert len(set(titles)) == len(titles)
