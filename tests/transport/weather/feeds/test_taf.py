"""TAF into the normal form: the published example, the newest issue, every refusal, and text that was damaged."""

import json
import string
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.assess import assess
from transport.weather.feeds import feed as feeds
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations import taf
from transport.weather.inputs import Site, Weather

Put = Callable[[str | bytes], Path]
Place = Callable[..., Feed]
KNOT_MPS = 1852.0 / 3600.0
DATE = "2026-03-28T11:05Z\n"
# Annex 3 example A5-1, printed in wmo-im/iwxxm 2.1.1 examples/taf-A5-1.xml, which also gives the full dates (read).
ANNEX_3 = (
    "TAF YUDO 151800Z 1600/1618 13005MPS 9000 BKN020 BECMG 1606/1608 SCT015CB BKN020\n"
    "TEMPO 1608/1612 17006G12MPS 1000 TSRA SCT010CB BKN020 FM161230 15004MPS 9999 BKN020\n"
)
LONG = (
    "TAF YUDO 281100Z 2812/2918 24012KT 9999 SCT020 TX12/2815Z TN03/2905Z\n"
    "  PROB30 TEMPO 2814/2817 25025G45KT 3000 TSRA SCT015CB\n"
    "  BECMG 2818/2820 30020KT CAVOK FM290600 VRB04KT 1 1/2SM BR OVC004\n"
    "  PROB40 2908/2910 31015G28KT RMK NXT FCST BY 281800Z=\n"
)


@pytest.fixture
def read(put: Put, place: Place) -> Callable[[str], xr.Dataset]:
    return lambda text: taf.read(put(text), place("taf", "forecast"))


Read = Callable[[str], xr.Dataset]


def column(data: xr.Dataset, name: str) -> np.ndarray:
    return np.asarray(data[name].to_numpy().ravel())


def told(data: xr.Dataset, name: str) -> list[str]:
    return [str(text) for text in json.loads(data.attrs[name])]


def test_the_example_of_annex_3(read: Read) -> None:
    data = read("2012-08-15T18:05Z\n" + ANNEX_3)
    assert data.attrs["forecast_reference_time"] == "2012-08-15T18:00:00Z"
    assert data["time"].to_numpy()[[0, -1]].astype("datetime64[s]").astype(str).tolist() == [
        "2012-08-16T00:00:00",
        "2012-08-16T18:00:00",
    ]
    mean, gust, sight = (column(data, name) for name in ("mean_wind_mps", "gust_mps", "visibility_m"))
    hours = np.arange(19)
    tempo = (hours >= 8) & (hours <= 12)
    np.testing.assert_allclose(mean, np.where(tempo, 6.0, np.where(hours <= 13, 5.0, 4.0)))
    np.testing.assert_allclose(sight, np.where(tempo, 1000.0, np.where(hours <= 13, 9000.0, 10000.0)))
    unreported = np.where(hours <= 13, 5.0, 4.0) + 10.0 * KNOT_MPS
    np.testing.assert_allclose(gust, np.where(tempo, 12.0, unreported), rtol=1e-6)
    assert np.isnan(column(data, "eastward_wind_mps")[tempo]).all()
    np.testing.assert_allclose(column(data, "eastward_wind_mps")[0], -5.0 * np.sin(np.deg2rad(130.0)), rtol=1e-6)
    assert told(data, "remarks") == [
        "s.txt: foresees thunderstorm or cumulonimbus from 2012-08-16 06:00 to 2012-08-16 12:30 UTC",
        "s.txt: foresees thunderstorm or cumulonimbus from 2012-08-16 08:00 to 2012-08-16 12:00 UTC",
    ]


