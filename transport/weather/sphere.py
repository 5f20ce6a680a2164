"""Places on the globe as unit vectors: no seam at 180 degrees, no trouble near a pole."""

import numpy as np

from shared.arrays import Array

__all__ = ["chord_ratio", "unit_vectors"]


def unit_vectors(longitude_deg: Array, latitude_deg: Array) -> Array:
    """Unit vectors of places, one more axis of length 3.

    r = (cos b cos l, cos b sin l, sin b).      Valid: the globe taken as a sphere.      Source: definition.
    """
    longitude_rad, latitude_rad = np.deg2rad(longitude_deg), np.deg2rad(latitude_deg)
    across = np.cos(latitude_rad)
    return np.stack([across * np.cos(longitude_rad), across * np.sin(longitude_rad), np.sin(latitude_rad)], axis=-1)


def chord_ratio(here: Array, there: Array) -> np.ndarray:
    """Straight distance between places given as unit vectors, in earth radii.

    c = |r2 - r1|.      Valid: as a distance along the ground within 1 in 10 000 up to 300 km.      Source: definition.
    """
    return np.asarray(np.linalg.norm(there - here, axis=-1))
