"""Dust: thin air lifts it later, and the easiest grain is about a tenth of a millimetre."""

import numpy as np

from transport.weather import dust


def test_easiest_grain() -> None:
    sizes_m = np.linspace(30e-6, 600e-6, 2000)
    friction = dust.threshold_friction_mps(sizes_m, 1.225)
    assert abs(sizes_m[int(np.argmin(friction))] * 1e6 - 107.4) < 0.5
    expected = dust.wind_from_friction_mps(friction.min(), 10.0, 0.001)
    assert np.isclose(dust.lifting_wind_mps(1.225), expected, rtol=1e-4)


def test_thin_air_needs_more_wind() -> None:
    assert np.isclose(dust.lifting_wind_mps(0.957) / dust.lifting_wind_mps(1.225), np.sqrt(1.225 / 0.957))
