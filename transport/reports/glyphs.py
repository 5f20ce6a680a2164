"""Which characters the fonts of the papers can show; what they cannot is written as its code point, with a warning."""

import logging
from functools import cache
from pathlib import Path
from typing import Any

from shared.text import clean

__all__ = ["FONT_FOLDER", "printable", "shown"]

FONT_FOLDER = Path(__file__).parent / "fonts"
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
    return "".join(f"{_code(sign)} " if sign in lacking else sign for sign in kept)


def _code(sign: str) -> str:
    return f"U+{ord(sign):04X}"


@cache
def _known() -> frozenset[str]:
    from fontTools.ttLib import TTFont

    maps = [set(TTFont(path, lazy=True).getBestCmap()) for path in sorted(FONT_FOLDER.glob("*.ttf"))]
    return frozenset(map(chr, set.intersection(*maps))) | {"\n", "\t"}
