"""Words for the narrow boxes of the strip map: shorter, then smaller, then upright, then a reference; never nothing."""

import re
from collections.abc import Iterator
from typing import NamedTuple

__all__ = ["Words", "fitted"]

ROW_PT = 17.0
SMALLER_PT = (8.0, 7.0, 6.0, 5.0)
EM_RATIOS = {"normal": 0.64, "bold": 0.70}  # width of a figure in the font used, common signs are narrower


class Words(NamedTuple):
    """What a box says, how large, and whether it stands upright."""

    text: str
    size_pt: float
    weight: str
    upright: bool = False


def fitted(text: str, reference: str, room_pt: float, strong: bool) -> Words:
    """The largest and fullest words that fit into a box of this width; else the reference, as small as may be."""
    found = (words for words in _choices(text, reference, strong) if _fits(words, room_pt))
    return next(found, Words(reference, SMALLER_PT[-1], "normal", upright=True))


def _choices(text: str, reference: str, strong: bool) -> Iterator[Words]:
    size_pt, weight = (9.5, "bold") if strong else (8.0, "normal")
    full = text.replace("up ", "↑ ").replace("down ", "↓ ").replace("level ", "")
    short = re.sub(r" (m/s|km/h)$", "", full).replace("straight", "–").replace(" ", "")
    bare = re.sub(r"(?<=\d)(%|m)$", "", short)
    yield from (Words(words, size_pt, weight) for words in (full, short, bare))
    for size in SMALLER_PT:
        yield from (Words(bare, size, "normal", upright) for upright in (False, True))
    yield from (Words(reference, size, "normal", upright) for upright in (False, True) for size in SMALLER_PT)


def _fits(words: Words, room_pt: float) -> bool:
    long_pt = len(words.text) * EM_RATIOS[words.weight] * words.size_pt
    across_pt, along_pt = (0.8 * words.size_pt, long_pt) if words.upright else (long_pt, 0.8 * words.size_pt)
    return across_pt <= room_pt and along_pt <= ROW_PT
