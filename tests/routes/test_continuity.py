"""The area of use of a coordinate system; the other refusals are tested where a survey is read."""

import numpy as np
import pytest

from routes import continuity
from routes.points import Points
from shared.arrays import Array
from shared.errors import InputError

FIJI = (174.0, -25.0, -176.0, -10.0)  # an area across the antimeridian: west is greater than east


def points(count: int) -> Points:
    nothing = np.full(count, np.nan)
    lines = tuple(range(2, 2 + count))
    return Points(
        "road.csv", lines, nothing, nothing, True, nothing, nothing, nothing, nothing, ("",) * count
    )


def test_an_area_across_the_antimeridian() -> None:
    longitude_deg: Array = np.array([175.0, 179.99, -179.99, -177.0])
    continuity.check_place(points(4), longitude_deg, np.full(4, -17.0), FIJI)
    with pytest.raises(InputError) as refusal:
        continuity.check_place(points(4), longitude_deg, np.array([-17.0, -17.0, -26.0, -17.0]), FIJI)
    assert str(refusal.value) == (
        "road.csv:4: lies outside the area of the coordinate system, 174 to -176 degrees east and "
        "-25 to -10 degrees north; are easting and northing swapped, or is the crs another one?"
    )


@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_a_place_that_is_nowhere_lies_outside(value: float) -> None:
    with pytest.raises(InputError):
        continuity.check_place(points(1), np.array([value]), np.array([-17.0]), FIJI)


def test_unknown_distances_and_turns_are_refused() -> None:
    broken = Points("road.csv", (2, 3, 4, 5, 6), *(np.zeros(5),) * 2, True, *(np.zeros(5),) * 4, ("",) * 5)
    with pytest.raises(InputError):
        continuity.check_line(broken, np.array([5.0, np.nan, 5.0, 5.0]), np.zeros(3), 0.02)
    with pytest.raises(InputError):
        continuity.check_line(broken, np.full(4, 5.0), np.array([0.0, np.nan, 0.0]), 0.02)
