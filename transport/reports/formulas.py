"""Calculation lines made ready for printing: mathematics that can be set, symbols, numbers, status in words."""

import logging
from typing import Any

import xarray as xr

from shared.calculation import Line, lines_of
from transport.reports.notation import plain, unit
from transport.reports.records import STATUS
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
LOG = logging.getLogger(__name__)


def printed_lines(check: xr.Dataset) -> list[dict[str, Any]]:
    """All lines of a check, as data for the template."""
    return [_printed(line) for line in lines_of(check)]


def _printed(line: Line) -> dict[str, Any]:
    symbol, value, measure = line.result
    where = ", ".join(part for part in (line.source, line.clause) if part)
    return {
        "title": f"{line.check}: {line.title}",
        "formula": line.formula if _sets(line) else "",
        "spoken": line.spoken,
        "values": [_value(*parts) for parts in line.values],
        "result": {"symbol": _symbol(symbol), "value": plain(value), "unit": unit(measure)},
        "beside": line.check if measure == "m/s" else "",
        "source": where,
        "status": STATUS.get(line.status, line.status),
    }


def _sets(line: Line) -> bool:
    works = formula_works(line.formula)
    if not works:
        LOG.warning("the formula of '%s' cannot be set and is printed as plain text: %s", line.title, line.formula)
    return works


def _value(symbol: str, value: float, measure: str, origin: str) -> dict[str, Any]:
    return {"symbol": _symbol(symbol), "value": plain(value), "unit": unit(measure), "from": origin}


def _symbol(name: str) -> dict[str, str]:
    base, _, index = name.replace('"', "").partition("_")
    return {"base": GREEK.get(base, base), "sub": GREEK.get(index, index).strip("()")}
