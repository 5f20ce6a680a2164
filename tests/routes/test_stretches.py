"""Stretches a driver can remember."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import stretches
from routes.stretches import Profile, Span

FIXED = settings(derandomize=True, deadline=None, max_examples=40)


def profile(grade: list[tuple[float, float]], sharp: tuple[float, float] | None = None) -> Profile:
    """Pieces (length, grade) with a station every 5 m; radius 15 m between the stations of `sharp`."""
    lengths, grades = np.array(grade).T
    station_m = np.arange(0.0, lengths.sum() + 1e-9, 5.0)
    index = np.clip(np.searchsorted(np.cumsum(lengths), station_m, side="right"), 0, lengths.size - 1)
    inside = np.zeros(station_m.size, dtype=bool)
    if sharp is not None:
        inside = (station_m >= sharp[0]) & (station_m <= sharp[1])
    return Profile(station_m, grades[index], np.where(inside, 15.2, 400.0), inside)


@pytest.mark.parametrize(
    ("station_m", "text"), [(0.0, "0+000"), (1240.4, "1+240"), (999.6, "1+000"), (12005.0, "12+005")]
)
def test_stations_are_written_as_surveyors_write_them(station_m: float, text: str) -> None:
    assert stretches.station_text(station_m) == text


def names(spans: list[Span]) -> list[str]:
    return [span.name for span in spans]


def test_grades_and_bends_make_the_pieces() -> None:
    road = profile([(300.0, 0.0), (440.0, 0.09), (400.0, -0.05)], sharp=(350.0, 480.0))
    assert names(stretches.complete([], road)) == [
        "level, station 0+000 to 0+300",
        "climb 9 %, sharp bend R 15 m, station 0+300 to 0+485",
        "climb 9 %, station 0+485 to 0+740",
        "descent 5 %, station 0+740 to 1+140",
    ]


def test_named_sections_stay_and_gaps_are_filled() -> None:
    road = profile([(300.0, 0.0), (700.0, 0.09)])
    spans = stretches.complete([Span("Gate", 0.0, 200.0), Span("Lay-by", 600.0, 700.0)], road)
    assert names(spans) == [
        "Gate",
        "level, station 0+200 to 0+300",
        "climb 9 %, station 0+300 to 0+600",
        "Lay-by",
        "climb 9 %, station 0+700 to 1+000",
    ]
    assert [span.to_station_m for span in spans[:-1]] == [span.from_station_m for span in spans[1:]]


def test_what_is_not_known_is_named_so() -> None:
    road = profile([(500.0, np.nan)])
    assert names(stretches.complete([], road)) == ["grade unknown, station 0+000 to 0+500"]


def test_an_unknown_radius_is_left_out_of_the_name() -> None:
    piece = stretches.Stretch(0, 3, 0.0, 0.05, 2, float("nan"))
    assert stretches.name_of(piece, 0.0, 20.0) == "climb 5 %, 2 sharp bends, station 0+000 to 0+020"


def test_a_gap_shorter_than_a_step_is_still_filled() -> None:
    road = profile([(500.0, 0.05)])
    spans = stretches.complete([Span("one", 0.0, 251.0), Span("two", 254.0, 500.0)], road)
    assert names(spans) == ["one", "grade unknown, station 0+251 to 0+254", "two"]


@FIXED
@given(
    grade=st.lists(st.tuples(st.floats(10.0, 400.0), st.floats(-0.15, 0.15)), min_size=1, max_size=40),
    named=st.booleans(),
)
def test_the_pieces_cover_the_road_and_are_few(grade: list[tuple[float, float]], named: bool) -> None:
    road = profile(grade)
    length_m = float(road.station_m[-1])
    given_spans = [Span("middle", 0.4 * length_m, 0.6 * length_m)] if named and length_m > 50.0 else []
    spans = stretches.complete(given_spans, road)
    assert spans[0].from_station_m == 0.0
    assert spans[-1].to_station_m == length_m
    assert [span.to_station_m for span in spans[:-1]] == [span.from_station_m for span in spans[1:]]
    assert len(spans) <= 14
    index = stretches.index_of(road.station_m, np.array([span.from_station_m for span in spans]))
    assert (np.diff(index) >= 0).all()
    if not given_spans and len(spans) > 1:
        assert min(span.to_station_m - span.from_station_m for span in spans) >= 99.9
