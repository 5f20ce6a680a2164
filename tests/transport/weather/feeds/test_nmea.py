"""NMEA 0183 logs: published checksums, gates on each sentence, time, the summary, and every refusal."""

import json
from collections import Counter
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from functools import reduce
from pathlib import Path

import numpy as np
import pandas as pd
import pynmea2
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds import feed as feeds
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations import nmea
from transport.weather.feeds.stations.nmea_sentence import Clock, Gate, Sample, sentence

Put = Callable[[str | bytes], Path]
Place = Callable[..., Feed]
Read = Callable[..., xr.Dataset]
START = datetime(2026, 3, 10, 6, 0, 1, tzinfo=UTC)
KNOT_MPS = 1852.0 / 3600.0


def summed(body: str) -> str:
    """Exclusive or of the bytes between $ and *, two hexadecimal digits."""
    return f"${body}*{reduce(lambda left, right: left ^ right, body.encode(), 0):02X}"


def log(
    speeds: Iterable[float], step_s: float = 1.0, tail: str = "M,A", reference: str = "R", angle: str = "240"
) -> list[str]:
    moments = (START + timedelta(seconds=step_s * number) for number, _ in enumerate(iter(int, 1)))
    return [
        f"{moment:%Y-%m-%dT%H:%M:%S.%f}Z {summed(f'WIMWV,{angle},{reference},{speed:.2f},{tail}')}"
        for speed, moment in zip(speeds, moments, strict=False)
    ]


@pytest.fixture
def read(put: Put, place: Place) -> Read:
    def reading(lines: Iterable[str], standing: bool = True, zero_points_deg: float | None = None) -> xr.Dataset:
        model = place("nmea", standing=standing, zero_points_deg=zero_points_deg)
        return nmea.read(put("\n".join(lines)), model)

    return reading


def column(data: xr.Dataset, name: str) -> np.ndarray:
    return np.asarray(data[name].to_numpy().ravel())


def told(data: xr.Dataset, name: str) -> list[str]:
    return [str(text) for text in json.loads(data.attrs[name])]


def one(line: str) -> tuple[list[Sample | Clock], Counter[str]]:
    gate = Gate(75.0, Counter())
    return list(sentence(line, "s.txt:1", gate)), gate.refused


def test_published_checksums(checks: list[dict[str, str]]) -> None:
    rows = [row for row in checks if row["kind"] == "sum"]
    assert len(rows) == 5
    for row in rows:
        assert summed(row["text"]) == f"${row['text']}*{row['mean']}"
        found, refused = one(f"${row['text']}*{row['mean']}")
        assert isinstance(found[0], Sample) and found[0].kind == "MWV R" and not refused
        parts = row["text"].split(",")
        assert (found[0].angle_deg, found[0].speed_mps) == (float(parts[1]), float(parts[3]))


