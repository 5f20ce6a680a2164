"""One line of an NMEA 0183 log: a wind sample, a clock, or a reason why it is neither."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import NamedTuple

from shared.errors import Fault, InputError
from shared.units import mps_from_kmh, mps_from_knots

__all__ = ["Clock", "Gate", "Sample", "sentence"]

LINE = re.compile(r"(?P<time>[^$!]*?)[\s,;]*(?P<sentence>[$!].*)")
NAIVE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}")
TIME = re.compile(NAIVE.pattern + r":[0-9]{2}(?:\.[0-9]{1,9})?(?:Z|\+00:00)")
NUMBER = re.compile(r"[0-9]{1,4}(?:\.[0-9]{0,4})?")
UNKNOWN = float("nan")
MDA_MPS = 0.2
UNITS = {"K": mps_from_kmh(1.0), "M": 1.0, "N": mps_from_knots(1.0)}


class Gate(NamedTuple):
    """The highest believable speed, and a count of the lines refused by reason."""

    highest_mps: float
    refused: Counter[str]


class Sample(NamedTuple):
    """Wind at one time (seconds since 1970, NaN if not dated): "MWV T", "MWV R", "MDA", or "" if it was unreadable."""

    at_s: float
    kind: str
    speed_mps: float
    angle_deg: float


class Clock(NamedTuple):
    """Time of a ZDA sentence, seconds since 1970, and where it stands."""

    at_s: float
    where: str


def sentence(line: str, where: str, gate: Gate) -> Iterator[Sample | Clock]:
    """Read one line: nothing for other sentences; a sample without speed for wind that cannot be used, and counted.

    Errors: InputError for a date before the sentence that is not a UTC time.
    Source: NMEA 0183, MWV fields as printed at docs.vaisala.com (read); MDA, ZDA: fields of pynmea2 (read).
    """
    import pynmea2

    match = LINE.fullmatch(line.strip())
    at_s = _time(match["time"].strip() if match else line.strip(), where)
    if match is None or (match["time"] and at_s != at_s):
        gate.refused["without a sentence, or with a damaged time"] += 1
        yield Sample(at_s, "", UNKNOWN, UNKNOWN)
        return
    try:
        parsed = pynmea2.parse(match["sentence"], check=True)
    except pynmea2.SentenceTypeError:
        return
    except Exception:  # the library raises whatever it trips over, and all of it means: damaged
        gate.refused["with a wrong or no checksum, or cut"] += 1
        yield Sample(at_s, "", UNKNOWN, UNKNOWN)
        return
    name, data = getattr(parsed, "sentence_type", ""), list(parsed.data) if hasattr(parsed, "data") else []
    if name == "ZDA":
        yield from _clock(data, where, gate)
    elif name in ("MWV", "MDA"):
        yield (_mwv if name == "MWV" else _mda)(at_s, data, gate)


def _time(text: str, where: str) -> float:
    match = TIME.match(text)
    if match is not None and (match[0] == text or not match[0][-1].isdigit()):
        try:
            return datetime.fromisoformat(match[0]).timestamp()
        except ValueError:
            return UNKNOWN
    if NAIVE.match(text):
        shown = text if len(text) <= 40 else text[:37] + "..."
        raise InputError(Fault(where, "", f"'{shown}' is no time in UTC such as 2026-03-10T06:00:00.0Z"))
    return UNKNOWN


def _clock(data: Sequence[str], where: str, gate: Gate) -> Iterator[Clock]:
    match = re.fullmatch(r"([0-9]{6}(?:\.[0-9]{1,6})?);([0-9]{2});([0-9]{2});([0-9]{4})", ";".join(data[:4]))
    try:
        if match is not None:
            text = f"{match[4]}{match[3]}{match[2]}T{match[1]}Z"
            yield Clock(datetime.fromisoformat(text).timestamp(), where)
            return
    except ValueError:
        pass
    gate.refused["with a clock that is no time"] += 1


def _number(text: str) -> float:
    return float(text) if NUMBER.fullmatch(text) else UNKNOWN


def _checked(at_s: float, kind: str, speed_mps: float, angle_deg: float, gate: Gate) -> Sample:
    if not 0.0 <= speed_mps <= gate.highest_mps:
        gate.refused[f"with a speed that is no number from 0 to {gate.highest_mps:g} m/s"] += 1
        return Sample(at_s, "", UNKNOWN, UNKNOWN)
    return Sample(at_s, kind, speed_mps, angle_deg if 0.0 <= angle_deg <= 360.0 else UNKNOWN)


def _mwv(at_s: float, data: Sequence[str], gate: Gate) -> Sample:
    wrong = None
    if len(data) != 5 or data[1] not in ("R", "T"):
        wrong = "MWV of another form"
    elif data[4] != "A":
        wrong = "MWV with a status other than A"
    elif data[3] not in UNITS:
        wrong = "MWV with a unit other than K, M or N"
    elif data[0] and not 0.0 <= _number(data[0]) < 360.0:
        wrong = "MWV with an angle outside 0 to 360"
    if wrong is not None:
        gate.refused[wrong] += 1
        return Sample(at_s, "", UNKNOWN, UNKNOWN)
    return _checked(at_s, f"MWV {data[1]}", _number(data[2]) * UNITS[data[3]], _number(data[0]), gate)


def _mda(at_s: float, data: Sequence[str], gate: Gate) -> Sample:
    if len(data) != 20 or data[17] != "N" or data[19] != "M":
        gate.refused["MDA of another form"] += 1
        return Sample(at_s, "", UNKNOWN, UNKNOWN)
    knots, mps = _number(data[16]) * UNITS["N"], _number(data[18])
    if not abs(knots - mps) <= MDA_MPS:
        gate.refused["MDA whose knots and m/s differ"] += 1
        return Sample(at_s, "", UNKNOWN, UNKNOWN)
    return _checked(at_s, "MDA", max(knots, mps), _number(data[12]) if data[13] == "T" else UNKNOWN, gate)
