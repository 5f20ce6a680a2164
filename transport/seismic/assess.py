"""From the chosen earthquake level to accelerations of the deck, chances, and sentences."""

from collections.abc import Iterator

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import Line, attach
from shared.datasets import dataset
from shared.tables import figure
from transport.seismic.aftershock import aftershock_chance_ratio, aftershock_count, california
from transport.seismic.demand import Demand, demand
from transport.seismic.exposure import chance_ratio, return_period_years
from transport.seismic.inputs import Seismic
from transport.seismic.sheet_deck import deck
from transport.seismic.sheet_level import level
from transport.seismic.sheet_response import aftershock, response, stop
from transport.seismic.sliding import needed_ratio
from transport.seismic.stop_policy import stopping_distance_m, stopping_time_s, warning_s
from transport.seismic.wording import chance_sentence, level_sentence, resume_sentence, stop_sentence

__all__ = ["assess"]

DAYS_AFTER = np.array([0.5, 1.0, 3.0, 7.0, 30.0])
A_DAY, A_WEEK = 1, 3


def assess(
    seismic: Seismic,
    road: xr.Dataset,
    *,
    horizontal_frequency_hz: float,
    vertical_frequency_hz: float,
    damping_ratio: float,
    exposure_h: float,
) -> xr.Dataset:
    """Earthquake demand on the deck, by place, and the chance of more.

    An unknown frequency (NaN) takes the plateau; an unknown slope or exposure stays unknown.
    Errors: OutOfRangeError for a damping outside 0 to 0.5.
    Source: EN 1998-1:2004, 3.2.2 (read); EN 1998-5:2004, annex A (memory)
    """
    ground_mps2 = seismic.importance_factor_ratio * seismic.reference_acceleration_mps2
    found = demand(
        ground_mps2,
        seismic.spectrum_type,
        seismic.ground_type,
        topography_ratio=seismic.topography_factor_ratio,
        horizontal_frequency_hz=horizontal_frequency_hz,
        vertical_frequency_hz=vertical_frequency_hz,
        damping_ratio=damping_ratio,
    )
    slope = np.hypot(road["grade_ratio"].values, road["crossfall_ratio"].values)
    speed_mps = float(np.max(road["speed_mps"].values))
    data = _results(seismic, found, road["station"].values, slope, exposure_h)
    lines = [
        *level(seismic, found, float(data["return_period_years"]), exposure_h),
        *deck(found, horizontal_frequency_hz, vertical_frequency_hz, damping_ratio),
        *response(found, float(np.max(slope))),
        *_after(data["aftershock_chance_ratio"].values, exposure_h),
        stop(speed_mps),
    ]
    return attach(data.assign_attrs(_sentences(seismic, data, exposure_h, speed_mps)), lines)


def _results(seismic: Seismic, found: Demand, station_m: Array, slope: Array, exposure_h: float) -> xr.Dataset:
    reference = seismic.reference_acceleration_mps2
    years = return_period_years(found.ground_mps2, reference, seismic.return_period_years, seismic.hazard_exponent)
    shaken = (found.deck_horizontal_mps2, found.deck_vertical_mps2)
    counts = [_aftershocks(float(days), exposure_h) for days in DAYS_AFTER]
    return dataset(
        {
            "deck_horizontal_mps2": ("station", np.full(station_m.size, shaken[0])),
            "deck_vertical_mps2": ("station", np.full(station_m.size, shaken[1])),
            "grip_needed_ratio": ("station", needed_ratio(shaken[0], slope, -shaken[1])),
            "ground_acceleration_mps2": ((), found.horizontal_peak_mps2),
            "return_period_years": ((), years),
            "chance_per_move_ratio": ((), chance_ratio(exposure_h, years)),
            "chance_planned_moves_ratio": ((), chance_ratio(seismic.planned_moves * exposure_h, years)),
            "aftershock_chance_ratio": ("days_after", [aftershock_chance_ratio(count) for count in counts]),
        },
        {"station": station_m, "days_after": DAYS_AFTER},
    )


def _aftershocks(days: float, exposure_h: float) -> float:
    mainshock, least = figure("seismic_mainshock_magnitude"), figure("seismic_aftershock_magnitude")
    return aftershock_count(mainshock, least, 24.0 * days, 24.0 * days + exposure_h, california())


def _after(chances: Array, exposure_h: float) -> Iterator[Line]:
    """One line for a day and one for a week after the earthquake, as the sentence has them."""
    for number in (A_DAY, A_WEEK):
        yield aftershock(float(DAYS_AFTER[number]), exposure_h, float(chances[number]))


def _sentences(seismic: Seismic, data: xr.Dataset, exposure_h: float, speed_mps: float) -> dict[str, str]:
    chances = data["aftershock_chance_ratio"].values
    soft = figure("seismic_soft_stop_mps2")
    far_m = figure("seismic_source_distance_m")
    warned = warning_s(far_m, figure("seismic_p_wave_mps"), figure("seismic_s_wave_mps"))
    rock = seismic.importance_factor_ratio * seismic.reference_acceleration_mps2
    chosen = f"{seismic.level_chosen_by} on {seismic.level_chosen_on.isoformat()}"
    move, moves = float(data["chance_per_move_ratio"]), float(data["chance_planned_moves_ratio"])
    return {
        "level_sentence": level_sentence(rock, float(data["return_period_years"]), chosen, seismic.source),
        "chance_sentence": chance_sentence(move, moves, exposure_h, seismic.planned_moves),
        "stop_sentence": stop_sentence(
            far_m, warned, stopping_time_s(speed_mps, soft), stopping_distance_m(speed_mps, soft)
        ),
        "resume_sentence": resume_sentence(
            float(chances[A_DAY]),
            float(chances[A_WEEK]),
            figure("seismic_mainshock_magnitude"),
            figure("seismic_aftershock_magnitude"),
        ),
    }