@pytest.mark.parametrize(("unit", "factor"), [("M", 1.0), ("K", 1 / 3.6), ("N", KNOT_MPS)])
def test_units(unit: str, factor: float) -> None:
    """K km/h, M m/s, N knots: fields of MWV as printed at docs.vaisala.com (read)."""
    (sample,), _ = one(summed(f"WIMWV,10.5,T,7.2,{unit},A"))
    assert isinstance(sample, Sample)
    assert (sample.kind, sample.speed_mps) == ("MWV T", pytest.approx(7.2 * factor))


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("$WIMWV,214.8,R,3.2,M,A*2F", "with a wrong or no checksum, or cut"),
        ("$WIMWV,214.8,R,3.2,M,A", "with a wrong or no checksum, or cut"),
        ("$WIMWV,214.8,R,3.2,M,A*2", "with a wrong or no checksum, or cut"),
        (summed("WIMWV,214.8,R,3.2,M,V"), "MWV with a status other than A"),
        (summed("WIMWV,,R,,M,V"), "MWV with a status other than A"),
        (summed("WIMWV,214.8,R,3.2,S,A"), "MWV with a unit other than K, M or N"),
        (summed("WIMWV,214.8,R,3.2,,A"), "MWV with a unit other than K, M or N"),
        (summed("WIMWV,370.0,R,3.2,M,A"), "MWV with an angle outside 0 to 360"),
        (summed("WIMWV,-10,R,3.2,M,A"), "MWV with an angle outside 0 to 360"),
        (summed("WIMWV,214.8,X,3.2,M,A"), "MWV of another form"),
        (summed("WIMWV,214.8,R,3.2,M"), "MWV of another form"),
        (summed("WIMWV,214.8,R,,M,A"), "with a speed that is no number from 0 to 75 m/s"),
        (summed("WIMWV,214.8,R,1a.2,M,A"), "with a speed that is no number from 0 to 75 m/s"),
        (summed("WIMWV,214.8,R,99.0,M,A"), "with a speed that is no number from 0 to 75 m/s"),
        (summed("WIMWV,214.8,R,nan,M,A"), "with a speed that is no number from 0 to 75 m/s"),
        ("no sentence at all", "without a sentence, or with a damaged time"),
        ("2026-13-10T06:00:01Z " + summed("WIMWV,214.8,R,3.2,M,A"), "without a sentence, or with a damaged time"),
        ("20x6 " + summed("WIMWV,214.8,R,3.2,M,A"), "without a sentence, or with a damaged time"),
        (summed("WIMDA,,,1.0,B,9,C,,,,,,,240,T,,M,10.0,N,9.0,M"), "MDA whose knots and m/s differ"),
        (summed("WIMDA,,,1.0,B,9,C,,,,,,,240,T,,M,,N,9.0,M"), "MDA whose knots and m/s differ"),
        (summed("WIMDA,,,1.0,B,9,C"), "MDA of another form"),
        (summed("GPZDA,256060,10,03,2026,00,00"), "with a clock that is no time"),
        (summed("GPZDA,,,,,,"), "with a clock that is no time"),
    ],
)
def test_gates_on_a_sentence(line: str, why: str) -> None:
    """What the library lets pass is stopped; wind that was lost leaves a sample without a speed."""
    found, refused = one(line)
    assert refused == Counter({why: 1})
    assert all(isinstance(sample, Sample) and np.isnan(sample.speed_mps) for sample in found)


def test_mda_and_other_sentences() -> None:
    (sample,), _ = one("$WIMDA,30.2269,I,1.0236,B,17.7,C,,,43.3,,5.0,C,131.5,T,128.6,M,0.8,N,0.4,M*54")
    assert sample == Sample(pytest.approx(np.nan, nan_ok=True), "MDA", pytest.approx(0.8 * KNOT_MPS), 131.5)
    assert one(summed("GPGGA,184353.07,1929.045,S,02410.506,E,1,04,2.6,100.00,M,-33.9,M,,0000")) == ([], Counter())
    assert one(summed("WIXYZ,1,2")) == ([], Counter())
    assert one(summed("GPZDA,060001.50,10,03,2026,00,00"))[0] == [Clock(START.timestamp() + 0.5, "s.txt:1")]


def test_a_local_time_is_refused() -> None:
    for text in ("2026-03-10T06:00:01", "2026-03-10 06:00:01+01:00", "2026-03-10T06:00"):
        with pytest.raises(InputError) as caught:
            one(f"{text} {summed('WIMWV,214.8,R,3.2,M,A')}")
        assert str(caught.value) == f"s.txt:1: '{text}' is no time in UTC such as 2026-03-10T06:00:00.0Z"


def test_the_summary_against_pandas(read: Read) -> None:
    """Scalar mean and highest 3 s running mean of each (t - 10 min, t], worked out by pandas."""
    rng = np.random.default_rng(5)
    speeds = np.round(6.0 + np.cumsum(rng.normal(0, 0.1, 2400)) % 5.0 + rng.normal(0, 0.5, 2400).clip(-1, 1), 2)
    found = read(log(speeds), zero_points_deg=10.0)
    plain = pd.Series(speeds, index=pd.date_range("2026-03-10T06:00:01", periods=2400, freq="1s"))
    ends = {"rule": "10min", "closed": "right", "label": "right"}
    running = plain.rolling(3).mean().fillna(plain)
    np.testing.assert_allclose(column(found, "mean_wind_mps"), plain.resample(**ends).mean(), rtol=1e-5)
    np.testing.assert_allclose(column(found, "gust_mps"), running.resample(**ends).max(), rtol=1e-5)
    assert [str(time)[11:16] for time in found["gust_end"].to_numpy()] == ["06:10", "06:20", "06:30", "06:40"]
    assert [str(time)[11:16] for time in found["gust_start"].to_numpy()] == ["06:00", "06:10", "06:20", "06:30"]
    from_deg = np.rad2deg(np.arctan2(-column(found, "eastward_wind_mps"), -column(found, "northward_wind_mps"))) % 360
    np.testing.assert_allclose(from_deg, 250.0, atol=1e-3)
    assert told(found, "derived") == [
        "mean: scalar mean of the samples of 10 min; direction: mean of the vectors",
        "gust: highest 3 s running mean",
    ]
    assert told(found, "read") == ["wind from MWV, relative, instrument at rest"]
    assert found.attrs["observed_until"] == "2026-03-10T06:40:00Z"


