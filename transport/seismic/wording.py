"""The sentences of the report: level and chance, always two lines; the rules for stopping and going on."""

import math

from transport.seismic.aftershock import Magnitude

__all__ = ["chance_sentence", "level_sentence", "one_digit", "resume_sentence", "stop_sentence"]


def one_digit(chance_ratio: float) -> str:
    """A chance with one significant digit, rounded up: 2.4e-6 is "3 in 1 000 000"; NaN is "unknown".

    Source: house rule, a chance is never shown smaller than it is (practice)
    """
    if not 0.0 < chance_ratio <= 1.0:
        return "0" if chance_ratio == 0.0 else "unknown"
    power = math.floor(math.log10(chance_ratio))
    digit = math.ceil(chance_ratio / 10.0**power - 1e-9)
    power, digit = (power + 1, 1) if digit == 10 else (power, digit)
    return f"{digit} in {10 ** max(-power, 0):,}".replace(",", " ")


def level_sentence(ground_mps2: float, return_period_years: float, chosen: str, source: str) -> str:
    """First line: what was checked, and who chose it.

    Source: wording of the level (practice)
    """
    return (
        f"Level checked: ground acceleration {ground_mps2:.2f} m/s2 on rock (return period "
        f"{return_period_years:.0f} years), chosen by {chosen}; {source}."
    )


def chance_sentence(move_ratio: float, moves_ratio: float, exposure_h: float, moves_count: int) -> str:
    """Second line: the chance, for one move and for all planned ones, and what it is not.

    Source: wording of the chance (practice)
    """
    hours = f"{exposure_h:.1f} h" if math.isfinite(exposure_h) else "unknown time"
    return (
        f"Probability that this level is exceeded while the load is on the road ({hours}): "
        f"{one_digit(move_ratio)}; over the planned {moves_count} moves: {one_digit(moves_ratio)}. "
        "It assumes independent earthquakes (Poisson) and none lately. "
        "A low probability is no reason to accept a loss that cannot be made good."
    )


def stop_sentence(source_m: float, warning_s: float, stop_s: float, stop_m: float) -> str:
    """Rule on shaking, with the time there is and the time it takes.

    Source: public advice to drivers, adapted (practice)
    """
    takes = f"takes {stop_s:.1f} s and {stop_m:.1f} m" if math.isfinite(stop_s) else "takes an unknown time"
    return (
        "On shaking or an alert: steer straight, stop softly at the normal service deceleration, "
        "never by emergency braking; parking brake; suspension left as it is; "
        "nobody between load and edge or near taut chains. "
        f"{source_m / 1000.0:g} km from the source {warning_s:.1f} s pass between first and strong shaking, "
        f"close by none; the soft stop {takes}."
    )


def resume_sentence(day_ratio: float, week_ratio: float, mainshock: Magnitude, least: Magnitude) -> str:
    """Rule for going on after an earthquake.

    Source: Reasenberg and Jones 1989, generic constants (memory); rule (practice)
    """
    return (
        "After a felt earthquake: wait; inspect chains, pads, cover, hydraulics, tyres and the road on foot; "
        "go on only when the safety officer has released the load. "
        f"Chance of magnitude {least:g} or more during one drive after a magnitude {mainshock:g}: "
        f"{one_digit(day_ratio)} a day later, {one_digit(week_ratio)} a week later."
    )
