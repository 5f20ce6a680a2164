"""Beaufort numbers: edges, unknown."""

import numpy as np

from transport.weather.beaufort import beaufort_number


def test_every_speed_has_a_class() -> None:
    number = beaufort_number(np.arange(0.0, 40.0, 0.01))
    assert (np.diff(number) >= 0).all()
    assert set(number) == set(range(13))


def test_unknown_and_negative_have_none() -> None:
    assert np.isnan(beaufort_number(np.array([np.nan, -0.1]))).all()


def test_middle_of_a_class_lies_in_it() -> None:
    """v = 0.836 B^1.5, WMO-No. 306 (memory)."""
    numbers = np.arange(1.0, 12.0)
    np.testing.assert_array_equal(beaufort_number(0.836 * numbers**1.5), numbers)
