"""The groups of a TAF by the letter of FM 51: one group that is not understood refuses the whole forecast."""

import re
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

import numpy as np

from transport.weather.feeds.stations.report_time import UnreadableError, within
from transport.weather.feeds.stations.wind_group import Wind, looks_like_wind, sight_m, wind_of

__all__ = ["Group", "groups_of"]

WEATHER = (
    r"(?:\+|-|VC)?(?:MI|BC|PR|DR|BL|SH|TS|FZ)?"
    r"(?:DZ|RA|SN|SG|PL|IC|GR|GS|UP|BR|FG|FU|VA|DU|SA|HZ|PY|PO|SQ|FC|SS|DS)*"
)
PASSED = (
    rf"NSW|(?=[-+A-Z]){WEATHER}",
    r"(?:FEW|SCT|BKN|OVC)(?:[0-9]{3}|///)(?:CB|TCU)?|VV(?:[0-9]{3}|///)|NSC|SKC|CLR",
    r"T[XN]M?[0-9]{2}/[0-9]{4}Z",
    r"WS[0-9]{3}/[0-9]{5}(?:G[0-9]{2,3})?(?:KT|MPS|KMH)",
    r"QNH[0-9]{4}INS|[56][0-9]{5}",
)
PASS = re.compile("|".join(f"(?:{part})" for part in PASSED))
THUNDER = re.compile(rf"(?:\+|-|VC)?TS(?:{WEATHER})|(?:FEW|SCT|BKN|OVC)(?:[0-9]{{3}}|///)CB")
REST = ("RMK", "AMD", "COR", "NEXT", "LAST", "NXT")


class Group(NamedTuple):
    """One part of a forecast: BASE, FM, BECMG, TEMPO or PROB; what it does not state is None.

    A BECMG starts to hold at `start` and holds from `end` on; an FM at both; a TEMPO or PROB from start to end.
    """

    kind: str
    chance: str
    start: datetime
    end: datetime
    wind: Wind | None
    sight_m: float | None
    thunder: bool


def groups_of(words: Sequence[str], start: datetime, end: datetime) -> list[Group]:
    """Read what follows the validity of a TAF.

    Errors: UnreadableError for a group that is not understood, that lacks its wind, or that lies outside the validity.
    Source: WMO-No. 306, FM 51, code form (read).
    """
    told = list(_until_remark(words))
    heads = [0, *(number for number, word in enumerate(told) if _heads(told, number))]
    if heads[1:2] == [0]:
        raise UnreadableError("has no wind before its first change group")
    cuts = zip(heads, [*heads[1:], len(told)], strict=True)
    groups = [_group(told[first:last], start, end, base=number == 0) for number, (first, last) in enumerate(cuts)]
    lasting = [group.start for group in groups if group.kind in ("BASE", "FM", "BECMG")]
    if lasting != sorted(lasting):
        raise UnreadableError("has change groups out of order")
    return groups


def _until_remark(words: Sequence[str]) -> Iterator[str]:
    for number, word in enumerate(words):
        if word in REST:
            _check_rest(words[number:])
            return
        if re.fullmatch(r"[0-9]/[0-9]{1,2}SM", word) and re.fullmatch(r"[0-9]", words[number - 1]) and number:
            continue
        mixed = re.fullmatch(r"[0-9]", word) and number + 1 < len(words)
        yield f"{word} {words[number + 1]}" if mixed else word


def _check_rest(words: Sequence[str]) -> None:
    for number, word in enumerate(words):
        if looks_like_wind(word) or _heads(words, number):
            raise UnreadableError(f"'{word}' stands after {words[0]}, where it would be passed over")


def _heads(words: Sequence[str], number: int) -> bool:
    word = words[number]
    after_chance = number > 0 and re.fullmatch(r"PROB[34]0", words[number - 1]) is not None
    return re.fullmatch(r"BECMG|PROB[34]0|FM[0-9]{6}", word) is not None or (word == "TEMPO" and not after_chance)


def _group(words: Sequence[str], start: datetime, end: datetime, *, base: bool) -> Group:
    left = list(words)
    if base:
        kind, chance, span = "BASE", "", (start, end)
    elif left[0].startswith("FM"):
        kind, chance, span = "FM", "", (within(left.pop(0)[2:], start, end),) * 2
    else:
        chance = left.pop(0)[4:] if left[0].startswith("PROB") else ""
        kind = left.pop(0) if left[:1] in (["BECMG"], ["TEMPO"]) else "PROB"
        span = _span(left.pop(0) if left else "", start, end)
    wind = _wind(left, needed=kind in ("BASE", "FM"), kind=kind)
    return Group(kind, chance, *span, wind, _sight(left), any(THUNDER.fullmatch(word) for word in left))


def _span(word: str, start: datetime, end: datetime) -> tuple[datetime, datetime]:
    if re.fullmatch(r"[0-9]{4}/[0-9]{4}", word) is None:
        raise UnreadableError(f"'{word}' stands where a change group needs its times, such as 1206/1209")
    span = within(word[:4], start, end), within(word[5:], start, end)
    if not span[1] - span[0] >= timedelta(hours=1):
        raise UnreadableError(f"'{word}' ends before it begins")
    return span


def _wind(left: list[str], *, needed: bool, kind: str) -> Wind | None:
    winds = [word for word in left if looks_like_wind(word) and not word.startswith("WS")]
    if len(winds) > 1 or (needed and (not winds or left[0] != winds[0])):
        raise UnreadableError(f"has {len(winds)} winds in its {kind} group, allowed is one, at its beginning")
    for word in winds:
        left.remove(word)
    return wind_of(winds[0]) if winds else None


def _sight(left: list[str]) -> float | None:
    stated: list[float] = []
    for word in left:
        found = sight_m(word)
        if found is None and (not word or PASS.fullmatch(word) is None):
            raise UnreadableError(f"'{word}' is not understood")
        stated += [] if found is None else [found]
    return float(np.min(stated)) if stated else None
