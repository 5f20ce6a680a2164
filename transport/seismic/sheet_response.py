"""Calculation lines of the load and of the people: grip without chains, aftershocks, warning and stop."""

from collections.abc import Iterator

from shared.calculation import Line
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.seismic.aftershock import california
from transport.seismic.demand import Demand
from transport.seismic.rocking import rocking_mps2
from transport.seismic.sliding import chain_force_kN, needed_ratio, sliding_mps2
from transport.seismic.stop_policy import stopping_distance_m, stopping_time_s, warning_s

__all__ = ["aftershock", "response", "stop"]


def response(found: Demand, slope_ratio: float) -> Iterator[Line]:
    """Grip that the unit would need without chains on the steepest place, proved by the two onsets."""
    needed = float(needed_ratio(found.deck_horizontal_mps2, slope_ratio, -found.deck_vertical_mps2))
    yield _grip(found, slope_ratio, needed)
    yield _onsets(found, slope_ratio, needed)
    yield _chains(found)


def aftershock(days: float, exposure_h: float, chance: float) -> Line:
    """Chance of a strong aftershock during one drive, some days after an earthquake."""
    region = california()
    return Line(
        check="earthquake stop rule",
        title=f"Chance of an aftershock of magnitude M or more during one drive, {days:g} d after the mainshock",
        formula="P = 1 - exp(-10^(a + b (M_m - M)) ((t_2 + c)^(1 - p) - (t_1 + c)^(1 - p)) / (1 - p))",
        spoken="P = 1 - exp(-10^(a + b (Mm - M)) ((t2 + c)^(1 - p) - (t1 + c)^(1 - p)) / (1 - p))",
        values=(
            ("M_m", figure("seismic_mainshock_magnitude"), "", "mainshock"),
            ("M", figure("seismic_aftershock_magnitude"), "", "least aftershock counted"),
            ("t_1", days, "days", "start of the drive after the mainshock"),
            ("t_2", days + exposure_h / 24.0, "days", "end of the drive"),
            ("a", region.a, "", "generic California"),
            ("b", region.b, "", "generic California"),
            ("p", region.p, "", "generic California"),
            ("c", region.c_days, "days", "generic California"),
        ),
        result=("P", chance, ""),
        source="Reasenberg and Jones 1989",
        clause="",
        status="memory",
    )


def stop(speed_mps: float) -> Line:
    """Warning by the first shaking against the time and way of a soft stop."""
    soft, far_m = figure("seismic_soft_stop_mps2"), figure("seismic_source_distance_m")
    slow, fast = figure("seismic_s_wave_mps"), figure("seismic_p_wave_mps")
    return Line(
        check="earthquake stop rule",
        title="Soft stop from the highest planned speed, against the time between first and strong shaking",
        formula="t_w = R (1 / v_s - 1 / v_p), quad t = v / a, quad x = v^2 / (2 a)",
        spoken="tw = R (1 / vs - 1 / vp); t = v / a; x = v^2 / (2 a)",
        values=(
            ("R", far_m, "m", "distance to the source"),
            ("v_s", slow, "m/s", "S waves"),
            ("v_p", fast, "m/s", "P waves"),
            ("v", speed_mps, "m/s", "highest planned speed"),
            ("a", soft, "m/s2", "soft stop"),
            ("t", stopping_time_s(speed_mps, soft), "s", "time to stand"),
            ("x", stopping_distance_m(speed_mps, soft), "m", "way to stand"),
        ),
        result=("t_w", warning_s(far_m, fast, slow), "s"),
        source="travel times in an even crust",
        clause="",
        status="practice",
    )


def _grip(found: Demand, slope_ratio: float, needed: float) -> Line:
    return Line(
        check="earthquake load",
        title="Friction, and half base over height, that would do without chains where it is steepest",
        formula="mu = tan(arctan(i) + arctan(a_h / (g - a_v)))",
        spoken="mu = tan(atan(i) + atan(ah / (g - av)))",
        values=(
            ("i", slope_ratio, "", "grade and crossfall together"),
            ("a_h", found.deck_horizontal_mps2, "m/s2", "deck, horizontal"),
            ("a_v", found.deck_vertical_mps2, "m/s2", "deck, vertical, in full and downwards"),
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
        ),
        result=("mu", needed, ""),
        source="statics of a block on an incline",
        clause="",
        status="memory",
    )


def _onsets(found: Demand, slope_ratio: float, needed: float) -> Line:
    down = -found.deck_vertical_mps2
    return Line(
        check="earthquake load",
        title="Proof: with that ratio sliding and rocking begin at the acceleration of the deck",
        formula="a_s = (g - a_v) tan(arctan(mu) - arctan(i)), quad a_r = (g - a_v) tan(arctan(beta) - arctan(i))",
        spoken="as = (g - av) tan(atan(mu) - atan(i)); ar = (g - av) tan(atan(beta) - atan(i))",
        values=(
            ("mu", needed, "", "line above"),
            ("beta", needed, "", "half base over height, line above"),
            ("i", slope_ratio, "", "grade and crossfall together"),
            ("a_v", found.deck_vertical_mps2, "m/s2", "deck, vertical, in full and downwards"),
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
            ("a_r", float(rocking_mps2(needed, 1.0, slope_ratio, down)), "m/s2", "rocking"),
        ),
        result=("a_s", float(sliding_mps2(needed, slope_ratio, down)), "m/s2"),
        source="statics of a rigid block on an incline",
        clause="",
        status="memory",
    )


def _chains(found: Demand) -> Line:
    return Line(
        check="earthquake load",
        title="Force on the chains per tonne of load, no credit to friction",
        formula="f = a_h",
        spoken="f = ah",
        values=(("a_h", found.deck_horizontal_mps2, "m/s2", "deck, horizontal"),),
        result=(
            "f",
            chain_force_kN(1.0, found.deck_horizontal_mps2, found.deck_vertical_mps2, 0.0),
            "kN/t",
        ),
        source="statics",
        clause="",
        status="practice",
    )
