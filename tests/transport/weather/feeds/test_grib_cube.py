"""Each field over members and steps, each there exactly once."""

import numpy as np
import pytest

from shared.errors import InputError
from transport.weather.feeds.grib.cube import cube_of, hours, members_of
from transport.weather.feeds.grib.facts import Facts

NONE = np.zeros(0, dtype=np.int64)


def facts(member: list[int], start_h: list[int], end_h: list[int]) -> Facts:
    hour = 3600
    return Facts(
        *(NONE,) * 4,
        start_s=np.array(start_h) * hour,
        end_s=np.array(end_h) * hour,
        member=np.array(member),
        along_grid=NONE,
        run=np.datetime64("2026-03-10", "s"),
        members_stated=0,
        remarks=(),
    )


def test_messages_in_any_order() -> None:
    given = facts([2, 1, 1, 2], [1, 1, 0, 0], [2, 2, 1, 1])
    cube = cube_of("gust", np.arange(4), given, np.array([1, 2]), "a", None)
    assert cube.messages.tolist() == [[2, 1], [3, 0]]
    assert cube.ranges == ((0, 3600), (3600, 7200))
    assert not cube.single


def test_the_first_that_is_lost_is_named_and_the_rest_counted() -> None:
    given = facts([1, 1, 3], [0, 1, 0], [0, 1, 0])
    with pytest.raises(InputError) as caught:
        cube_of("10u", np.arange(3), given, np.array([1, 2, 3]), "a.grib2", None)
    assert str(caught.value) == (
        "a.grib2: 10u: member 2 lacks 10u at step 0 h, 2 more are missing; the file was cut or fetched in part, "
        "fetch it again"
    )


def test_copies_count_once_only_where_they_are_allowed_and_agree() -> None:
    given, values = facts([-1, -1], [0, 0], [3, 3]), np.zeros((2, 2, 2), dtype=np.float32)
    values[:, 0, 0] = np.nan
    labels = np.array([-1])
    assert cube_of("tp", np.arange(2), given, labels, "a", values).messages.shape == (1, 1)
    for copies in (None, values + np.arange(2, dtype=np.float32)[:, None, None]):
        with pytest.raises(InputError, match="tp: stands twice at step 0-3 h; one message for each is needed"):
            cube_of("tp", np.arange(2), given, labels, "a", copies)


def test_members() -> None:
    assert members_of(np.array([3, 1, 3, 2]), "a").tolist() == [1, 2, 3]
    assert members_of(np.array([-1, -1]), "a").tolist() == [-1]
    with pytest.raises(InputError, match="a: holds a single forecast beside an ensemble; ask for one of them"):
        members_of(np.array([-1, 0]), "a")


def test_steps_are_written_as_forecasters_do() -> None:
    assert hours((10800, 21600)) == "3-6 h"
    assert hours((5400, 5400)) == "1.5 h"