def test_the_normal_form(read: Read) -> None:
    data = read(DATE + LONG)
    assert dict(data.sizes) == {"realization": 1, "time": 31, "latitude": 1, "longitude": 1}
    assert (data.attrs["source_kind"], data.attrs["role"], data.attrs["gust_kind"]) == ("TAF", "forecast", "maximum")
    assert data.attrs["valid_within_m"] == 25_000.0
    assert float(data["surface_altitude_m"].item()) == 1980.0
    assert (np.diff(data["time"].to_numpy()) == np.timedelta64(1, "h")).all()
    assert (data["gust_end"].to_numpy() == data["time"].to_numpy()).all()
    assert told(data, "read") == [
        (
            "wind, gust and visibility from TAF YUDO issued 2026-03-28 11:00 UTC, "
            "valid 2026-03-28 12:00 to 2026-03-29 18:00 UTC"
        ),
        "month and year from the date '2026-03-28T11:05Z' above it",
    ]
    assert told(data, "derived")[1] == (
        "a wind without a gust may gust up to 10 kt above its mean unreported: that is its gust"
    )
    assert column(data, "gust_mps").max() == pytest.approx(45 * KNOT_MPS)


def test_hour_24_and_end_of_month(read: Read) -> None:
    text = "2026-03-31\nTAF YUDO 311700Z 3118/0124 24012KT CAVOK BECMG 3122/3124 25030G45KT BECMG 0112/0114 24010KT="
    data = read(text)
    assert str(data["time"].to_numpy()[-1])[:16] == "2026-04-02T00:00"
    gust = column(data, "gust_mps")
    over = np.flatnonzero(gust > 22.0)
    assert over[0] == 4 and over[-1] == 20  # touched from 22-23 h on 31 March to 13-14 h on 1 April


def test_through_a_becoming_old_and_new_both_count(read: Read) -> None:
    falling = read(DATE + "TAF YUDO 281100Z 2812/2818 24030G42KT CAVOK BECMG 2814/2816 24008KT=")
    rising = read(DATE + "TAF YUDO 281100Z 2812/2818 24008KT CAVOK BECMG 2814/2816 24030G42KT=")
    strong_mps = 42 * KNOT_MPS
    np.testing.assert_allclose(column(falling, "gust_mps")[:5], strong_mps, rtol=1e-6)
    np.testing.assert_allclose(column(falling, "gust_mps")[5:], 18 * KNOT_MPS, rtol=1e-6)
    np.testing.assert_allclose(column(rising, "gust_mps")[:2], 18 * KNOT_MPS, rtol=1e-6)
    np.testing.assert_allclose(column(rising, "gust_mps")[2:], strong_mps, rtol=1e-6)


def test_newest_amended_and_corrected(read: Read) -> None:
    base = "TAF YUDO 281100Z 2812/2918 24012KT CAVOK=\n"
    amended = "TAF AMD YUDO 281230Z 2812/2918 24030KT CAVOK=\n"
    corrected = "TAF COR YUDO 281230Z 2812/2918 24033KT CAVOK=\n"
    for text in (base + amended + corrected, corrected + base + amended):
        assert column(read(DATE.replace("11:05", "12:40") + text), "mean_wind_mps").max() == pytest.approx(
            33 * KNOT_MPS
        )


def test_other_aerodromes_are_left_out_and_named(read: Read) -> None:
    data = read(
        DATE + LONG + "TAF YUDD 281200Z 2812/2918 24060KT CAVOK=\nMETAR YUDO 281050Z 24012KT CAVOK 10/02 Q1010="
    )
    assert "s.txt: left out: METAR YUDO, TAF YUDD" in told(data, "remarks")


def test_unknown_wind_is_unknown(read: Read) -> None:
    """Never zero, never the value at the end of the scale: no hour of it can be go."""
    for group in ("/////KT", "240P99KT", "24080GP99KT", "240P49MPS"):
        data = read(f"{DATE}TAF YUDO 281100Z 2812/2818 24012KT CAVOK TEMPO 2814/2815 {group}=")
        assert np.isnan(column(data, "gust_mps")).tolist() == [False] * 2 + [True] * 2 + [False] * 3
        assert "unknown" in told(data, "remarks")[0]


