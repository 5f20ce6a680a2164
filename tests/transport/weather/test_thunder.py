"""Thunder travels faster in warm air."""

import numpy as np

from transport.weather import thunder


def test_warm_air_carries_further() -> None:
    assert thunder.thunder_distance_m(30.0, np.asarray(303.15)) > thunder.thunder_distance_m(30.0, np.asarray(273.15))
    assert np.isclose(thunder.sound_speed_mps(np.asarray(273.15)), 331.3)
