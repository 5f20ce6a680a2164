"""What stands before any check of the trailer: body, supports, attitude of the deck, actions on the road, wind."""

from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.attitude import levelled_range_deg, specific_force_range_mps2, tilt_range_deg
from transport.trailer.earthquake import Shaking
from transport.trailer.groups import membership
from transport.trailer.inputs import Trailer
from transport.trailer.lateral import Lateral, lateral_mps2
from transport.trailer.resultant import Actions, Body, centrifugal_range_mps2, combined_centre_m
from transport.trailer.roll import leaned_deg, roll_amplification_ratio
from transport.trailer.wind import Silhouette, Wind

__all__ = ["Riding", "Setting", "body_of", "lateral_of", "member_of", "platform_of", "riding", "tilts_deg"]


class Riding(NamedTuple):
    """Actions in three steps: the tilted deck alone, with the bend, and with stop and start."""

    tilted: Actions
    rolling: Actions
    driven: Actions


class Setting(NamedTuple):
    """Everything that does not depend on the check: body, supports, deck attitude, actions, earthquake, wind."""

    body: Body
    support_m: Array
    member: Array
    pitch_deg: tuple[Array, Array]
    roll_deg: tuple[Array, Array]
    riding: Riding
    shaking: Shaking
    lateral: Lateral
    wind: Wind
    density_kg_per_m3: float


def body_of(trailer: Trailer, mass_t: Array, centre_m: tuple[float, float, float], tolerance_m: float) -> Body:
    """Trailer and unit together, at each end of the mass's tolerance."""
    place = np.array(
        [
            [centre_m[0], centre_m[1], trailer.deck_height_m + centre_m[2] + tolerance_m],
            [trailer.tare_centre_of_mass_x_m, 0.0, trailer.tare_centre_of_mass_height_m],
        ]
    )
    masses_t = np.column_stack([mass_t, np.full_like(mass_t, trailer.tare_t)])
    centre = combined_centre_m(masses_t, place)
    total_t, height_m = masses_t.sum(axis=1), centre[:, 2]
    growth = roll_amplification_ratio(total_t, height_m, trailer.roll_stiffness_MNm_per_rad)
    return Body(total_t, centre[:, :2], height_m, tolerance_m * mass_t / total_t, growth)


def platform_of(trailer: Trailer) -> Silhouette:
    """The platform below the deck as the wind sees it."""
    height_m = trailer.deck_height_m
    return Silhouette(trailer.deck_width_m * height_m, trailer.deck_length_m * height_m, height_m / 2.0)


def member_of(trailer: Trailer) -> Array:
    """1 where a declared group feeds a bogie, else 0; (group, line, 2).

    Source: groups.membership.
    """
    groups = trailer.group
    return membership([g.lines for g in groups], [g.side for g in groups], len(trailer.axle_line_x_m))


def tilts_deg(trailer: Trailer, road: xr.Dataset) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Ranges of pitch and roll of the deck, without elastic lean."""
    count, tolerance_deg = figure("trailer_standard_errors"), trailer.levelling_tolerance_deg
    grade, crossfall = road["grade_ratio"].values, road["crossfall_ratio"].values
    pitch_deg = tilt_range_deg(grade, road["grade_se_ratio"].values, tolerance_deg, count)
    if trailer.levels_crossfall:
        return pitch_deg, levelled_range_deg(crossfall, tolerance_deg)
    return pitch_deg, tilt_range_deg(crossfall, road["crossfall_se_ratio"].values, tolerance_deg, count)


def riding(
    road: xr.Dataset,
    pitch_deg: tuple[Array, Array],
    roll_deg: tuple[Array, Array],
    deceleration_mps2: Array,
    start_mps2: Array,
) -> Riding:
    """What grade, tilt, bend, stop (pushes forward) and start (pushes backward) do on the road."""
    back, ahead = specific_force_range_mps2(*pitch_deg, STANDARD_GRAVITY_MPS2)
    right, left = specific_force_range_mps2(*roll_deg, STANDARD_GRAVITY_MPS2)
    bend = centrifugal_range_mps2(road["speed_mps"].values, road["curvature_per_m"].values, _reach_per_m(road))
    steepest = [np.radians(np.maximum(np.abs(low), np.abs(high))) for low, high in (pitch_deg, roll_deg)]
    normal_ratio = np.cos(steepest[0]) * np.cos(steepest[1])
    stop, start = (np.maximum(np.asarray(push, dtype=float), 0.0) for push in (deceleration_mps2, start_mps2))
    aside = (right + bend[0], left + bend[1])
    return Riding(
        Actions((back, ahead), (right, left), normal_ratio),
        Actions((back, ahead), aside, normal_ratio),
        Actions((back - start, ahead + stop), aside, normal_ratio),
    )


def lateral_of(road: xr.Dataset, roll_deg: tuple[Array, Array], body: Body, allowed_mps2: float) -> Lateral:
    """What the mirror feels across the deck, and what its supplier allows."""
    growth = float(body.amplification_ratio.max())
    lean_deg = np.maximum(*(np.abs(end) for end in leaned_deg(roll_deg, growth)))
    speed, bend = road["speed_mps"].values, (road["curvature_per_m"].values, _reach_per_m(road))
    return Lateral(lean_deg, growth, speed, *bend, lateral_mps2(lean_deg, growth, speed, *bend), allowed_mps2)


def _reach_per_m(road: xr.Dataset) -> Array:
    return np.asarray(figure("trailer_standard_errors") * road["curvature_se_per_m"].values)
