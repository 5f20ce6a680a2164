"""What the deck of the trailer makes of the ground motion."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.seismic.spectrum import Shape, elastic_mps2

__all__ = ["deck_mps2", "governing_period_s", "transmissibility_ratio"]


def governing_period_s(frequency_hz: float, known: Shape) -> float:
    """Period with the largest ordinate within 30 % of a frequency; TB, on the plateau, if it is NaN.

    The band is taken to the plateau if it touches it, else to its end nearest the plateau.
    Source: frequency of a hydraulic trailer known to 30 % (practice)
    """
    if np.isnan(frequency_hz):
        return known.tb_s
    band = figure("seismic_frequency_band_ratio")
    shortest, longest = 1.0 / (frequency_hz * (1.0 + band)), 1.0 / (frequency_hz * (1.0 - band))
    return float(np.clip(known.tb_s, shortest, longest))


def deck_mps2(frequency_hz: float, peak_mps2: float, known: Shape, eta_ratio: float) -> float:
    """Acceleration of the deck: the elastic spectrum at the governing period, at the damping of the trailer.

    Source: EN 1998-1:2004, 3.2.2.2 and 3.2.2.3 (read); single degree of freedom (practice)
    """
    return float(elastic_mps2(governing_period_s(frequency_hz, known), peak_mps2, known, eta_ratio))


def transmissibility_ratio(frequency_ratio: float | Array, damping_ratio: float) -> Array:
    """Deck over ground for steady shaking: Tr = sqrt((1 + (2 xi r)^2) / ((1 - r^2)^2 + (2 xi r)^2)).

    r = f / f_n. Source: single degree of freedom under base motion (memory)
    """
    damped = np.square(2.0 * damping_ratio * np.asarray(frequency_ratio))
    return np.asarray(np.sqrt((1.0 + damped) / (np.square(1.0 - np.square(frequency_ratio)) + damped)))