def test_a_vector_mean_of_directions(read: Read) -> None:
    """350 and 10 degrees make north, not south; the speed stays the scalar mean."""
    lines = log([5.0] * 600, angle="350")
    for number in range(1, 600, 2):
        lines[number] = log([5.0] * 600, angle="10")[number]
    found = read(lines, zero_points_deg=0.0)
    assert column(found, "mean_wind_mps") == pytest.approx([5.0])
    assert column(found, "northward_wind_mps") == pytest.approx([-5.0])
    assert column(found, "eastward_wind_mps") == pytest.approx([0.0], abs=1e-5)


def test_slow_samples_count_as_they_are(read: Read) -> None:
    speeds = [5.0 + number % 7 for number in range(300)]
    found = read(log(speeds, step_s=2.0))
    assert column(found, "gust_mps") == pytest.approx([11.0])
    assert told(found, "derived")[1:] == [
        "gust: the highest sample of each interval; samples come too slowly for a 3 s mean",
        "angles count from the instrument's own zero, so the wind may come from anywhere",
    ]
    assert np.isnan(column(found, "eastward_wind_mps")).all()


def test_a_short_gust_beside_lost_samples_is_not_averaged_away(read: Read) -> None:
    speeds = [5.0 + 0.01 * (number % 9) for number in range(600)]
    speeds[300] = 20.0
    lines = log(speeds)
    assert column(read(lines), "gust_mps")[0] == pytest.approx(10.05, abs=0.05)
    lines[299] = lines[299].replace("*", "x*")
    found = read(lines)
    assert column(found, "gust_mps")[0] == pytest.approx(20.0)
    assert told(found, "remarks") == ["s.txt: lines left out: 1 with a wrong or no checksum, or cut"]


@pytest.mark.parametrize("lost", ["cut", "damaged", "void"])
def test_too_few_samples_are_unknown(read: Read, lost: str) -> None:
    lines = log([5.0 + 0.01 * (number % 9) for number in range(1200)])
    for number in range(600, 1200, 5):
        changed = {
            "cut": "",
            "damaged": lines[number].replace("R,", "R,1"),
            "void": log([5.0] * 1200, tail="M,V")[number],
        }
        lines[number] = changed[lost]
    found = read(lines)
    assert np.isnan(column(found, "gust_mps")).tolist() == [False, True]
    assert "s.txt: 1 of 2 intervals have less than 90 % of their samples and are unknown" in told(found, "remarks")


def test_a_silent_minute_is_unknown(read: Read) -> None:
    lines = log([5.0 + 0.01 * (number % 9) for number in range(1200)])
    del lines[700:775]
    assert np.isnan(column(read(lines), "gust_mps")).tolist() == [False, True]


def test_time_from_clock_sentences(read: Read) -> None:
    lines = []
    for number in range(0, 1201):
        moment = START + timedelta(seconds=number - 1)
        clock = summed(f"GPZDA,{moment:%H%M%S}.00,{moment:%d,%m,%Y},00,00")
        lines += [clock, summed(f"WIMWV,240,R,{5 + 0.01 * (number % 9):.2f},M,A")]
    found = read(lines)
    assert str(found["time"].to_numpy()[-1])[:16] == "2026-03-10T06:20"
    assert not np.isnan(column(found, "gust_mps")[1:3]).any()
    assert told(found, "remarks")[0] == "s.txt: lines left out: 1 without a time"
    stale = [line for number, line in enumerate(lines) if number % 2 or number % 40 == 0]
    with pytest.raises(InputError, match="holds no dated wind that can be used: lines left out: 1201 without a time"):
        read(stale)
    with pytest.raises(InputError) as caught:
        read([*lines, lines[0]])
    assert str(caught.value) == "s.txt:2403: ZDA: lies before the clock sentence above it; was the clock set?"


