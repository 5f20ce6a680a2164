"""Which characters the fonts of the papers can show; what they cannot is written as its code point, with a warning."""

import logging
import re
from functools import cache
from pathlib import Path
from typing import Any

from shared.text import clean

__all__ = ["FONT_FOLDER", "printable", "shown"]

FONT_FOLDER = Path(__file__).parent / "fonts"
LONGEST_COUNT = 65  # one more than the digits of a SHA-256
BREAK = "\u200b"
LOG = logging.getLogger(__name__)


def printable(data: Any) -> Any:
    """The same data with every text in it made printable."""
    if isinstance(data, dict):
        return {key: printable(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [printable(value) for value in data]
    return shown(data) if isinstance(data, str) else data


def shown(text: str) -> str:
    """Text without control signs, each character that the fonts lack as U+XXXX."""
    kept = clean(text)
    lacking = sorted(set(kept) - _known())
    if lacking:
        LOG.warning("not in the fonts of the papers, written as code points: %s", ", ".join(map(_code, lacking)))
    written = "".join(f"{_code(sign)} " if sign in lacking else sign for sign in kept)
    return re.sub(rf"\S{{{LONGEST_COUNT},}}", _broken, written)


def _broken(word: re.Match[str]) -> str:
    """A word longer than any line, with places where it may be broken."""
    return BREAK.join(word[0][start : start + 30] for start in range(0, len(word[0]), 30))


def _code(sign: str) -> str:
    return f"U+{ord(sign):04X}"


@cache
def _known() -> frozenset[str]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    maps = []
    for path in sorted(FONT_FOLDER.glob("*.ttf")):
        with TTFont(path) as font:
            maps.append(set(font.getBestCmap()))
    return frozenset(map(chr, set.intersection(*maps))) | {"\n", "\t"}
