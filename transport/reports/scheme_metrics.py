"""How wide and high a text is in the font of the papers, in millimetres; and how it is written so that it fits."""

import re
from functools import cache

from markupsafe import Markup, escape

from transport.reports.glyphs import FONT_FOLDER, shown
from transport.reports.notation import one_line

__all__ = ["ASCENT_RATIO", "DESCENT_RATIO", "fitting", "text_width_mm", "written_text"]

FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
ASCENT_RATIO = 0.80  # of the size: highest capital with its accent left out
DESCENT_RATIO = 0.24
LONGEST_RUN_COUNT = 40  # signs of escaped text without a space, see written_text
PIECE_COUNT = 6


def text_width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Sum of the advances of the signs, without kerning: kerning only makes it narrower."""
    advances, default, per_em = _advances(bold)
    return sum(advances.get(ord(sign), default) for sign in text) / per_em * size_mm


def fitting(value: object, room_mm: float, size_mm: float, bold: bool = False) -> str:
    """Text of a user on one line, printable, cut with … where it is wider than the room."""
    text = shown(one_line(value)).replace("\u200b", "")
    if text_width_mm(text, size_mm, bold) <= room_mm:
        return text
    while text and text_width_mm(f"{text}…", size_mm, bold) > room_mm:
        text = text[:-1]
    return f"{text.rstrip()}…"


def written_text(text: str) -> Markup:
    """Escaped text; a long word stands in pieces, because the papers break every longer run of signs."""
    return Markup("").join(  # a space in each tag ends the run
        _pieces(word) if len(escape(word)) > LONGEST_RUN_COUNT else escape(word) for word in re.split(r"( )", text)
    )


def _pieces(word: str) -> Markup:
    parts = (word[start : start + PIECE_COUNT] for start in range(0, len(word), PIECE_COUNT))
    return Markup("").join(Markup("<tspan >{}</tspan >").format(part) for part in parts)


@cache
def _advances(bold: bool) -> tuple[dict[int, int], int, int]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(FONT_FOLDER / FILES[bold]) as font:
        widths, names, per_em = font["hmtx"].metrics, font.getBestCmap(), int(font["head"].unitsPerEm)
        return {code: int(widths[name][0]) for code, name in names.items()}, per_em, per_em