def test_theoretical_wind_goes_before_relative(read: Read) -> None:
    true, relative = log([5.0 + 0.01 * (n % 9) for n in range(600)], reference="T"), log([8.0] * 600)
    lines = [line for pair in zip(true, relative, strict=True) for line in pair]
    found = read(lines, standing=False)
    assert column(found, "mean_wind_mps")[0] == pytest.approx(5.04, abs=0.01)
    assert told(found, "read") == ["wind from MWV, theoretical (true) speed"]


@pytest.mark.parametrize(
    ("lines", "standing", "said"),
    [
        (
            log([5.0] * 600),
            False,
            (
                "s.txt: standing: holds only wind relative to the instrument (MWV R), which may move; if it stands "
                "still, set standing = true"
            ),
        ),
        (["", " "], True, "s.txt: holds no dated wind that can be used: no MWV or MDA sentence"),
        (
            log([5.0] * 3, tail="M,V"),
            True,
            "s.txt: holds no dated wind that can be used: lines left out: 3 MWV with a status other than A",
        ),
        (
            [*log([5.0] * 600), log([5.0])[0]],
            True,
            "s.txt: the time 2026-03-10T06:00:01 UTC lies before that of the sample above it; was the clock set?",
        ),
        (
            [log([5.0])[0], log([5.0])[0].replace("2026", "2086")],
            True,
            "s.txt: spans 3155761 intervals, allowed are 2000000; is a year wrong?",
        ),
        (
            log([5.0] * 30),
            True,
            (
                "s.txt: holds no wind that can be believed: 1 of 1 intervals have less than 90 % of their samples and "
                "are unknown"
            ),
        ),
    ],
)
def test_refusals(read: Read, lines: list[str], standing: bool, said: str) -> None:
    with pytest.raises(InputError) as caught:
        read(lines, standing=standing)
    assert str(caught.value) == said


def test_one_bit_never_passes() -> None:
    """Every single-bit change of a sentence: refused, or another sentence that carries no wind; never another wind."""
    whole = summed("WIMWV,214.8,R,13.2,M,A").encode()
    for at in range(1, len(whole)):
        for bit in range(7):
            changed = bytearray(whole)
            changed[at] ^= 1 << bit
            found, _ = one(changed.decode("ascii").replace("\n", " ").replace("\r", " "))
            speeds = [sample.speed_mps for sample in found if isinstance(sample, Sample)]
            assert all(np.isnan(speed) or speed == 13.2 for speed in speeds), changed


def test_why_the_check_is_asked_for() -> None:
    """pynmea2 without check=True takes a sentence whose end was lost; it never looks at angle or unit."""
    assert pynmea2.parse("$WIMWV,214.8,R,3.2,M,A").wind_speed is not None
    assert pynmea2.parse(summed("WIMWV,370.0,R,3.2,X,V"), check=True).wind_angle == 370


WHOLE = "\n".join(log([12.0 + 0.5 * np.sin(number) for number in range(600)]))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_mutations_raise_nothing_but_input_errors(read: Read, data: st.DataObject) -> None:
    text = WHOLE
    for _ in range(data.draw(st.integers(1, 3))):
        at, length = data.draw(st.integers(0, len(text))), data.draw(st.integers(0, 40))
        fresh = data.draw(st.one_of(st.text(max_size=6), st.sampled_from(["$", "\n", "*", "Z ", "2086", "\x00"])))
        text = text[:at] + fresh + text[at + length :]
    try:
        found = read(text.replace("\ud800", "").split("\n"))
    except InputError:
        return
    known = column(found, "gust_mps")[~np.isnan(column(found, "gust_mps"))]
    assert (known >= 12.0).all()


def test_the_feed_chooses_the_reader(put: Put, place: Place) -> None:
    model = place("nmea", standing=True)
    assert feeds.read(put(WHOLE), model).identical(nmea.read(put(WHOLE), model))
