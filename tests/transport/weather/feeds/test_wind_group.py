"""Wind groups and visibility: published examples, units, the end of the scale, and every refusal."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from transport.weather.feeds.stations.report_time import UnreadableError
from transport.weather.feeds.stations.wind_group import looks_like_wind, sight_m, wind_of

KNOT_MPS, MILE_M = 1852.0 / 3600.0, 1609.344
MPS = {"m/s": 1.0, "kt": KNOT_MPS}


def test_published_wind_groups(checks: list[dict[str, str]]) -> None:
    rows = [row for row in checks if row["kind"] == "wind"]
    assert len(rows) == 10
    for row in rows:
        wind, factor = wind_of(row["text"]), MPS[row["unit"]]
        assert wind.mean_mps == pytest.approx(float(row["mean"]) * factor, abs=1e-9), row["text"]
        assert (
            np.isnan(wind.gust_mps) if not row["gust"] else wind.gust_mps == pytest.approx(float(row["gust"]) * factor)
        )
        assert np.isnan(wind.from_deg) if not row["from_deg"] else wind.from_deg == float(row["from_deg"])
        assert wind.gusty == bool(row["gust"]) and not wind.top


def test_units_of_the_code_form() -> None:
    """KMH, KT, MPS: WMO-No. 306, FM 51 code form (read); exact factors."""
    assert wind_of("24036KMH").mean_mps == pytest.approx(10.0)
    assert wind_of("240110G130KT").gust_mps == pytest.approx(130 * KNOT_MPS)


@pytest.mark.parametrize("group", ["240P99KT", "240P49MPS", "240P199KMH", "24080GP99KT"])
def test_above_the_scale_is_never_dropped(group: str) -> None:
    """P99KT, P49MPS, P199KMH: more than the scale (read in a printed table of the code)."""
    wind = wind_of(group)
    assert wind.top
    assert wind.mean_mps >= 80 * KNOT_MPS or wind.mean_mps == 49.0


@pytest.mark.parametrize("group", ["/////KT", "240//KT", "240//G35KT"])
def test_unknown_speed_is_not_zero(group: str) -> None:
    assert np.isnan(wind_of(group).mean_mps)


def test_unknown_direction_is_any_direction() -> None:
    assert np.isnan(wind_of("///15KT").from_deg)


@pytest.mark.parametrize(
    ("group", "said"),
    [
        ("24018G12KT", "'24018G12KT' has a gust below its mean"),
        ("37018KT", "'37018KT' has no such direction; north is 360, and 00000 is calm"),
        ("00018KT", "'00018KT' has no such direction; north is 360, and 00000 is calm"),
        ("24P98KT", "'24P98KT' is no wind group such as 24018G33KT"),
        ("240P98KT", "'240P98KT' is no end of the scale such as P99KT"),
        ("24018", "'24018' is no wind group such as 24018G33KT"),
        ("2418KT", "'2418KT' is no wind group such as 24018G33KT"),
        ("240018KT", "'240018KT' is no wind group such as 24018G33KT"),
        ("24018G3KT", "'24018G3KT' is no wind group such as 24018G33KT"),
        ("24018KTS", "'24018KTS' is no wind group such as 24018G33KT"),
        ("24O18KT", "'24O18KT' is no wind group such as 24018G33KT"),
        ("٢٤٠18KT", "'٢٤٠18KT' is no wind group such as 24018G33KT"),
    ],
)
def test_refusals(group: str, said: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        wind_of(group)
    assert str(caught.value) == said


@given(st.text(alphabet="0123456789VRB/GPKTMSH", max_size=14))
def test_nothing_else_is_ever_raised(group: str) -> None:
    try:
        wind = wind_of(group)
    except UnreadableError:
        return
    assert looks_like_wind(group)
    assert not wind.mean_mps < 0.0


@pytest.mark.parametrize(
    ("group", "metres"),
    [
        ("9000", 9000.0),
        ("9999", 10_000.0),
        ("CAVOK", 10_000.0),
        ("1200NE", 1200.0),
        ("P6SM", 6 * MILE_M),
        ("3SM", 3 * MILE_M),
        ("1 1/2SM", 1.5 * MILE_M),
        ("1/4SM", 0.25 * MILE_M),
        ("M1/4SM", 0.0),
    ],
)
def test_visibility(group: str, metres: float) -> None:
    """9999 is 10 km or more: ICAO Annex 3 example A5-1 (read); statute miles: international mile (memory)."""
    assert sight_m(group) == pytest.approx(metres)


def test_visibility_unknown_and_none() -> None:
    assert np.isnan(sight_m("////") or 0.0)
    assert [sight_m(group) for group in ("SCT020", "SM", "Q1013", "11/2SM")] == [None] * 4
    with pytest.raises(UnreadableError, match="'1/0SM' is no visibility"):
        sight_m("1/0SM")
