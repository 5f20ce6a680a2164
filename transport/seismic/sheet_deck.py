"""Calculation lines of the deck: damping, spectra, steady shaking, way of the ground."""

import math
from collections.abc import Iterator

from shared.calculation import Line
from shared.tables import figure
from transport.seismic.deck import governing_period_s, transmissibility_ratio
from transport.seismic.demand import Demand
from transport.seismic.spectrum import Shape, elastic_mps2, ground_displacement_m, spectral_displacement_m

__all__ = ["deck"]

CHECK = "earthquake deck"
CODE = "EN 1998-1:2004"
PERIOD = (
    "T = max(1 / (f (1 + b)), min(T_B, 1 / (f (1 - b))))",
    "T = max(1 / (f (1 + b)), min(TB, 1 / (f (1 - b))))",
)


def deck(
    found: Demand, horizontal_frequency_hz: float, vertical_frequency_hz: float, damping_ratio: float
) -> Iterator[Line]:
    """Spectral accelerations of the deck, with what they assume."""
    yield _damping(found, damping_ratio)
    yield _spectrum(
        "Horizontal", found.horizontal, found.horizontal_peak_mps2, horizontal_frequency_hz, found.eta_ratio
    )
    yield _spectrum("Vertical", found.vertical, found.vertical_peak_mps2, vertical_frequency_hz, found.eta_ratio)
    yield _steady(damping_ratio)
    yield _way(found, horizontal_frequency_hz)


def _damping(found: Demand, damping_ratio: float) -> Line:
    return Line(
        check=CHECK,
        title="Damping of the trailer",
        formula="eta = max(sqrt(10 / (5 + xi)), eta_0)",
        spoken="eta = max(sqrt(10 / (5 + xi)), eta0)",
        values=(
            ("xi", 100.0 * damping_ratio, "%", "trailer.damping_ratio"),
            ("eta_0", figure("seismic_damping_floor_ratio"), "", "least damping factor"),
        ),
        result=("eta", found.eta_ratio, ""),
        source=CODE,
        clause="3.2.2.2(3), (3.6)",
        status="read",
    )


def _spectrum(direction: str, known: Shape, peak_mps2: float, frequency_hz: float, eta_ratio: float) -> Line:
    period_s, band = governing_period_s(frequency_hz, known), figure("seismic_frequency_band_ratio")
    table = "tables 3.2 and 3.3" if direction == "Horizontal" else "table 3.4"
    formula, spoken = _branch(period_s, known)
    longest, said = PERIOD if math.isfinite(frequency_hz) else ("T = T_B", "T = TB")
    return Line(
        check=CHECK,
        title=f"{direction} acceleration of the deck, worst period within {100.0 * band:g} % of its frequency",
        formula=f"{formula}, quad {longest}",
        spoken=f"{spoken}; {said}",
        values=(
            ("a", peak_mps2, "m/s2", "at the surface"),
            ("k", known.amplification_ratio, "", "amplification"),
            ("eta", eta_ratio, "", "damping"),
            ("f", frequency_hz, "Hz", "frequency of the loaded deck; if it is unknown, T is T_B"),
            ("b", band, "", "uncertainty of the frequency, either side"),
            ("T", period_s, "s", "worst period in the band"),
            ("T_B", known.tb_s, "s", table),
            ("T_C", known.tc_s, "s", table),
            ("T_D", known.td_s, "s", table),
        ),
        result=("S_e", float(elastic_mps2(period_s, peak_mps2, known, eta_ratio)), "m/s2"),
        source=CODE,
        clause="3.2.2.2, 3.2.2.3",
        status="read",
    )


def _branch(period_s: float, known: Shape) -> tuple[str, str]:
    if period_s < known.tb_s:
        return "S_e = a (1 + T / T_B (k eta - 1))", "Se = a (1 + T / TB (k eta - 1))"
    if period_s <= known.tc_s:
        return "S_e = a k eta", "Se = a k eta"
    if period_s <= known.td_s:
        return "S_e = a k eta T_C / T", "Se = a k eta TC / T"
    return "S_e = a k eta (T_C T_D) / T^2", "Se = a k eta TC TD / T^2"


def _steady(damping_ratio: float) -> Line:
    return Line(
        check=CHECK,
        title="For comparison: steady shaking at the frequency of the deck would be amplified by",
        formula="T_r = sqrt(1 + 4 xi^2) / (2 xi)",
        spoken="Tr = sqrt(1 + 4 xi^2) / (2 xi)",
        values=(("xi", damping_ratio, "", "trailer.damping_ratio"),),
        result=("T_r", float(transmissibility_ratio(1.0, damping_ratio)), ""),
        source="single degree of freedom under base motion",
        clause="",
        status="memory",
    )


def _way(found: Demand, frequency_hz: float) -> Line:
    band, share = figure("seismic_frequency_band_ratio"), figure("seismic_displacement_ratio")
    longest_s = 1.0 / (frequency_hz * (1.0 - band))
    return Line(
        check=CHECK,
        title="Way of the deck against the ground, at most; and of the ground itself",
        formula="S_D = S_e (T / (2 pi))^2, quad T = 1 / (f (1 - b)), quad d_g = k a T_C T_D",
        spoken="SD = Se (T / (2 pi))^2; T = 1 / (f (1 - b)); dg = k a TC TD",
        values=(
            ("S_e", found.deck_horizontal_mps2, "m/s2", "horizontal, above"),
            ("f", frequency_hz, "Hz", "frequency of the loaded deck"),
            ("b", band, "", "uncertainty of the frequency, either side"),
            ("T", longest_s, "s", "longest period in the band"),
            ("k", share, "", "design ground displacement"),
            ("a", found.horizontal_peak_mps2, "m/s2", "at the surface, horizontal"),
            ("T_C", found.horizontal.tc_s, "s", "tables 3.2 and 3.3"),
            ("T_D", found.horizontal.td_s, "s", "tables 3.2 and 3.3"),
            (
                "d_g",
                ground_displacement_m(found.horizontal_peak_mps2, found.horizontal),
                "m",
                "way of the ground",
            ),
        ),
        result=("S_D", float(spectral_displacement_m(longest_s, found.deck_horizontal_mps2)), "m"),
        source=CODE,
        clause="3.2.2.2(5), (3.7); 3.2.2.4, (3.12)",
        status="memory",
    )
