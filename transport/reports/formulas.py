"""Calculation lines made ready for printing: mathematics that can be set, then with its numbers, status in words."""

import logging
import math
import re
from collections.abc import Mapping
from typing import Any

import xarray as xr

from shared.calculation import Line, lines_of
from transport.reports.notation import plain, raised, unit
from transport.reports.records import STATUS
from transport.reports.substitution import DIGITS, digits_needed, substituted
from transport.reports.typesetting import formula_works

__all__ = ["printed_lines"]

NAMES = (
    *("alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "kappa", "lambda", "mu", "nu", "xi", "pi"),
    *(
        "rho",
        "sigma",
        "tau",
        "phi",
        "chi",
        "psi",
        "omega",
        "Gamma",
        "Delta",
        "Theta",
        "Lambda",
        "Sigma",
        "Phi",
        "Psi",
        "Omega",
    ),
)
GREEK = dict(zip(NAMES, "αβγδεζηθκλμνξπρστφχψωΓΔΘΛΣΦΨΩ", strict=True))
NOTHING_RATIO = 1e-9
EXPONENT = r"(?<![\w.])-?\d+(?:\.\d+)?e-\d+\b"
FLOAT = r"(?<![\w.])-?\d+(?:\.\d+)?(?:e[-+]?\d+)?\b"
LOG = logging.getLogger(__name__)


def printed_lines(check: xr.Dataset) -> list[dict[str, Any]]:
    """All lines of a check, as data for the template."""
    return [_printed(line) for line in lines_of(check)]


def _printed(line: Line) -> dict[str, Any]:
    symbol, value, measure = line.result
    scales, digits = _scales(line), digits_needed(line)
    where = ", ".join(part for part in (line.source, line.clause) if part)
    return {
        "title": f"{line.check}: {line.title}",
        "formula": line.formula if _sets(line) else "",
        "spoken": line.spoken,
        "numbers": _numbers(line, scales, digits),
        "values": [_value(*parts, scales, digits) for parts in line.values],
        "result": {"symbol": _symbol(symbol), "value": _printed_number(value, measure, scales), "unit": unit(measure)},
        "beside": line.check if measure == "m/s" else "",
        "source": where,
        "status": STATUS.get(line.status, line.status),
    }


def _sets(line: Line) -> bool:
    works = formula_works(line.formula)
    if not works:
        LOG.warning("the formula of '%s' cannot be set and is printed as plain text: %s", line.title, line.formula)
    return works


def _numbers(line: Line, scales: Mapping[str, float], digits: int) -> list[str]:
    """The formula with its numbers, one equation after the other; nothing where one cannot be set."""
    given = {(value, measure) for _, value, measure, _ in line.values}

    def written(value: float, measure: str) -> str:
        return _number(value, measure, scales, digits if (value, measure) in given else DIGITS)

    texts = substituted(line, written)
    return list(texts) if texts and formula_works("; ".join(texts)) else []


def _value(
    symbol: str, value: float, measure: str, origin: str, scales: Mapping[str, float], digits: int
) -> dict[str, Any]:
    number = _printed_number(value, measure, scales, digits)
    return {"symbol": _symbol(symbol), "value": number, "unit": unit(measure), "from": _told(origin)}


def _scales(line: Line) -> dict[str, float]:
    """The greatest finite magnitude of each unit in the line; numbers without a unit have no common scale."""
    found: dict[str, float] = {}
    for value, measure in (*((value, measure) for _, value, measure, _ in line.values), line.result[1:]):
        if math.isfinite(value) and unit(measure):
            found[measure] = max(found.get(measure, 0.0), abs(value))
    return found


def _number(value: float, measure: str, scales: Mapping[str, float], digits: int = DIGITS) -> str:
    """A value; what is nothing but the rest of a subtraction beside others of its unit is 0."""
    return "0" if abs(value) < NOTHING_RATIO * scales.get(measure, 0.0) else plain(value, digits)


def _printed_number(value: float, measure: str, scales: Mapping[str, float], digits: int = DIGITS) -> str:
    """The same for a table, with a power of ten as in the formulas."""
    text = _number(value, measure, scales, digits)
    mantissa, _, exponent = text.partition("e")
    return f"{mantissa} · 10{raised(str(int(exponent)))}" if exponent else text


def _told(origin: str) -> str:
    """The origin in words, where such rests among its numbers are 0 too."""
    numbers = [abs(float(number)) for number in re.findall(FLOAT, origin)]
    least = NOTHING_RATIO * max(numbers, default=0.0)
    return re.sub(EXPONENT, lambda found: "0" if abs(float(found[0])) < least else found[0], origin)


def _symbol(name: str) -> dict[str, str]:
    base, _, index = name.replace('"', "").partition("_")
    return {"base": GREEK.get(base, base), "sub": GREEK.get(index, index).strip("()")}
