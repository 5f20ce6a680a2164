"""Wind profile: the range, zmin, the trap of the fourth category."""

import numpy as np
import pytest

from shared.errors import OutOfRangeError
from transport.weather import profile


def test_heights_beyond_the_profile() -> None:
    for height_m in (-1.0, 201.0, np.nan):
        with pytest.raises(OutOfRangeError, match=r"0 to 200, the range of EN 1991-1-4 4.3.2"):
            profile.roughness_ratio(np.asarray(height_m), "II")


def test_below_zmin_nothing_changes() -> None:
    assert profile.roughness_ratio(np.asarray(1.0), "IV") == profile.roughness_ratio(np.asarray(10.0), "IV")
    assert profile.roughness_ratio(np.asarray(12.0), "IV") > profile.roughness_ratio(np.asarray(10.0), "IV")


def test_unknown_category() -> None:
    with pytest.raises(OutOfRangeError, match="terrain: 0 rows for V; the table has 0; I; II; III; IV"):
        profile.terrain_ratio("V")
