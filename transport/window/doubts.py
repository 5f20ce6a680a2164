"""Numbers of unit and trailer that are possible alone but look like a slip beside the rest of the move."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from shared.errors import Fault
from shared.tables import figure, published
from shared.units import STANDARD_GRAVITY_MPS2
from transport.securing.slips import LENGTH, Slip, looks_like
from transport.window.inputs import Move

__all__ = ["doubts", "faults"]

TOO_LOW: tuple[Slip, ...] = tuple((f"{{0}} times {factor} is {{1}}", factor) for factor in (10, 100, 1000))
TOO_HIGH: tuple[Slip, ...] = tuple((f"{{0}} over {factor} is {{1}}", 1.0 / factor) for factor in (10, 100, 1000))
ANGLE: tuple[Slip, ...] = (("{0} rad are {1} deg", 180.0 / math.pi), *TOO_LOW)
FREQUENCY: tuple[Slip, ...] = (("{0} rad/s are {1} Hz", 0.5 / math.pi), *TOO_HIGH, *TOO_LOW)
PRESSURE: tuple[Slip, ...] = (("{0} psi are {1} bar", 0.0689476), *TOO_HIGH)
MN_PER_T = STANDARD_GRAVITY_MPS2 / 1000.0


class Doubt(NamedTuple):
    """A field with the values that raise no question, why, and the slips that would explain another."""

    field: str
    value: float | None
    low: float
    high: float
    unit: str
    why: str
    slips: tuple[Slip, ...]

    def said(self) -> Iterator[str]:
        """One sentence where the value is given and lies outside its range."""
        if self.value is None or self.low <= self.value <= self.high:
            return
        below = not self.value >= self.low
        wanted = f"plausible from {self.low:.4g}" if below else f"plausible up to {self.high:.4g}"
        usual = (self.low, min(self.high, 8.0 * self.low)) if below else (max(self.low, self.high / 30.0), self.high)
        slip = looks_like(self.value, self.slips, *usual)
        text = f"{self.field} is {self.value:g}{self.unit}, {wanted}"
        yield f"looks like a slip: {text} ({self.why}){slip}; correct or confirm it"


def doubts(move: Move) -> tuple[str, ...]:
    """Sentences on values that would make the answer too kind if they were a slip; they are taken as they stand.

    Source: common practice, no source (practice).
    """
    parts = (_of_wind, _of_mass, _of_stability, _of_trailer, _of_deck, _of_gear)
    return tuple(sentence for part in parts for row in part(move) for sentence in row.said())


def faults(move: Move) -> Iterator[Fault]:
    """Areas that cannot be, because the mirror alone is larger: its disc from above, its edge from any side.

    Source: geometry of a disc that lies flat (own).
    """
    mirror, unit = move.mirror, move.unit
    disc_m2 = math.pi / 4.0 * (mirror.diameter_m**2 - mirror.hole_diameter_m**2)
    edge_m2 = mirror.diameter_m * mirror.thickness_m
    least = (
        ("plan_area_m2", unit.plan_area_m2, disc_m2, "area of the mirror without its hole"),
        ("wind_area_front_m2", unit.wind_area_front_m2, edge_m2, "diameter times thickness of the mirror"),
        ("wind_area_side_m2", unit.wind_area_side_m2, edge_m2, "diameter times thickness of the mirror"),
    )
    for field, area_m2, least_m2, what in least:
        if not area_m2 >= least_m2:
            slip = looks_like(area_m2, TOO_LOW, least_m2, 4.0 * disc_m2)
            text = f"is {area_m2:g} m2, allowed from {least_m2:.3g}, the {what}{slip}; measure the unit with its cover"
            yield Fault("", f"unit.{field}", text)


def _of_wind(move: Move) -> Iterator[Doubt]:
    unit, diameter_m = move.unit, move.mirror.diameter_m
    height_m = figure("window_least_unit_height_m")
    for side, area_m2 in (("front", unit.wind_area_front_m2), ("side", unit.wind_area_side_m2)):
        why = f"{diameter_m:g} m of mirror, {height_m:g} m high with its cell and cover"
        yield Doubt(f"unit.wind_area_{side}_m2", area_m2, height_m * diameter_m, math.inf, " m2", why, TOO_LOW)
    disc_m2, why = math.pi / 4.0 * diameter_m**2, "the whole disc of the mirror"
    yield Doubt("unit.plan_area_m2", unit.plan_area_m2, disc_m2, math.inf, " m2", why, TOO_LOW)
    low, why = figure("window_least_force_ratio"), "a body as blunt as this lies near 1"
    yield Doubt("unit.force_coefficient", unit.force_coefficient, low, math.inf, "", why, TOO_LOW)
    low, why = figure("window_least_lift_ratio"), "wind over a flat cover lifts"
    yield Doubt("unit.lift_coefficient", unit.lift_coefficient, low, math.inf, "", why, TOO_LOW)
    low_m = figure("window_wind_centre_ratio") * unit.centre_of_mass_m[2]
    why = f"half the height of the centre of mass, {unit.centre_of_mass_m[2]:g} m"
    yield Doubt("the height in unit.wind_centre_m", unit.wind_centre_m[2], low_m, math.inf, " m", why, TOO_LOW)


def _of_mass(move: Move) -> Iterator[Doubt]:
    unit = move.unit
    low_t = figure("window_least_weighing_ratio") * unit.mass_t
    why = f"a weighing of {unit.mass_t:g} t in the field is seldom closer"
    yield Doubt("unit.mass_tolerance_t", unit.mass_tolerance_t, low_t, math.inf, " t", why, TOO_LOW)
    low_m, why = figure("window_least_centre_tolerance_m"), "a centre of mass is seldom known closer"
    known_m = unit.centre_of_mass_tolerance_m
    yield Doubt("unit.centre_of_mass_tolerance_m", known_m, low_m, math.inf, " m", why, TOO_LOW)
    high_m, why = figure("window_most_movement_m"), "a mirror is seldom let slide farther"
    yield Doubt("unit.allowed_movement_m", unit.allowed_movement_m, 0.0, high_m, " m", why, LENGTH)


def _of_stability(move: Move) -> Iterator[Doubt]:
    trailer, unit = move.trailer, move.unit
    unit_MNm = MN_PER_T * unit.mass_t * (trailer.deck_height_m + unit.centre_of_mass_m[2])
    moment_MNm = unit_MNm + MN_PER_T * trailer.tare_t * trailer.tare_centre_of_mass_height_m
    high_MNm = moment_MNm / figure("window_least_roll_share_ratio")
    why = f"{high_MNm / moment_MNm:g} times weight times height, {moment_MNm:.2g} MNm; usual platforms are softer"
    field = "trailer.roll_stiffness_MNm_per_rad"
    yield Doubt(field, trailer.roll_stiffness_MNm_per_rad, 0.0, high_MNm, " MNm/rad", why, TOO_HIGH)
    low_m = figure("window_tare_height_ratio") * trailer.deck_height_m
    why = f"above the ground, under a deck at {trailer.deck_height_m:g} m"
    field = "trailer.tare_centre_of_mass_height_m"
    yield Doubt(field, trailer.tare_centre_of_mass_height_m, low_m, math.inf, " m", why, TOO_LOW)
    low_deg, why = figure("trailer_stop_angle_deg"), "below it a platform trailer stops"
    field = "trailer.minimum_stability_angle_deg"
    yield Doubt(field, trailer.minimum_stability_angle_deg, low_deg, math.inf, " deg", why, ANGLE)
    low_deg, why = figure("window_least_levelling_deg"), "a crew seldom holds a moving deck closer"
    field = "trailer.levelling_tolerance_deg"
    yield Doubt(field, trailer.levelling_tolerance_deg, low_deg, math.inf, " deg", why, ANGLE)


def _of_trailer(move: Move) -> Iterator[Doubt]:
    trailer, count = move.trailer, len(move.trailer.axle_line_x_m)
    share, times = figure("window_least_lines_ratio"), figure("window_most_capacity_ratio")
    low_t, gross_t = share * trailer.tare_t / count, trailer.tare_t + move.unit.mass_t
    why = f"{count} lines are usually more than {share:g} of the tare of {trailer.tare_t:g} t"
    yield Doubt("trailer.axle_line_mass_t", trailer.axle_line_mass_t, low_t, math.inf, " t", why, TOO_LOW)
    why = f"{count} lines then carry {times:g} times the {gross_t:g} t of trailer and unit"
    high_t = times * gross_t / count
    yield Doubt("trailer.axle_line_capacity_t", trailer.axle_line_capacity_t, 0.0, high_t, " t", why, TOO_HIGH)
    high_bar, why = figure("window_most_pressure_bar"), "usual circuits stay below"
    field = "trailer.group_pressure_limit_bar"
    yield Doubt(field, trailer.group_pressure_limit_bar, 0.0, high_bar, " bar", why, PRESSURE)
    low_bar = figure("window_least_pressure_ratio") * (trailer.group_pressure_limit_bar or 0.0)
    field, why = "trailer.group_pressure_least_bar", "a fiftieth of the limit of the circuit"
    yield Doubt(field, trailer.group_pressure_least_bar, low_bar, math.inf, " bar", why, TOO_LOW)
    high_kPa, why = figure("window_most_bearing_kPa"), "usual ground bears less, rock apart"
    yield Doubt("trailer.ground_bearing_kPa", trailer.ground_bearing_kPa, 0.0, high_kPa, " kPa", why, TOO_HIGH)
    low_m = figure("window_least_stop_travel_ratio") * trailer.levelling_stroke_m
    why = f"a tenth of the levelling stroke, {trailer.levelling_stroke_m:g} m"
    yield Doubt("trailer.stop_travel_m", trailer.stop_travel_m, low_m, math.inf, " m", why, TOO_LOW)


def _of_deck(move: Move) -> Iterator[Doubt]:
    trailer, why = move.trailer, "of a loaded deck on its hydraulics"
    low_hz, high_hz = figure("window_least_deck_frequency_hz"), figure("window_most_deck_frequency_hz")
    frequencies = {"horizontal": trailer.horizontal_frequency_hz, "vertical": trailer.vertical_frequency_hz}
    for axis, value_hz in frequencies.items():
        yield Doubt(f"trailer.{axis}_frequency_hz", value_hz, low_hz, high_hz, " Hz", why, FREQUENCY)
    high = figure("window_most_damping_ratio")
    yield Doubt("trailer.damping_ratio", trailer.damping_ratio, 0.0, high, "", why, TOO_HIGH)


def _of_gear(move: Move) -> Iterator[Doubt]:
    rows = published("friction").rows
    most = max(float(row[column] or 0.0) for row in rows for column in ("dry_ratio", "wet_ratio"))
    for contact in move.contact:
        field, why = f"friction_ratio of {contact.kind} '{contact.name}'", "the highest of the friction table"
        yield Doubt(field, contact.friction_ratio, 0.0, most, "", why, TOO_HIGH)
    strongest_kN = figure("window_most_anchor_ratio") * max(chain.lc_kN for chain in move.chain)
    for anchor in move.anchor:
        field, why = f"rating_kN of anchor '{anchor.name}'", "three times the LC of the strongest chain"
        yield Doubt(field, anchor.rating_kN, 0.0, strongest_kN, " kN", why, TOO_HIGH)
