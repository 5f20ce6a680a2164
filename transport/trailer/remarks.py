"""What the trailer's checks say in words: the band of the stability angle, what is not stated, a group lost."""

from collections.abc import Iterator

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.trailer.inputs import Trailer
from transport.trailer.resultant import Body
from transport.trailer.roll import net_roll_stiffness_MNm_per_rad

__all__ = ["band", "lost_sentence", "remarks"]

STORM_MPS = 80.0
TO_DO = (
    "Stop, nobody under or beside the deck, close the cocks of the group, watch level and tilt, lower the others "
    "evenly onto their stops or block the deck, go on only when released"
)


def band(angle_deg: float) -> str:
    """Band of a stability angle by common practice, no source; an angle exactly between two takes the stricter one."""
    if np.isnan(angle_deg):
        return "not known"
    if not angle_deg >= figure("trailer_stop_angle_deg"):
        return f"stop: below {figure('trailer_stop_angle_deg'):g} degrees"
    if not angle_deg > figure("trailer_engineer_angle_deg"):
        return (
            f"only with the approval of the trailer's engineer: up to {figure('trailer_engineer_angle_deg'):g} degrees"
        )
    if not angle_deg > figure("trailer_comfortable_angle_deg"):
        return f"normal: up to {figure('trailer_comfortable_angle_deg'):g} degrees"
    return f"comfortable: above {figure('trailer_comfortable_angle_deg'):g} degrees"


def lost_sentence(names: list[str], ratio: Array, gust_mps: Array, tilt_deg: Array, *, on_stops: bool) -> str:
    """The worst group to lose, what then holds the deck, and what the crew does."""
    known = np.where(np.isnan(ratio), np.inf, ratio)
    worst = int(known.argmax())
    where = "on its stops" if on_stops else "on the other groups alone"
    if np.isnan(ratio[worst]):
        found = "it is not known whether the deck stands"
    elif ratio[worst] <= 1.0:
        found = f"the deck stands {where}, used to {_up(ratio[worst])}, in gusts {_gusts(gust_mps[worst])}"
    elif np.isfinite(ratio[worst]):
        found = f"the deck or what carries it is used to {_up(ratio[worst])} {where}, allowed 1"
    else:
        found = f"the deck does not stand {where}"
    return (
        f"one hydraulic group lost, reported beside the intact case: worst is '{names[worst]}', {found}. "
        f"{_tilted(tilt_deg)}The drop of the deck is not calculated. {TO_DO} (common practice, no source)"
    )


def _up(value_ratio: float) -> str:
    return f"{np.ceil(round(100.0 * value_ratio, 6)) / 100.0:.2f}"


def _gusts(limit_mps: float) -> str:
    """A limit on the gust, rounded down; in words beyond any storm, as in the tables."""
    if limit_mps >= STORM_MPS:
        return f"above {STORM_MPS:.0f} m/s"
    return f"up to {np.floor(10.0 * limit_mps) / 10.0:.1f} m/s"


def remarks(trailer: Trailer, body: Body, angles_deg: tuple[float, float]) -> Iterator[str]:
    """Sentences on angle, elastic roll, and every check that the move leaves out.

    `angles_deg` are the least stability angles without and with all allowances.
    """
    bare_deg, allowed_deg = angles_deg
    yield (
        f"stability angle {bare_deg:.1f} degrees before and {allowed_deg:.1f} after all allowances in still air; band "
        f"after them: {band(allowed_deg)} (common practice, no source)"
    )
    yield from _fragile(bare_deg, allowed_deg)
    yield from _falling(trailer, body)
    yield from _not_stated(trailer)


def _tilted(tilt_deg: Array) -> str:
    if np.isnan(tilt_deg).any():
        return ""
    return f"It tilts by up to {tilt_deg.max():.1f} degrees; chains and mirror are not checked for that. "


def _fragile(bare_deg: float, allowed_deg: float) -> Iterator[str]:
    before, after = figure("trailer_fragile_static_angle_deg"), figure("trailer_fragile_allowed_angle_deg")
    if not (bare_deg >= before and allowed_deg >= after):
        yield (
            f"the angles of common practice for a fragile load, {before:g} degrees before and {after:g} after all "
            "allowances, are not both held or not known"
        )


def _falling(trailer: Trailer, body: Body) -> Iterator[str]:
    net = float(net_roll_stiffness_MNm_per_rad(body.mass_t, body.height_m, trailer.roll_stiffness_MNm_per_rad).min())
    if not net > 0.0:
        yield (
            f"closed: the net roll stiffness k - m g h is {net:.2f} MNm/rad, allowed above 0 (trailer."
            f"roll_stiffness_MNm_per_rad = {trailer.roll_stiffness_MNm_per_rad:g}): the platform does not stand "
            "upright; lower the unit, take a platform that is stiffer in roll, or check the unit of the stiffness"
        )


def _not_stated(trailer: Trailer) -> Iterator[str]:
    if trailer.hydraulics is None:
        yield (
            "not known: hydraulic group pressure (trailer.cylinder_diameter_mm, cylinders_per_bogie_count and "
            "group_pressure_limit_bar are not given), so every start stays undecided"
        )
    if trailer.ground_bearing_kPa is None:
        yield "not checked: ground pressure (trailer.ground_bearing_kPa is not given)"
    if len(trailer.group) == 4:
        yield (
            "four hydraulic groups: their loads also depend on how they were filled; read every gauge on level ground, "
            "an overfilled diagonal carries the deck as two groups (common practice, no source)"
        )
    if trailer.stop_travel_m is None:
        yield "not checked: a lost group on its stops (trailer.stop_travel_m is not given)"
