"""What of an instrument's record is believed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds.stations.mast_checks import believed, believed_gust


def test_zeros_are_calm_for_twelve_hours() -> None:
    """Calm is possible, a dead instrument is not calm: 12 h (practice)."""
    calm = np.concatenate([[1.0], np.zeros(72), [1.0]])
    assert not np.isnan(believed(calm, "mean_wind_mps", "ws", 1 / 6)[0]).any()
    dead = np.concatenate([[1.0], np.zeros(73), [1.0]])
    kept, said = believed(dead, "mean_wind_mps", "ws", 1 / 6)
    assert np.isnan(kept).sum() == 73
    assert said == ["ws: 73 values are unknown, frozen at zero for longer than 12 h"]


def test_steady_air_is_no_fault() -> None:
    kept, said = believed(np.full(100, 280.0), "air_temperature_K", "t", 1 / 6)
    assert not np.isnan(kept).any() and said == []


def test_spikes() -> None:
    kept, said = believed(np.array([5.0, -1.0, 75.1, np.nan, 75.0]), "gust_mps", "g", 1.0)
    assert np.isnan(kept).tolist() == [False, True, True, True, False]
    assert said == ["g: 2 values outside 0 to 75 are unknown, such as 75.1"]


@given(
    st.lists(st.one_of(st.just(0.0), st.just(4.0), st.floats(0, 75), st.just(float("nan"))), min_size=1, max_size=60)
)
def test_nothing_is_made_up(values: list[float]) -> None:
    given_values = np.array(values)
    kept, _ = believed(given_values, "mean_wind_mps", "ws", 1.0)
    same = (kept == given_values) | np.isnan(kept)
    assert same.all()
    assert np.isnan(kept[np.isnan(given_values)]).all()


def test_mixed_up_columns_are_refused() -> None:
    mean, gust = np.full(300, 5.0), np.full(300, 8.0)
    gust[:3] = 4.0
    kept_mean, kept_gust, said = believed_gust(mean, gust, "s.txt")
    assert np.isnan(kept_mean[:3]).all() and np.isnan(kept_gust[:3]).all()
    assert said == ["3 rows with a gust below the mean are unknown"]
    gust[:4] = 4.0
    with pytest.raises(InputError) as caught:
        believed_gust(mean, gust, "s.txt")
    assert str(caught.value) == (
        "s.txt: wind_speed_of_gust: the gust lies below the mean in 4 of 300 rows; are the columns or units mixed up?"
    )
