"""The chosen level carried from rock to the deck of the trailer."""

from typing import NamedTuple

from transport.seismic.deck import deck_mps2
from transport.seismic.spectrum import Shape, damping_factor_ratio, shape

__all__ = ["Demand", "demand"]


class Demand(NamedTuple):
    """Ground acceleration on rock, spectra at the place, damping factor, accelerations of the deck."""

    ground_mps2: float
    topography_ratio: float
    eta_ratio: float
    horizontal: Shape
    vertical: Shape
    deck_horizontal_mps2: float
    deck_vertical_mps2: float

    @property
    def horizontal_peak_mps2(self) -> float:
        """Peak at the surface, horizontal: a_g S S_T; topography as EN 1998-5:2004, annex A."""
        return self.ground_mps2 * self.horizontal.factor_ratio * self.topography_ratio

    @property
    def vertical_peak_mps2(self) -> float:
        """Peak at the surface, vertical: a_vg S_T; crests shake vertically too, so topography counts here."""
        return self.ground_mps2 * self.vertical.factor_ratio * self.topography_ratio


def demand(
    ground_mps2: float,
    spectrum_type: int,
    ground_type: str,
    *,
    topography_ratio: float,
    horizontal_frequency_hz: float,
    vertical_frequency_hz: float,
    damping_ratio: float,
) -> Demand:
    """Accelerations of the deck; an unknown frequency (NaN) is taken on the plateau.

    Source: EN 1998-1:2004, 3.2.2.2 and 3.2.2.3 (read); EN 1998-5:2004, annex A (memory)
    """
    across, up = (
        shape("horizontal", spectrum_type, ground_type),
        shape("vertical", spectrum_type, ground_type),
    )
    eta = damping_factor_ratio(damping_ratio)
    level = Demand(ground_mps2, topography_ratio, eta, across, up, 0.0, 0.0)
    return level._replace(
        deck_horizontal_mps2=deck_mps2(horizontal_frequency_hz, level.horizontal_peak_mps2, across, eta),
        deck_vertical_mps2=deck_mps2(vertical_frequency_hz, level.vertical_peak_mps2, up, eta),
    )
