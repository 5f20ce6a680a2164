"""Height of the model's ground, and values brought onto the clock."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from shared.errors import InputError
from transport.weather.feeds.grib import read as grib

Save = Callable[..., Path]


def test_ground_from_geopotential_and_copies_of_it(small: Any, save: Save, make_message: Any) -> None:
    """1 km of geopotential height is 9806.65 m2/s2: standard gravity, CGPM 1901 (memory)."""
    messages = {key: one for key, one in small.messages().items() if key[0] != "z"}
    ground = make_message("z", np.full((4, 5), 9806.65), "0", 0)
    again = make_message("z", np.full((4, 5), 9806.65), "1", 2)
    found = grib.read(save([*messages.values(), ground, again])).raw.variables["z"]
    np.testing.assert_allclose(found, 1000.0, rtol=1e-6)
    assert found.attrs == {"standard_name": "surface_altitude", "units": "m"}
    other = make_message("z", np.full((4, 5), 9000.0), "2", 1)
    with pytest.raises(InputError, match="z: the height of the model's ground changes from one message to another"):
        grib.read(save([*messages.values(), ground, other]))


def test_total_at_the_start_is_zero_where_no_message_says_so(small: Any, save: Save) -> None:
    messages = {key: one for key, one in small.messages().items() if (key[0], key[2]) != ("tp", 0)}
    found = grib.read(save(messages)).raw.variables
    assert (found["tp_m"][:, 0] == 0.0).all()
    np.testing.assert_allclose(found["tp_m"][:, 1:], small.fields["tp"][:, 1:], atol=1e-7)
    assert (found["tp_m_intervals"] / 3600.0).to_numpy().tolist() == [[0, 0], [0, 1], [0, 2], [0, 5]]


def test_amounts_of_each_step(small: Any, save: Save, make_message: Any) -> None:
    """In kg m-2 as another centre gives it, and twice as one centre does: 0-1 and 1-2 beside 0-1 and 0-2."""
    winds = {key: one for key, one in small.messages().items() if key[0] in ("10u", "10v") and key[2] < 3}
    parts = [
        make_message("tp", np.full((4, 5), amount), span, member, centre="edzw", shortName="tp", stepRange=span)
        for member in (0, 1, 2)
        for span, amount in (("0-1", 1.5), ("1-2", 2.5))
    ]
    found = grib.read(save([*winds.values(), *parts])).raw.variables["tp"]
    assert found.attrs["units"] == "kg m-2"
    np.testing.assert_allclose(found[:, 1:, 0, 0].to_numpy(), [[1.5, 2.5]] * 3, rtol=1e-5)
    totals = [
        make_message("tp", np.full((4, 5), amount), span, member, centre="edzw", shortName="tp", stepRange=span)
        for member in (0, 1, 2)
        for span, amount in (("0-1", 1.5), ("0-2", 4.0))
    ]
    found = grib.read(save([*winds.values(), *parts, *totals])).raw.variables["tp"]
    np.testing.assert_allclose(found[:, :, 0, 0].to_numpy(), [[0.0, 1.5, 4.0]] * 3, rtol=1e-5)


def test_a_field_at_fewer_times_is_missing_between_them(small: Any, save: Save, make_message: Any) -> None:
    air = [make_message("2t", np.full((4, 5), 280.0), f"{step}", member) for member in (0, 1, 2) for step in (0, 2)]
    found = grib.read(save([*small.messages().values(), *air]))
    values = found.raw.variables["2t"].to_numpy()
    assert np.isnan(values[:, [1, 3]]).all()
    assert not np.isnan(values[:, [0, 2]]).any()
    assert "2t: K at 2 m, time: point, 3 members, 2 steps from 0 to 2 h, none at 2 of the 4 times of the wind" in (
        found.read
    )


def test_a_missing_value_in_one_of_several_gusts_makes_the_step_missing(make_message: Any, save: Save) -> None:
    """Gusts every hour, wind every 2 h: the highest of both counts, and a hole in one is a hole in the step."""
    winds = [make_message(name, np.ones((4, 5)), f"{step}", None) for name in ("10u", "10v") for step in (0, 2, 4)]
    gusts = []
    for hour in range(4):
        values = np.full((4, 5), 10.0 + hour)
        values[0, hour] = 1e36
        keys = {"bitmapPresent": 1, "missingValue": 1e36}
        gusts.append(make_message("10fg", values, f"{hour}-{hour + 1}", None, **keys))
    found = grib.read(save([*winds, *gusts])).raw.variables
    assert found["gust"][1:, 3, 4].to_numpy().tolist() == [pytest.approx(11.0), pytest.approx(13.0)]
    assert np.isnan(found["gust"][1:, 0]).to_numpy().tolist() == [
        [True, True, False, False, False],
        [False, False, True, True, False],
    ]
    assert (found["gust_intervals"] / 3600.0).to_numpy().tolist() == [[0, 0], [0, 2], [2, 4]]
