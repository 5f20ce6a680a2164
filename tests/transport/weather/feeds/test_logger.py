"""Tables of a feed of one place: what each format needs, refuses, and says."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from shared.errors import InputError
from shared.inputs import Model, load_toml
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations.logger import Column, Logger

Place = Callable[..., Feed]
MAST = """
[feed]
path = "mast.csv"
role = "observation"
format = "mast"
[feed.station]
name = "Ridge"
longitude_deg = -21.4
latitude_deg = -38.5
elevation_m = 2100.0
height_m = 10.0
valid_within_km = 5.0
[feed.logger]
time_column = "time"
time_format = "%d.%m.%Y %H:%M"
utc_offset = "+01:00"
label = "start"
interval_min = 10.0
delimiter = ";"
decimal = ","
header_row = 1
first_row = 2
missing = ["NAN", ""]
gust_average_s = 3.0
[[feed.column]]
name = "ws"
quantity = "wind_speed"
unit = "m/s"
statistic = "mean"
[[feed.column]]
name = "gust"
quantity = "wind_speed_of_gust"
unit = "m/s"
statistic = "maximum"
"""


class One(Model):
    feed: Feed


def loaded(tmp_path: Path, *changes: tuple[str, str]) -> Feed:
    text = MAST
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "move.toml"
    path.write_text(text, encoding="utf-8")
    return load_toml(path, One).feed


def test_a_mast_in_toml(tmp_path: Path) -> None:
    feed = loaded(tmp_path)
    assert feed.logger is not None and feed.logger.offset_min == 60
    assert [column.statistic for column in feed.column] == ["mean", "maximum"]
    west = loaded(tmp_path, ('"+01:00"', '"-03:30"')).logger
    assert west is not None and west.offset_min == -210


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            '"+01:00"',
            '"Europe/Madrid"',
            "'UTC' or a fixed offset such as '+01:00'; under summer time an hour stands twice",
        ),
        ('"+01:00"', '"CET"', "feed.logger.utc_offset"),
        ('"%d.%m.%Y %H:%M"', '"%d.%m.%y %H:%M"', "time_format '%d.%m.%y %H:%M' does not give a whole time"),
        ('"%d.%m.%Y %H:%M"', '"%d.%m.%Y %I:%M"', "needed are %Y, %m or %b, %d or %j, %H and %M, each once"),
        (
            'decimal = ","',
            'decimal = "."\nunit_row = 3',
            "first_row (2) must come after the rows of names, units and statistics",
        ),
        ('delimiter = ";"', 'delimiter = ","', "delimiter and decimal are both ','; one of them must differ"),
        ('unit = "m/s"', 'unit = "mps"', "unit 'mps' is not known for wind_speed, allowed are m s-1, m/s"),
        ('statistic = "mean"', 'statistic = "maximum"', "statistic of wind_speed is 'maximum', allowed is mean"),
        (
            'statistic = "maximum"',
            'statistic = "mean"',
            "statistic of wind_speed_of_gust is 'mean', allowed is maximum",
        ),
        (
            'quantity = "wind_speed_of_gust"',
            'quantity = "wind_gust"',
            "quantity 'wind_gust' is not read, allowed are wind_speed",
        ),
        (
            'quantity = "wind_speed_of_gust"\nunit = "m/s"\nstatistic = "maximum"',
            'quantity = "wind_speed"\nunit = "m/s"\nstatistic = "mean"',
            "two columns for wind_speed; name the one instrument to be read",
        ),
        (
            'quantity = "wind_speed"\nunit = "m/s"',
            'quantity = "wind_from_direction"\nunit = "deg"',
            "one column must be wind_speed",
        ),
        ("gust_average_s = 3.0\n", "", "a gust needs gust_average_s in [weather.feed.logger]"),
        (
            'missing = ["NAN", ""]\n',
            "",
            "feed.logger.missing: field required; what the logger writes where it has no value",
        ),
        (
            "interval_min = 10.0",
            "interval_min = 90.0",
            "feed.logger.interval_min: input should be less than or equal to 60",
        ),
        ('role = "observation"', 'role = "forecast"', "format 'mast' is an observation, set role so"),
    ],
)
def test_every_mistake_is_said(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        loaded(tmp_path, (old, new))
    assert said in str(caught.value)
    assert str(caught.value).startswith("move.toml:")


@pytest.mark.parametrize(
    ("kind", "given", "said"),
    [
        ("taf", {"role": "observation"}, "a TAF is a forecast, not an observation"),
        ("taf", {"role": "forecast", "height_m": 6.0}, "a TAF speaks of the wind 10 m above ground, set height_m so"),
        ("taf", {"role": "forecast", "month": "2026-03"}, "month is for METAR reports only"),
        ("metar", {"role": "second_opinion"}, "format 'metar' is an observation, set role so"),
        ("metar", {"month": "2026-13"}, "month"),
        ("nmea", {}, "an NMEA 0183 log needs standing = true or false, others take none"),
        ("metar", {"standing": True}, "an NMEA 0183 log needs standing = true or false, others take none"),
        ("nmea", {"standing": False, "zero_points_deg": 0.0}, "zero_points_deg needs standing = true"),
        (
            "mast",
            {},
            "a mast needs [weather.feed.logger], another feed takes none; a mast needs [[weather.feed.column]]",
        ),
    ],
)
def test_what_each_format_needs(place: Place, kind: str, given: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        place(kind, **given)
    assert said in str(caught.value)


def test_reports_need_an_identifier(tmp_path: Path, place: Place) -> None:
    station = place("metar").station
    assert station is not None
    bare = station.model_copy(update={"identifier": None})
    for kind, role in (("taf", "forecast"), ("metar", "observation")):
        with pytest.raises(ValidationError, match="reports need the identifier of the aerodrome"):
            Feed(path="a.txt", role=role, format=kind, station=bare)
    with pytest.raises(ValidationError, match="a feed of one place needs"):
        Feed(path="a.txt", role="observation", format="nmea", standing=True)


def test_models_stand_alone() -> None:
    assert Column(name="a", quantity="air_temperature", unit="degC", statistic="point").unit == "degC"
    assert Logger.model_fields["missing"].is_required()
