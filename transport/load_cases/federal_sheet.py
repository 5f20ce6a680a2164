"""Calculation lines of 49 CFR 393: limits of the weakest tiedown and the counting rules."""

import numpy as np

from shared.calculation import Line
from shared.tables import figure
from transport.load_cases.codes import Codes
from transport.load_cases.federal import Rule
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import NAME
from transport.load_cases.tiedowns import Tiedowns

__all__ = ["federal_lines"]

Value = tuple[str, float, str, str]
CFR = "49 CFR 393"


def federal_lines(codes: Codes, masses: Masses) -> list[Line]:
    """Working load limit and breaking strength of the weakest tiedown, then each counting rule; none without the code.

    Source: tiedowns.working_limit_kN, federal.counting_rules (read).
    """
    if not codes.rules:
        return []
    counting = [_rule_line(rule, codes.tied, masses) for rule in codes.rules]
    return [_limit_line(codes.tied), _breaking_line(codes.tied), *counting]


def _limit_line(tied: Tiedowns) -> Line:
    k = int(np.argmin(tied.limit_kN))
    values: tuple[Value, ...] = (
        ("F_1", float(tied.weakest_kN[k]), "kN", f"weakest part of the line, LC or a rating, {tied.tags[k]}"),
    )
    formula = "L = F_1 / 2"
    if np.isfinite(tied.listed_kg[k]):
        formula = "L = min(F_1 / 2, (g T) / 1000)"
        gravity_mps2 = figure("securing_gravity_mps2")
        values += (("g", gravity_mps2, "m/s2", ""), ("T", float(tied.listed_kg[k]), "kg", "393.108, size and grade"))
    title, result = "Working load limit of the weakest tiedown", ("L", float(tied.limit_kN[k]), "kN")
    return Line(NAME, title, formula, formula.replace("(g T)", "g T"), values, result, CFR, "393.108", "read")


def _breaking_line(tied: Tiedowns) -> Line:
    k = int(np.argmin(tied.breaking_kN))
    formula = "F_b = 2 L_C"
    values: tuple[Value, ...] = (_lc_value(tied, k),)
    if tied.breaking_kN[k] != 2.0 * tied.lc_kN[k]:
        words = "weakest of anchor, shackle and tensioner, not doubled, or the chain over its edge"
        formula, values = "F_b = min(2 L_C, A)", (*values, ("A", float(tied.breaking_kN[k]), "kN", words))
    title, result = "Breaking strength of the weakest tiedown", ("F_b", float(tied.breaking_kN[k]), "kN")
    return Line(NAME, title, formula, formula, values, result, CFR, "393.102(a)(1)", "practice")


def _lc_value(tied: Tiedowns, k: int) -> Value:
    return ("L_C", float(tied.lc_kN[k]), "kN", f"LC of the tag, {tied.tags[k]}: half the breaking force")


def _rule_line(rule: Rule, tied: Tiedowns, masses: Masses) -> Line:
    formulas = {
        "393.106(d)": ("u = (a m) / (S / 2)", _aggregate_values(tied, masses)),
        "393.102(b)": ("u = (a W) / V", _downforce_values(rule, masses)),
        "393.110, 393.130": ("u = n / p", _count_values(rule)),
    }
    formula, values = formulas[rule.clause]
    spoken = formula.replace("(a m)", "a m").replace("(a W)", "a W")
    title, result = f"Counting rule, {rule.name}: needed over provided", ("u", rule.use_ratio, "")
    return Line(NAME, title, formula, spoken, values, result, CFR, rule.clause, "read")


def _aggregate_values(tied: Tiedowns, masses: Masses) -> tuple[Value, ...]:
    return (
        ("a", figure("load_cases_us_aggregate_ratio"), "", "part of the mass"),
        ("m", 1000.0 * masses.greatest_t, "kg", "mass with its tolerance"),
        ("S", float(np.sum(tied.limit_kg)), "kg", f"working load limits of {len(tied.tags)} lines from load to deck"),
    )


def _downforce_values(rule: Rule, masses: Masses) -> tuple[Value, ...]:
    return (
        ("a", figure("load_cases_us_downforce_ratio"), "", "part of the weight"),
        ("W", masses.greatest_t * masses.gravity_mps2, "kN", "mass with its tolerance, 9.81 m/s2"),
        ("V", rule.provided, "kN", "sum of working load limit by sin(alpha)"),
    )


def _count_values(rule: Rule) -> tuple[Value, ...]:
    each_m, heavy_t = figure("load_cases_us_length_m"), figure("load_cases_us_heavy_t")
    needed = f"one for each {each_m:g} m or part, one more if not blocked ahead, 4 for machinery from {heavy_t:g} t"
    return (
        ("n", rule.needed, "", needed),
        ("p", rule.provided, "", "tiedowns; a line over the load has two legs and counts once"),
    )
