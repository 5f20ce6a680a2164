"""Groups of a TAF by the letter; the second reading by a library."""

from datetime import UTC, datetime

import pytest

from transport.weather.feeds.stations.report_time import UnreadableError
from transport.weather.feeds.stations.reports import Report
from transport.weather.feeds.stations.taf_check import confirm
from transport.weather.feeds.stations.taf_groups import Group, groups_of

START, END = datetime(2026, 3, 28, 12, tzinfo=UTC), datetime(2026, 3, 29, 18, tzinfo=UTC)


def groups(text: str) -> list[Group]:
    return groups_of(text.split(), START, END)


def report(text: str) -> Report:
    return Report(1, None, "TAF", frozenset(), "YUDO", ("281100Z", "2812/2918", *text.split()))


def test_kinds_and_times() -> None:
    found = groups(
        "24012KT 9999 SCT020 PROB30 TEMPO 2814/2817 25025KT PROB40 2817/2818 3000 "
        "BECMG 2818/2820 CAVOK FM290615 VRB04KT P6SM"
    )
    assert [(g.kind, g.chance, f"{g.start:%d%H%M}", f"{g.end:%d%H%M}") for g in found] == [
        ("BASE", "", "281200", "291800"),
        ("TEMPO", "30", "281400", "281700"),
        ("PROB", "40", "281700", "281800"),
        ("BECMG", "", "281800", "282000"),
        ("FM", "", "290615", "290615"),
    ]
    assert [g.wind.text if g.wind else None for g in found] == ["24012KT", "25025KT", None, None, "VRB04KT"]
    assert [g.sight_m for g in found] == [10000.0, None, 3000.0, 10000.0, pytest.approx(6 * 1609.344)]


@pytest.mark.parametrize("word", ["-TSRA", "TS", "VCTS", "+TSGR", "SCT040CB", "BKN///CB"])
def test_thunder(word: str) -> None:
    assert groups(f"24012KT 9999 {word}")[0].thunder


def test_a_wind_aloft_is_no_surface_wind() -> None:
    """WS020/24045KT is the wind at 2000 ft: United States practice (memory)."""
    found = groups("24012KT P6SM SKC WS020/24045KT")
    assert found[0].wind is not None and found[0].wind.text == "24012KT"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("TEMPO 2814/2815 24012KT", "has no wind before its first change group"),
        ("9999 24012KT", "has 1 winds in its BASE group, allowed is one, at its beginning"),
        ("", "has 0 winds in its BASE group, allowed is one, at its beginning"),
        ("24012KT 24045KT", "has 2 winds in its BASE group, allowed is one, at its beginning"),
        ("24012KT FM281400 9999", "has 0 winds in its FM group, allowed is one, at its beginning"),
        ("24012KT TEMPO 24045KT", "'24045KT' stands where a change group needs its times, such as 1206/1209"),
        ("24012KT TEMPO", "'' stands where a change group needs its times, such as 1206/1209"),
        ("24012KT TEMPO 2816/2814 24045KT", "'2816/2814' ends before it begins"),
        ("24012KT TEMPO 2916/2920 24045KT", "day 29 at 20:00 lies outside 28 Mar 12:00 to 29 Mar 18:00 UTC"),
        ("24012KT FM290600 24010KT BECMG 2818/2820 24045KT", "has change groups out of order"),
        ("24012KT 9999 TEMP 2814/2815", "'TEMP' is not understood"),
        ("24012KT 9999 24045K", "'24045K' is not understood"),
        ("24012KT 9999 RMK TEMPO 2814/2815 24045KT", "'TEMPO' stands after RMK, where it would be passed over"),
        ("24012KT 9999 AMD 24045KT", "'24045KT' stands after AMD, where it would be passed over"),
    ],
)
def test_refusals(text: str, said: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        groups(text)
    assert str(caught.value) == said


TEXT = "24012KT 9999 SCT020 PROB30 TEMPO 2814/2817 25025G45KT BECMG 2818/2824 VRB03KT FM290600 00000KT CAVOK"


def test_two_readings_agree() -> None:
    """metar-taf-parser 1.13 reads the same kinds, times and winds."""
    confirm(report(TEXT), groups(TEXT))


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (TEXT.replace("G45", "G46"), "two readings of a wind differ: '25025G46KT', or 250 25 G45 KT"),
        (TEXT.replace("24012KT", "24013KT"), "two readings of a wind differ: '24013KT', or 240 12 GNone KT"),
        (TEXT.replace("24012KT", "25012KT"), "two readings of a wind differ: '25012KT', or 240 12 GNone KT"),
        (TEXT.replace("2814/2817", "2814/2816"), "two readings differ: TEMPO 30 28 14 28 16, or TEMPO 30 28 14 28 17"),
        (TEXT.replace("FM290600", "FM290700"), "two readings differ: FM  29 7 0, or FM  29 6 0"),
        (TEXT.replace("PROB30 TEMPO", "TEMPO"), "two readings differ: TEMPO  28 14 28 17, or TEMPO 30 28 14 28 17"),
        (TEXT.replace("FM290600 00000KT CAVOK", ""), "two readings differ: 3 groups, or 4"),
    ],
)
def test_two_readings_that_differ(other: str, said: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        confirm(report(TEXT), groups(other))
    assert str(caught.value) == said


def test_a_library_that_trips(monkeypatch: pytest.MonkeyPatch) -> None:
    from metar_taf_parser.parser import parser

    monkeypatch.setattr(parser.TAFParser, "parse", lambda self, text: 1 / 0)
    with pytest.raises(UnreadableError, match="cannot be read a second time by the library that checks it"):
        confirm(report(TEXT), groups(TEXT))


def test_what_the_library_drops_without_a_word() -> None:
    """Why the second reading is not the first: above 99 kt it has no wind, or a tenth of it."""
    from metar_taf_parser.parser.parser import TAFParser

    head = "TAF YUDO 281100Z 2812/2918"
    assert TAFParser().parse(f"{head} 240P99KT").wind is None
    assert TAFParser().parse(f"{head} 24015GP99KT").wind.gust is None
    assert TAFParser().parse(f"{head} 240105KT").wind.speed == 10
    assert TAFParser().parse(f"{head} 24036KMH").wind.unit == "KT"
    for text in ("240P99KT", "24015GP99KT", "240105KT", "24036KMH"):
        confirm(report(text), groups(text))
