"""How numbers, places and times are written: limits rounded down, loads rounded up, unknown said in words."""

import math
import re
from datetime import UTC, datetime, tzinfo
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import xarray as xr

from shared.text import clean

__all__ = [
    "UNKNOWN",
    "clock",
    "compass",
    "cut",
    "day",
    "down",
    "gust",
    "letter",
    "margin",
    "moment",
    "offset_name",
    "one_line",
    "place",
    "plain",
    "raised",
    "share",
    "short_stamp",
    "slope",
    "stamp",
    "text_of",
    "unit",
    "up",
    "use",
    "worded",
    "zone_name",
]

UNKNOWN = "unknown"
RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
ABOVE_MPS = 80.0
POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def plain(value: float, digits: int = 4) -> str:
    """A number to `digits` significant digits; an exponent only below 0.0001 and from a thousand million."""
    value = float(value)
    if not math.isfinite(value):
        return _special(value)
    if value == int(value) and abs(value) < 1e9:
        return str(int(value))
    return _significant(value, digits) if 1e-4 <= abs(value) < 1e9 else f"{value:.{digits - 1}e}"


def down(value: float, digits: int = 1) -> str:
    """What is allowed, rounded down."""
    return _rounded(value, digits, ROUND_FLOOR)


def margin(value_ratio: float) -> str:
    """What is left as percent, rounded down; nothing is left where the road is closed."""
    return "closed" if np.isneginf(value_ratio) else _percent(value_ratio, ROUND_FLOOR)


def use(value_ratio: float) -> str:
    """A utilisation, rounded up; without bound where the road is closed."""
    return "closed" if np.isposinf(value_ratio) else up(value_ratio)


def up(value: float, digits: int = 2) -> str:
    """What is demanded, rounded up."""
    return _rounded(value, digits, ROUND_CEILING)


def share(value_ratio: float) -> str:
    """A chance or share as percent, rounded up."""
    return _percent(value_ratio, ROUND_CEILING)


def slope(grade_ratio: float) -> str:
    """A grade as percent with its sense, the steepness rounded up."""
    sense = "level" if grade_ratio == 0 else ("up" if grade_ratio > 0 else "down")
    return f"{sense} {share(abs(grade_ratio))}" if math.isfinite(grade_ratio) else UNKNOWN


def gust(limit_mps: float) -> str:
    """A gust limit with its unit; closed, unknown, unlimited and beyond any storm in words."""
    if math.isnan(limit_mps):
        return UNKNOWN
    if math.isinf(limit_mps):
        return "no wind limit"
    if limit_mps >= ABOVE_MPS:
        return f"above {ABOVE_MPS:.0f} m/s"
    return f"{down(limit_mps)} m/s" if limit_mps > 0 else "closed"


def place(station_m: float) -> str:
    """A station, to the metre."""
    return f"{station_m:.0f} m" if math.isfinite(station_m) else UNKNOWN


def compass(wind_from_deg: float) -> str:
    """A direction in degrees with the nearest of eight points."""
    if not math.isfinite(wind_from_deg):
        return "any"
    return f"{wind_from_deg:.0f}° ({POINTS[round(wind_from_deg / 45.0) % 8]})"


def letter(order: int) -> str:
    """A, B, ... Z, AA, AB, ... for the order 0, 1, ..."""
    return (letter(order // 26 - 1) if order >= 26 else "") + chr(ord("A") + order % 26)


def moment(value: Any) -> datetime | None:
    """An aware UTC time from datetime64 or datetime; None for NaT."""
    if isinstance(value, datetime):
        return value.astimezone(UTC)
    stamp = np.datetime64(value, "us")
    return None if np.isnat(stamp) else stamp.astype(datetime).replace(tzinfo=UTC)


def clock(time: datetime | None, zone: tzinfo) -> str:
    """Hours and minutes in the zone."""
    return time.astimezone(zone).strftime("%H:%M") if time else UNKNOWN


def day(time: datetime | None, zone: tzinfo) -> str:
    """Weekday and date in the zone."""
    return time.astimezone(zone).strftime("%a %d %b %Y") if time else UNKNOWN


def stamp(time: datetime | None, zone: tzinfo) -> str:
    """Weekday, date, hours and minutes in the zone."""
    return time.astimezone(zone).strftime("%a %d %b %H:%M") if time else UNKNOWN


def short_stamp(time: datetime | None, zone: tzinfo) -> str:
    """Weekday, day of the month, hours and minutes in the zone."""
    return time.astimezone(zone).strftime("%a %d %H:%M") if time else UNKNOWN


def offset_name(zone: tzinfo, time: datetime) -> str:
    """How far the clock of the zone is from UTC."""
    offset = time.astimezone(zone).strftime("%z")
    return f"UTC{offset[:3]}:{offset[3:]}"


def zone_name(zone: ZoneInfo, time: datetime) -> str:
    """The offset, then the zone's own name, which alone can mislead."""
    return f"{offset_name(zone, time)} ({zone.key})"


def one_line(value: object) -> str:
    """Text of a user on one line, without signs that steer or hide."""
    return " ".join(clean(str(value)).split())


def cut(text: str, most: int) -> str:
    """Text no longer than `most` signs; the sign … says that something is missing."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def worded(value: object) -> str:
    """A sentence of the result on one line; long numbers of kelvin are rounded down, of utilisation up."""
    text = re.sub(r"-?\d+\.\d{3,}(?= K\b)", lambda found: down(float(found[0]), 2), one_line(value))
    return re.sub(r"(?<=utilisation )\d+\.\d{3,}", lambda found: up(float(found[0])), text)


def unit(name: str) -> str:
    """A unit as printed: exponents raised, 1 as nothing."""
    raised = re.sub(r"(?<=[A-Za-z])-?\d(?![\d.])", lambda found: found[0].translate(RAISED), name)
    return "" if name in {"1", "-"} else raised


def raised(number: str) -> str:
    """A whole number as an exponent."""
    return number.translate(RAISED)


def text_of(row: xr.Dataset, name: str) -> str:
    """Text of a variable on one line; nothing where the variable is missing."""
    return one_line(row[name].values) if name in row else ""


def _percent(value_ratio: float, towards: str) -> str:
    return f"{_rounded(value_ratio, 1, towards, shift=2)} %" if math.isfinite(value_ratio) else _special(value_ratio)


def _rounded(value: float, digits: int, towards: str, shift: int = 0) -> str:
    value = float(value)
    if not math.isfinite(value):
        return _special(value)
    rounded = Decimal(repr(value)).scaleb(shift).quantize(Decimal(1).scaleb(-digits), rounding=towards)
    return str(abs(rounded) if rounded == 0 else rounded)


def _significant(value: float, digits: int) -> str:
    exact = Decimal(repr(value))
    step = Decimal(1).scaleb(min(0, exact.adjusted() - digits + 1))
    text = format(exact.quantize(step, rounding=ROUND_HALF_EVEN), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _special(value: float) -> str:
    return UNKNOWN if math.isnan(value) else ("infinite" if value > 0 else "-infinite")