def test_kilometres_an_hour_and_extreme_winds(read: Read) -> None:
    """The library reads KMH as knots and 240105KT as 10 kt: our own reading stands."""
    data = read(DATE + "TAF YUDO 281100Z 2812/2818 24036KMH CAVOK=")
    assert column(data, "mean_wind_mps")[0] == pytest.approx(10.0)
    assert column(data, "gust_mps")[0] == pytest.approx(56.0 / 3.6)
    data = read(DATE + "TAF YUDO 281100Z 2812/2818 240105G130KT CAVOK=")
    assert column(data, "gust_mps")[0] == pytest.approx(130 * KNOT_MPS)


LATE = "; the forecast is refused"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            LONG,
            "s.txt:1: TAF YUDO: gives a day but no month, and no date stands above it; put the date it was fetched "
            "on a line above it, such as 2026-03-12T11:20Z" + LATE,
        ),
        (
            "2026-03-25T11:05Z\n" + LONG,
            "s.txt:2: TAF YUDO: day 28 at 11:00 does not fit the date '2026-03-25T11:05Z' that stands above it; is it "
            "the report of another month?" + LATE,
        ),
        (DATE + LONG.replace("YUDO", "YUDD"), "s.txt: holds no TAF of YUDO; it holds TAF YUDD"),
        (DATE, "s.txt: holds no TAF of YUDO; it holds nothing"),
        (
            DATE + LONG + "TAF AMD YUDO 281200Z 2812/2918 CNL=",
            "s.txt:6: TAF YUDO: the newest, issued 2026-03-28 12:00, is cancelled (CNL)" + LATE,
        ),
        (
            DATE + "TAF YUDO 281100Z NIL=",
            "s.txt:2: TAF YUDO: the newest, issued 2026-03-28 11:00, is NIL: no forecast was made" + LATE,
        ),
        (
            DATE + "TAF YUDO 281100Z 2812/2918 24012KT CAVOK=\nTAF YUDO 281100Z 2812/2918 24015KT CAVOK=",
            "s.txt:3: TAF YUDO: two different forecasts have the same time of issue" + LATE,
        ),
        (
            DATE + "TAF YUDO 281100Z 24012KT CAVOK=",
            "s.txt:2: TAF YUDO: '24012KT' stands where its validity is needed, such as 1212/1318" + LATE,
        ),
        (
            DATE + "TAF YUDO 2812/2918 24012KT CAVOK=",
            "s.txt:2: TAF YUDO: '2812/2918' stands where its time of issue is needed, such as 121100Z" + LATE,
        ),
        (
            DATE + "TAF YUDO 281100Z 2912/2812 24012KT CAVOK=",
            "s.txt:2: TAF YUDO: day 29 at 12:00 lies outside 27 Mar 05:00 to 29 Mar 02:00 UTC" + LATE,
        ),
        (
            DATE + "TAF YUDO 281100Z 2806/2810 24012KT CAVOK=",
            "s.txt:2: TAF YUDO: its validity 2806/2810 ends before it begins or before its issue" + LATE,
        ),
        (DATE + LONG.replace("TSRA", "TSXA"), "s.txt:2: TAF YUDO: 'TSXA' is not understood" + LATE),
        (
            DATE + LONG.replace("G45", "G20"),
            "s.txt:2: TAF YUDO: '25025G20KT' has a gust below its mean" + LATE,
        ),
    ],
)
def test_every_refusal(read: Read, text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert str(caught.value) == said


def test_a_damaged_character_never_weakens_the_wind_unseen(read: Read) -> None:
    """Each character left out, each changed to a letter or sign: refused, or no hour has a weaker wind or gust.

    Not to be seen by anyone: a digit changed into another digit that leaves a believable number.
    """
    whole = DATE + LONG
    mean, gust = (column(read(whole), name) for name in ("mean_wind_mps", "gust_mps"))
    texts = [whole[:at] + whole[at + 1 :] for at in range(len(whole))]
    signs = "GPTV /="
    texts += [whole[:at] + sign + whole[at + 1 :] for at in range(len(whole)) for sign in signs if sign != whole[at]]
    digits = [at for at, sign in enumerate(whole) if sign not in string.digits]
    texts += [whole[:at] + "5" + whole[at + 1 :] for at in digits]
    read_whole = 0
    for text in texts:
        try:
            data = read(text)
        except InputError:
            continue
        read_whole += 1
        weaker = (column(data, "mean_wind_mps") < mean - 1e-5) | (column(data, "gust_mps") < gust - 1e-5)
        assert not weaker.any(), text
    assert 0.02 < read_whole / len(texts) < 0.5


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_mutations_raise_nothing_but_input_errors(read: Read, data: st.DataObject) -> None:
    text = DATE + LONG
    for _ in range(data.draw(st.integers(1, 4))):
        at, length = data.draw(st.integers(0, len(text))), data.draw(st.integers(0, 12))
        fresh = data.draw(
            st.one_of(st.text(max_size=6), st.sampled_from(["TEMPO ", "FM281400 ", "=", "\n", "P99KT", " /////KT"]))
        )
        text = text[:at] + fresh + text[at + length :]
    try:
        found = read(text.replace("\ud800", ""))
    except InputError:
        return
    assert not (column(found, "gust_mps") < column(found, "mean_wind_mps")).any()


def test_the_feed_chooses_the_reader(put: Put, place: Place) -> None:
    model = place("taf", "forecast")
    assert feeds.read(put(DATE + LONG), model).identical(taf.read(put(DATE + LONG), model))
    for head, said in (
        ("<html>", "the file is a web page, perhaps a login page; fetch the forecast again"),
        ("", "the file is empty; fetch it again"),
    ):
        with pytest.raises(InputError) as caught:
            feeds.read(put(head), model)
        assert str(caught.value) == f"s.txt: {said}"
    with pytest.raises(InputError, match="is no weather file that can be read; allowed is text, as format 'taf' says"):
        feeds.read(put(b"\x89HDF\r\n\x1a\n" + bytes(20)), model)


def test_as_the_forecast_of_a_move(put: Put, place: Place, site: Site, weather: Weather, road: dict[str, Any]) -> None:
    """One wind for all hours is believed of a TAF; stations out of its reach, and hours it calls unknown, are not."""
    alone = weather.model_copy(update={"minimum_members": 1, "maximum_height_mismatch_m": 3000.0})
    near = road | {"longitude_deg": np.full(9, -12.3), "latitude_deg": np.full(9, 12.3)}

    def assessed(text: str, road: dict[str, Any]) -> xr.Dataset:
        feed = taf.read(put("2026-03-10T02:55Z\n" + text), place("taf", "forecast"))
        return assess(feed, site, alone, **road)

    steady = assessed("TAF YUDO 100250Z 1003/1106 24012KT CAVOK=", near)
    assert steady.attrs["refusals"] == "[]"
    assert float(steady["gust_at_load_mps"].min()) >= 22 * KNOT_MPS - 1e-4
    calm = assessed("TAF YUDO 100250Z 1003/1106 00000KT CAVOK=", near)
    assert calm.attrs["refusals"] == "[]"
    assert float(calm["gust_at_load_mps"].min()) >= 10 * KNOT_MPS - 1e-4
    far = assessed("TAF YUDO 100250Z 1003/1106 24012KT CAVOK=", road)
    assert "9 of 9 stations lie outside the grid" in far.attrs["refusals"]
    assert np.isnan(far["gust_at_load_mps"]).all()
    unknown = assessed("TAF YUDO 100250Z 1003/1106 24012KT CAVOK TEMPO 1010/1012 /////KT=", near)
    assert "missing values" in unknown.attrs["refusals"]
