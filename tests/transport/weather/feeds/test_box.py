"""The box of a road: it holds every station, or it is the whole world."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from transport.weather.feeds.box import box_of

PLACES = st.lists(st.tuples(st.floats(-89.0, 89.0), st.floats(-90.0, 90.0)), min_size=1, max_size=9)


@given(places=PLACES)
def test_every_station_lies_in_the_box(places: list[tuple[float, float]]) -> None:
    longitude_deg, latitude_deg = np.array(places).T
    box = box_of(longitude_deg, latitude_deg)
    assert box is not None
    assert ((longitude_deg >= box.west_deg) & (longitude_deg <= box.east_deg)).all()
    assert ((latitude_deg >= box.south_deg) & (latitude_deg <= box.north_deg)).all()


def test_an_unknown_place_or_the_date_line_means_everything() -> None:
    assert box_of(np.array([-179.9, 179.9]), np.array([10.0, 10.1])) is None
    assert box_of(np.array([1.0, np.nan]), np.array([10.0, 10.1])) is None
    assert box_of(np.array([1.0, 1.1]), np.array([10.0, np.inf])) is None
