"""One METAR or SPECI: wind by the letter and by a library, visibility, temperature, and the peak in its remarks."""

import re
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any, NamedTuple

import numpy as np

from shared.units import kelvin_from_celsius
from transport.weather.feeds.stations.report_time import UnreadableError, rolled, within_month
from transport.weather.feeds.stations.reports import Report
from transport.weather.feeds.stations.wind_group import Wind, looks_like_wind, sight_m, wind_of

__all__ = ["Observed", "doubtful", "observed"]

REST = ("RMK", "NOSIG", "BECMG", "TEMPO", "FCST")
FLAGS = re.compile(r"AUTO|COR|CC[A-Z]|RTD")
VARIES = re.compile(r"[0-3][0-9]0V[0-3][0-9]0")
AIR = re.compile(r"(M?[0-9]{2}|//)/(M?[0-9]{2}|//)?")
PEAK = re.compile(r"PK WND [0-3][0-9]{2}([0-9]{2,3})/([0-9]{2})?([0-9]{2})(?: |$)")
NEAR = 1e-3


class Observed(NamedTuple):
    """What one time says; NaN where it says nothing. wind_from_deg NaN: any direction."""

    time: datetime
    mean_wind_mps: float
    gust_mps: float
    wind_from_deg: float
    visibility_m: float
    air_temperature_K: float
    dew_point_K: float
    corrected: bool
    remarks: tuple[str, ...]


def observed(report: Report, month: str | None) -> Iterator[Observed]:
    """Read a report: its own time, and the time of a peak wind that its remarks give.

    Errors: UnreadableError for NIL, no wind, a group that neither reading understands, or two readings that differ.
    Source: WMO-No. 306, FM 15 (read); PK WND of the United States, AFMAN 15-111 attachment 3 (read).
    """
    time, words = _issued(report, month)
    if "NIL" in words:
        raise UnreadableError("is NIL: nothing was observed")
    flags = [word for word in words if FLAGS.fullmatch(word)]
    body = list(_body(words))
    winds = [word for word in body if looks_like_wind(word)]
    if len(winds) != 1 or body[0] != winds[0]:
        raise UnreadableError(f"has {len(winds)} winds, allowed is one, right after its time")
    wind = wind_of(winds[0])
    _confirm(report, time, body, wind)
    corrected = bool(report.status) or bool({*flags} - {"AUTO"})
    yield _row(time, wind, body, corrected=corrected)
    yield from _peak(time, " ".join(words))


def _issued(report: Report, month: str | None) -> tuple[datetime, list[str]]:
    issue, *words = report.groups or ("",)
    if re.fullmatch(r"[0-9]{6}Z", issue) is None:
        raise UnreadableError(f"'{issue}' stands where its time is needed, such as 121120Z")
    return rolled(issue[:6], report.stamp) if report.stamp else within_month(issue[:6], month or ""), words


def doubtful(report: Report, month: str | None) -> Iterator[Observed]:
    """The strongest wind of a report that is refused, as a gust without a mean: it may only speak against go.

    The reports of a storm are those that hold unusual groups.      Source: house rule on observations (practice).
    """
    try:
        time, words = _issued(report, month)
        winds = [wind_of(word) for word in _body(words) if looks_like_wind(word)]
    except UnreadableError:
        return
    speeds = [speed for wind in winds for speed in (wind.mean_mps, wind.gust_mps) if speed == speed]
    if speeds:
        nothing = float("nan")
        told = f"{time:%Y-%m-%d %H:%M}: of the refused report its wind alone is kept, as a gust"
        yield Observed(time, nothing, max(speeds), nothing, nothing, nothing, nothing, False, (told,))


def _body(words: Sequence[str]) -> Iterator[str]:
    for number, word in enumerate(words):
        if word in REST:
            return
        if FLAGS.fullmatch(word):
            continue
        whole = number > 0 and re.fullmatch(r"[0-9]", words[number - 1]) is not None
        if not (whole and word.endswith("SM")):
            mixed = re.fullmatch(r"[0-9]", word) is not None and number + 1 < len(words)
            yield f"{word} {words[number + 1]}" if mixed else word


def _row(time: datetime, wind: Wind, body: Sequence[str], *, corrected: bool) -> Observed:
    varies = any(VARIES.fullmatch(word) for word in body)
    sights = [found for word in body if (found := sight_m(word)) is not None]
    airs = [match for word in body if (match := AIR.fullmatch(word))]
    air_K, dew_K = (_kelvin(airs[0][1]), _kelvin(airs[0][2])) if len(airs) == 1 else (np.nan, np.nan)
    top = f"{time:%Y-%m-%d %H:%M}: '{wind.text}' says more than the end of the scale; the end is taken"
    return Observed(
        time,
        wind.mean_mps,
        wind.gust_mps,
        float("nan") if varies else wind.from_deg,
        float(np.min(sights)) if sights else float("nan"),
        air_K,
        dew_K,
        corrected,
        (top,) if wind.top else (),
    )


def _kelvin(text: str | None) -> float:
    if text is None or text == "//":
        return float("nan")
    return float(kelvin_from_celsius(float(text.replace("M", "-"))))


def _peak(time: datetime, text: str) -> Iterator[Observed]:
    """A peak of the past hour, in knots: a row of its own, so that it is not lost between two reports."""
    for speed, hour, minute in PEAK.findall(text):
        wind = wind_of(f"VRB{speed}KT")
        at = time.replace(minute=int(minute), hour=int(hour) if hour else time.hour) if int(minute) < 60 else None
        if at is None or (hour and int(hour) > 23):
            raise UnreadableError(f"has a peak wind at '{hour}{minute}', which is no time")
        at -= timedelta(0) if at <= time else (timedelta(days=1) if hour else timedelta(hours=1))
        nothing = float("nan")
        yield Observed(at, nothing, wind.mean_mps, nothing, nothing, nothing, nothing, False, ())


def _confirm(report: Report, time: datetime, body: Sequence[str], wind: Wind) -> None:
    their = _parsed(f"{report.identifier} {time:%d%H%M}Z {' '.join(body)}", time)
    if their is None:
        raise UnreadableError("holds a group that is not understood")
    pairs = [(their.wind_speed, wind.mean_mps), (their.wind_gust, wind.gust_mps)]
    for found, ours in pairs:
        if (found is None) != bool(np.isnan(ours)) or (found is not None and abs(found.value("MPS") - ours) > NEAR):
            shown = "none" if found is None else found.string("MPS")
            raise UnreadableError(f"two readings of '{wind.text}' differ: {ours:.2f} mps, or {shown}")


def _parsed(text: str, time: datetime) -> Any:
    from metar.Metar import Metar

    try:
        return Metar(text, month=time.month, year=time.year, strict=True)
    except Exception:  # the library raises whatever it trips over, and all of it means: not read
        return None
