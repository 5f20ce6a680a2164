"""METAR and SPECI into the normal form: the published examples, time, corrections, what is silent, every refusal."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds import feed as feeds
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations import metar

Put = Callable[[str | bytes], Path]
Place = Callable[..., Feed]
Read = Callable[..., xr.Dataset]
KNOT_MPS = 1852.0 / 3600.0
DATE = "2026-03-12T12:10Z\n"
PLAIN = "METAR YUDO 121150Z 24012KT 9999 SCT020 12/05 Q1010=\n"


@pytest.fixture
def read(put: Put, place: Place) -> Read:
    return lambda text, **more: metar.read(put(text), place("metar", **more))


def column(data: xr.Dataset, name: str) -> np.ndarray:
    return np.asarray(data[name].to_numpy().ravel())


def told(data: xr.Dataset, name: str) -> list[str]:
    return [str(text) for text in json.loads(data.attrs[name])]


def test_the_examples_of_annex_3(read: Read) -> None:
    """A3-2 as rendered in wmo-im/iwxxm 2.1.1 speci-A3-2.xml: 50 deg, 25 kt, gust 37 kt, 25 and 22 degC, 1200 m."""
    data = read(
        "2012-08-15T11:25Z\n"
        "SPECI YUDO 151115Z 05025G37KT 3000 1200NE +TSRA BKN005CB 25/22 Q1008 TEMPO TL1200 0600\n"
        "BECMG AT1200 8000 NSW NSC\n"
        "2012-08-22T16:40Z\n"
        "METAR YUDO 221630Z 24004MPS 0600 R12/1000U DZ FG SCT010 OVC020 17/16 Q1018 BECMG TL1700 0800 FG\n"
        "BECMG AT1800 9999 NSW=\n"
    )
    assert data["time"].to_numpy().astype("datetime64[m]").astype(str).tolist() == [
        "2012-08-15T11:15",
        "2012-08-22T16:30",
    ]
    np.testing.assert_allclose(column(data, "mean_wind_mps"), [25 * KNOT_MPS, 4.0], rtol=1e-6)
    np.testing.assert_allclose(column(data, "gust_mps"), [37 * KNOT_MPS, np.nan], rtol=1e-6)
    np.testing.assert_allclose(column(data, "visibility_m"), [1200.0, 600.0])
    np.testing.assert_allclose(column(data, "air_temperature_K"), [298.15, 290.15], rtol=1e-6)
    np.testing.assert_allclose(column(data, "dew_point_K"), [295.15, 289.15], rtol=1e-6)
    np.testing.assert_allclose(
        column(data, "northward_wind_mps")[0], -25 * KNOT_MPS * np.cos(np.deg2rad(50.0)), rtol=1e-6
    )


def test_a_report_speaks_for_ten_minutes(read: Read) -> None:
    """METAR wind is that of the 10 minutes before (Annex 3, 4.1.3.1, read as quoted); the other 50 are unknown."""
    data = read(DATE + "METAR YUDO 121050Z 24012G25KT 9999 12/05 Q1010=\n" + PLAIN)
    starts, ends = (data[f"gust_{end}"].to_numpy().astype("datetime64[m]") for end in ("start", "end"))
    assert starts.astype(str).tolist() == ["2026-03-12T10:40", "2026-03-12T11:40"]
    assert ends.astype(str).tolist() == ["2026-03-12T10:50", "2026-03-12T11:50"]
    assert data.attrs["observed_until"] == "2026-03-12T11:50:00Z"
    assert (data.attrs["source_kind"], data.attrs["role"]) == ("METAR", "observation")
    assert "forecast_reference_time" not in data.attrs
    assert told(data, "derived") == [
        "each report speaks for the 10 minutes before it; the time between reports is unknown",
        "mean over 10 min (United States: 2 min), gust over 3 s",
        "1 of 2 times state no gust, so it is unknown; a gust need not be reported up to 10 kt above the mean",
    ]


def test_a_missing_gust_is_unknown_and_the_mean_stays(read: Read) -> None:
    data = read(DATE + PLAIN)
    assert np.isnan(column(data, "gust_mps")).all()
    assert column(data, "mean_wind_mps")[0] == pytest.approx(12 * KNOT_MPS)


def test_unknown_is_not_zero_and_calm_is(read: Read) -> None:
    text = (
        DATE
        + PLAIN
        + "METAR YUDO 121120Z AUTO /////KT //// // ////// ///// Q////=\nMETAR YUDO 121050Z 00000KT 9999 12/05 Q1010="
    )
    data = read(text)
    assert column(data, "mean_wind_mps").tolist()[0] == 0.0
    assert np.isnan(
        [column(data, name)[1] for name in ("mean_wind_mps", "gust_mps", "visibility_m", "air_temperature_K")]
    ).all()


def test_corrections_replace_and_doubles_take_the_stronger(read: Read) -> None:
    cor = "METAR COR YUDO 121150Z 24010KT 9999 SCT020 12/05 Q1010=\n"
    assert column(read(DATE + PLAIN + cor), "mean_wind_mps") == pytest.approx([10 * KNOT_MPS])
    double = "SPECI YUDO 121150Z 24010G33KT 9999 SCT020 12/05 Q1010=\n"
    data = read(DATE + PLAIN + double)
    assert column(data, "mean_wind_mps") == pytest.approx([12 * KNOT_MPS])
    assert column(data, "gust_mps") == pytest.approx([33 * KNOT_MPS])


@pytest.mark.parametrize(("group", "any_direction"), [("24012KT", False), ("VRB03KT", True), ("24012KT 200V290", True)])
def test_direction(read: Read, group: str, any_direction: bool) -> None:
    data = read(DATE + PLAIN.replace("24012KT", group))
    assert bool(np.isnan(column(data, "eastward_wind_mps")[0])) == any_direction


def test_above_the_scale(read: Read) -> None:
    data = read(DATE + PLAIN.replace("24012KT", "240P99KT"))
    assert column(data, "mean_wind_mps")[0] == pytest.approx(99 * KNOT_MPS)
    assert told(data, "remarks") == [
        "s.txt: 2026-03-12 11:50: '240P99KT' says more than the end of the scale; the end is taken"
    ]


def test_a_peak_in_the_remarks_is_not_lost(read: Read) -> None:
    """PK WND dddff(f)/(hh)mm: AFMAN 15-111, attachment 3 (read)."""
    data = read(DATE + PLAIN.replace("=", " RMK AO2 PK WND 28045/1115="))
    assert data["time"].to_numpy().astype("datetime64[m]").astype(str).tolist() == [
        "2026-03-12T11:15",
        "2026-03-12T11:50",
    ]
    assert column(data, "gust_mps")[0] == pytest.approx(45 * KNOT_MPS)
    over_midnight = read("2026-03-12\n" + PLAIN.replace("121150Z", "120010Z").replace("=", " RMK PK WND 28045/2355="))
    assert str(over_midnight["time"].to_numpy()[0])[:16] == "2026-03-11T23:55"


def test_a_declared_month(read: Read) -> None:
    data = read(PLAIN + PLAIN.replace("12115", "30115"), month="2026-03")
    assert str(data["time"].to_numpy()[-1])[:16] == "2026-03-30T11:50"
    assert told(data, "read")[1] == "month and year from the month 2026-03 stated in the move"


BROKEN = {
    "METAR YUDO 121120Z NIL=": "line 3: is NIL: nothing was observed",
    "METAR YUDO 121120Z 24018G12KT 9999 12/05 Q1010=": "line 3: '24018G12KT' has a gust below its mean",
    "METAR YUDO 121120Z 9999 12/05 Q1010=": "line 3: has 0 winds, allowed is one, right after its time",
    "METAR YUDO 121120Z 24018KT 24035KT 9999 12/05 Q1010=": "line 3: has 2 winds, allowed is one, right after its time",
    "METAR YUDO 121120Z 24O18KT 9999 12/05 Q1010=": "line 3: '24O18KT' is no wind group such as 24018G33KT",
    "METAR YUDO 121120Z 24018KT 9999 XYZZY 12/05 Q1010=": "line 3: holds a group that is not understood",
    "METAR YUDO 241120Z 24018KT 9999 12/05 Q1010=": (
        "line 3: day 24 at 11:20 does not fit the date '2026-03-12T12:10Z' that stands above it; is it the report of "
        "another month?"
    ),
    "METAR YUDO 121180Z 24018KT 9999 12/05 Q1010=": "line 3: '121180' is no day and hour",
    "METAR YUDO 24018KT 9999 12/05 Q1010=": "line 3: '24018KT' stands where its time is needed, such as 121120Z",
    "METAR YUDO 121120Z 24018KT 9999 12/05 Q1010 RMK PK WND 28045/1175=": (
        "line 3: has a peak wind at '1175', which is no time"
    ),
}


@pytest.mark.parametrize(("line", "said"), BROKEN.items())
def test_a_broken_report_is_left_out_and_named(read: Read, line: str, said: str) -> None:
    data = read(DATE + PLAIN + line)
    assert told(data, "remarks")[0] == f"s.txt: 1 of 2 reports refused: {said}"
    known = column(data, "mean_wind_mps")
    assert known[~np.isnan(known)] == pytest.approx([12 * KNOT_MPS])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            PLAIN,
            (
                "s.txt:1: gives a day but no month; put the date it was fetched on a line above it, or state month in "
                "[[weather.feed]]"
            ),
        ),
        (DATE + PLAIN.replace("YUDO", "YUDD"), "s.txt: holds no METAR of YUDO; it holds METAR YUDD"),
        (DATE + "METAR YUDO 121120Z NIL=", "s.txt: no report can be used; line 2: is NIL: nothing was observed"),
        (
            DATE + PLAIN.replace("24012KT", "/////KT"),
            "s.txt: holds no wind that can be believed: ",
        ),
    ],
)
def test_refusals(read: Read, text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert str(caught.value) == said


def test_two_libraries_read_the_same_winds(checks: list[dict[str, str]]) -> None:
    """metar 2.0 and metar-taf-parser 1.13 against our reading, on the published groups."""
    from metar.Metar import Metar
    from metar_taf_parser.parser.parser import MetarParser

    from transport.weather.feeds.stations.wind_group import wind_of

    for row in (row for row in checks if row["kind"] == "wind"):
        ours = wind_of(row["text"])
        text = f"YUDO 121150Z {row['text']} 9999 SCT020 12/05 Q1010"
        first, second = Metar(text, month=3, year=2026), MetarParser().parse(text)
        factor = {"KT": KNOT_MPS, "MPS": 1.0}[second.wind.unit]
        assert first.wind_speed.value("MPS") == pytest.approx(ours.mean_mps, abs=1e-4)
        assert second.wind.speed * factor == pytest.approx(ours.mean_mps)
        assert (first.wind_gust is not None) == (second.wind.gust is not None) == ours.gusty


def test_two_readings_that_differ(read: Read, monkeypatch: pytest.MonkeyPatch) -> None:
    from metar.Metar import Metar

    from transport.weather.feeds.stations import metar_report

    other = Metar("YUDO 121150Z 24011KT 9999 12/05 Q1010", month=3, year=2026)
    monkeypatch.setattr(metar_report, "_parsed", lambda text, time: other)
    with pytest.raises(InputError, match=r"line 2: two readings of '24012KT' differ: 6.17 mps, or 6 mps"):
        read(DATE + PLAIN)


WHOLE = DATE + "METAR YUDO 121050Z 24025G45KT 3000 TSRA SCT015CB 12/05 Q1010=\n"


def test_a_damaged_character_never_weakens_the_wind_unseen(read: Read) -> None:
    """A character left out, or changed to another that is no digit: refused, or the same wind."""
    texts = [WHOLE[:at] + WHOLE[at + 1 :] for at in range(len(WHOLE))]
    texts += [WHOLE[:at] + sign + WHOLE[at + 1 :] for at in range(len(WHOLE)) for sign in "OGPTV /="]
    read_whole = 0
    for text in texts:
        try:
            data = read(text)
        except InputError:
            continue
        read_whole += 1
        assert column(data, "gust_mps").max() >= 45 * KNOT_MPS - 1e-5, text
        assert column(data, "mean_wind_mps").max() >= 25 * KNOT_MPS - 1e-5, text
    assert 20 < read_whole < len(texts) / 2


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_mutations_raise_nothing_but_input_errors(read: Read, data: st.DataObject) -> None:
    text = WHOLE + PLAIN
    for _ in range(data.draw(st.integers(1, 4))):
        at, length = data.draw(st.integers(0, len(text))), data.draw(st.integers(0, 12))
        fresh = data.draw(
            st.one_of(st.text(max_size=6), st.sampled_from(["=", "\n", "P99KT ", " /////KT", " RMK PK WND "]))
        )
        text = text[:at] + fresh + text[at + length :]
    try:
        found = read(text.replace("\ud800", ""))
    except InputError:
        return
    assert not (column(found, "gust_mps") < column(found, "mean_wind_mps")).any()


def test_the_feed_chooses_the_reader(put: Put, place: Place) -> None:
    assert feeds.read(put(DATE + PLAIN), place("metar")).identical(metar.read(put(DATE + PLAIN), place("metar")))
    with pytest.raises(InputError, match="holds no METAR of YUDO; it holds PKZZ"):
        feeds.read(put("PKZZ 121150Z 24012KT 9999 12/05 Q1010="), place("metar"))


def test_the_wind_of_a_refused_report_is_kept_as_a_gust_alone(read: Read) -> None:
    """A gale in a report with one odd group must not vanish behind the calm report before it; nor is it a mean."""
    data = read(DATE + PLAIN + "METAR YUDO 121205Z 24045G65KT 9999 R24/XXXX SCT020 12/05 Q1000=\n")
    np.testing.assert_allclose(column(data, "gust_mps"), [np.nan, 65 * KNOT_MPS], rtol=1e-6)
    np.testing.assert_allclose(column(data, "mean_wind_mps"), [12 * KNOT_MPS, np.nan], rtol=1e-6)
    remarks = " ".join(told(data, "remarks"))
    assert "1 of 2 reports refused" in remarks
    assert "2026-03-12 12:05: of the refused report its wind alone is kept, as a gust" in remarks
    with pytest.raises(InputError, match="no report can be used"):
        read(DATE + "METAR YUDO 121205Z 24045G65KT 9999 R24/XXXX SCT020 12/05 Q1000=\n")
