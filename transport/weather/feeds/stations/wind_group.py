"""The wind group of METAR, SPECI and TAF, and visibility: read by the letter, anything else is not a wind.

dddffGfmfm with KT, MPS or KMH: direction in tens of degrees or VRB, mean, gust; P99KT, P49MPS, P199KMH: more than that.
"""

import re
from typing import NamedTuple

import numpy as np

from shared.tables import figure
from shared.units import mps_from_kmh, mps_from_knots
from transport.weather.feeds.stations.report_time import UnreadableError

__all__ = ["Wind", "looks_like_wind", "sight_m", "wind_of"]

SPEED = r"P?(?:[0-9]{2}|[1-9][0-9]{2})|//"
FORM = re.compile(rf"(?P<ddd>[0-3][0-9]0|VRB|///)(?P<ff>{SPEED})(?:G(?P<fm>{SPEED}))?(?P<unit>KT|MPS|KMH)")
LIKE = re.compile(r"[0-9A-Z/]*(?:KT|MPS|KMH)")
TOP = {"KT": "P99", "MPS": "P49", "KMH": "P199"}
METRES = re.compile(r"([0-9]{4})(?:NDV|N|NE|E|SE|S|SW|W|NW)?")
MILES = re.compile(r"(P|M)?(?:([0-9]{1,2})(?: (?=[0-9]/)|(?=SM)))?(?:([0-9])/([0-9]{1,2}))?SM")


class Wind(NamedTuple):
    """from_deg: NaN for any direction; mean, gust: NaN where unknown; `gusty`: a gust is stated.

    top: a speed is only said to lie above the end of the scale, and stands at that end.
    """

    from_deg: float
    mean_mps: float
    gust_mps: float
    gusty: bool
    top: bool
    unit: str
    text: str


def looks_like_wind(group: str) -> bool:
    """Whether a group ends with a unit of wind, so that it must be read as wind or refused.

    Source: WMO-No. 306, FM 15 and FM 51 (read).
    """
    return LIKE.fullmatch(group) is not None


def wind_of(group: str) -> Wind:
    """Read a wind group.

    Errors: UnreadableError for another form, a direction above 360, a gust below its mean.
    Source: WMO-No. 306, FM 15 and FM 51, code forms; direction in tens of degrees (read); 00000 calm, P99KT (read).
    """
    if (match := FORM.fullmatch(group)) is None:
        raise UnreadableError(f"'{group}' is no wind group such as 24018G33KT")
    ddd, ff, fm, unit = match["ddd"], match["ff"], match["fm"], match["unit"]
    mean, gust = _speed(ff, unit, group), _speed(fm, unit, group) if fm else np.nan
    direction = float(ddd) if ddd.isdigit() else np.nan
    if direction > 360 or (direction == 0 and mean != 0.0):
        raise UnreadableError(f"'{group}' has no such direction; north is 360, and 00000 is calm")
    if gust < mean:
        raise UnreadableError(f"'{group}' has a gust below its mean")
    top = "P" in ff or (fm is not None and "P" in fm)
    return Wind(direction if mean > 0.0 else np.nan, mean, gust, fm is not None, top, unit, group)


def _speed(text: str, unit: str, group: str) -> float:
    if text == "//":
        return float("nan")
    if "P" in text and text != TOP[unit]:
        raise UnreadableError(f"'{group}' is no end of the scale such as {TOP[unit]}{unit}")
    number = float(text.removeprefix("P"))
    return {"KT": mps_from_knots(number), "KMH": mps_from_kmh(number), "MPS": number}[unit]


def sight_m(group: str) -> float | None:
    """Visibility that a group states at least, in metres; None if it states none; NaN if it is said to be unknown.

    9999 and CAVOK: 10 km; P6SM: 6 miles; M1/4SM: less than that, so 0.
    Source: WMO-No. 306, FM 15 and FM 51 (read); statute miles of North America (read).
    """
    unlimited_m = figure("weather_sight_unlimited_m")
    if group in ("CAVOK", "////"):
        return unlimited_m if group == "CAVOK" else float("nan")
    if match := METRES.fullmatch(group):
        return unlimited_m if match[1] == "9999" else float(match[1])
    if (match := MILES.fullmatch(group)) is None or not (match[2] or match[3]):
        return None
    if match[4] is not None and int(match[4]) == 0:
        raise UnreadableError(f"'{group}' is no visibility")
    miles = float(match[2] or 0) + (float(match[3]) / float(match[4]) if match[3] else 0.0)
    return 0.0 if match[1] == "M" else miles * figure("weather_mile_m")
