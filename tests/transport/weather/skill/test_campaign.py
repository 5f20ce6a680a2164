"""What a campaign measured, and which relief factor counts by it; invented winds, no proof: see test_speed_up.py."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from shared.learned import text_of
from transport.weather.inputs import Relief, Site
from transport.weather.skill.campaign import Measured, SpeedUps, believed_site, load, measured
from transport.weather.skill.file import Mast

HOUR = np.timedelta64(1, "h")
MAST = Mast(name="Saddle mast", longitude_deg=-21.3, latitude_deg=-38.5, elevation_m=2010.0, height_m=10.0)


def relief(factor: float = 1.5, **fields: Any) -> Relief:
    stretch = {"name": "saddle", "from_station_m": 100.0, "to_station_m": 400.0, "wind_from_deg": (200.0, 320.0)}
    return Relief(**stretch | {"factor_ratio": factor, "source": "invented", "measured": "speed_up.json"} | fields)


def site(*reliefs: Relief) -> Site:
    return Site(time_zone="Etc/GMT+1", terrain_category="II", air_density_kg_per_m3=1.25, relief=reliefs)


def pairs(days: int, ratio: float = 1.2, from_deg: float = 260.0, seed: int = 5) -> xr.Dataset:
    """Two runs a day that both foresee each hour; the older one is wrong by a factor of two."""
    rng = np.random.default_rng(seed)
    time = (
        np.datetime64("2026-01-01T01:00", "ns")
        + np.repeat(np.arange(days) * 24, 12) * HOUR
        + np.tile(np.arange(12), days) * HOUR
    )
    new = rng.uniform(5.0, 12.0, time.size)
    observed = new * (ratio + rng.normal(0.0, 0.05, time.size))
    twice = np.concatenate([time, time])
    mean = np.concatenate([2.0 * new, new])
    return xr.Dataset(
        {
            "forecast_mean_mps": (("case", "member"), np.stack([mean - 0.5, mean + 0.5], axis=1)),
            "forecast_gust_mps": (("case", "member"), 1.6 * np.stack([mean, mean], axis=1)),
            "observed_mean_mps": ("case", np.tile(observed, 2)),
            "observed_gust_mps": ("case", 1.6 * np.tile(observed, 2)),
            "lead_h": ("case", np.repeat([30.0, 6.0], time.size)),
            "wind_from_deg": ("case", np.full(twice.size, from_deg)),
        },
        {"time": ("case", twice)},
    )


def file(*found: Measured) -> SpeedUps:
    return SpeedUps(
        schema_name="speed-up/1", version="0", as_of=datetime(2026, 3, 1, tzinfo=UTC), measured=found, inputs=()
    )


def believed(found: Measured, *, stated: float = 1.5, may_lower: bool = True, load_m: float = 4.0) -> float:
    made, _ = believed_site(site(relief(stated)), {"speed_up.json": file(found)}, load_m, may_lower=may_lower)
    assert made.relief[0].shape is None
    assert made.relief[0].factor_ratio is not None
    return made.relief[0].factor_ratio


def test_each_hour_counts_once_by_the_newest_run() -> None:
    found = measured(pairs(30), relief(), MAST)
    assert found.mean.cases == 360
    assert found.mean.ratio == pytest.approx(1.2, abs=0.02)
    assert found.gust.ratio == pytest.approx(found.mean.ratio, rel=1e-9)


def test_only_wind_from_the_sector_counts() -> None:
    away = measured(pairs(30, from_deg=90.0), relief(), MAST)
    assert (away.mean.cases, away.mean.ratio, away.without_direction) == (0, None, 0)
    unknown = measured(pairs(30, from_deg=np.nan), relief(), MAST)
    assert (unknown.mean.cases, unknown.without_direction) == (0, 360)
    assert believed(away) == believed(unknown) == 1.5


def test_a_member_that_is_unknown_leaves_its_hour_out() -> None:
    lame = pairs(30)
    lame["forecast_mean_mps"][400, 1] = np.nan
    assert measured(lame, relief(), MAST).mean.cases == 359


def test_a_long_campaign_stands_alone_and_a_short_one_only_raises() -> None:
    long, short = measured(pairs(30), relief(), MAST), measured(pairs(8), relief(), MAST)
    assert 1.2 < believed(long) < 1.25
    assert believed(short) == 1.5
    assert believed(short, stated=1.1) == short.mean.upper_ratio > 1.2


def test_it_never_lowers_for_another_source_or_a_calibrated_forecast() -> None:
    long = measured(pairs(30), relief(), MAST)
    assert believed(long, may_lower=False) == 1.5
    assert believed(long, stated=1.1, may_lower=False) == pytest.approx(long.mean.upper_ratio)


def test_the_larger_of_mean_and_gust_counts() -> None:
    gusty = pairs(30)
    gusty["observed_gust_mps"] = gusty["observed_gust_mps"] * 1.3
    found = measured(gusty, relief(), MAST)
    assert believed(found) == found.gust.upper_ratio > 1.5
    lulled = pairs(30)
    lulled["observed_gust_mps"] = lulled["observed_gust_mps"].where(np.arange(720) % 3 == 0)
    few = measured(lulled.isel(case=slice(None, None, 2)), relief(), MAST)
    assert believed(few) == 1.5, "the gust alone is not known long enough, so the stated factor stays"


def test_it_is_said_what_counts() -> None:
    _, said = believed_site(
        site(relief()), {"speed_up.json": file(measured(pairs(30), relief(), MAST))}, 4.0, may_lower=True
    )
    assert said[0].startswith("relief 'saddle': factor 1.2")
    assert said[0].endswith("by 360 steps on 30 days); the campaign stands alone")
    _, held = believed_site(
        site(relief()), {"speed_up.json": file(measured(pairs(1), relief(), MAST))}, 4.0, may_lower=True
    )
    assert held[0].endswith("mean wind says nothing on 1 day, gust says nothing on 1 day); the larger counts")


@pytest.mark.parametrize(
    ("fields", "load_m", "said"),
    [
        (
            {"name": "pass"},
            4.0,
            "speed_up.json speaks 0 times of 'pass', allowed is once; it speaks of 'saddle'; make it",
        ),
        (
            {"wind_from_deg": (190.0, 320.0)},
            4.0,
            "was measured for wind from 200 to 320 degrees, the relief says 190 to 320",
        ),
        ({}, 10.1, "the mast of speed_up.json is 10 m high, the load meets wind at 10.1 m, where it is stronger"),
    ],
)
def test_a_file_that_speaks_of_something_else(fields: dict[str, Any], load_m: float, said: str) -> None:
    found = file(measured(pairs(30), relief(), MAST))
    with pytest.raises(InputError) as caught:
        believed_site(site(relief(**fields)), {"speed_up.json": found}, load_m, may_lower=True)
    assert said in str(caught.value)
    assert str(caught.value).startswith("site.relief[0].measured: ")


def test_the_file_is_read_as_it_was_written(tmp_path: Path) -> None:
    found = file(measured(pairs(30), relief(), MAST), measured(pairs(1), relief(name="pass"), MAST))
    path = tmp_path / "speed_up.json"
    path.write_text(text_of(found), encoding="utf-8")
    assert load(path) == found
    assert found.told()["measured"][0]["mean"]["proved"] is True
    assert found.told()["measured"][1]["gust"]["proved"] is False


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"schema": "speed-up/1"', '"schema": "speed-up/2"', "is no measured speed-up that this version reads"),
        ('"days": 30', '"days": 1', "ratio, standard_error and upper_ratio are known together, from two days on"),
        ('"upper_ratio": 1.2', '"upper_ratio": 0.2', "the upper bound lies below the ratio"),
        ("{", "", "is no measured speed-up that this version reads"),
    ],
)
def test_a_file_that_was_changed(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = tmp_path / "speed_up.json"
    text = text_of(file(measured(pairs(30), relief(), MAST)))
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load(path)
    assert said in str(caught.value)
    assert str(caught.value).endswith("make it again with glasshaul speedup")
