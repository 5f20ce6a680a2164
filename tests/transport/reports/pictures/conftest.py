"""Reading the drawn pictures back: places in millimetres, and texts as an independent font library measures them."""

import re
from collections.abc import Callable, Iterator
from itertools import combinations
from typing import NamedTuple
from xml.etree.ElementTree import Element

import pytest
import typst
from defusedxml.ElementTree import fromstring
from PIL import ImageFont

from transport.reports.glyphs import FONT_FOLDER, printable

SVG = "{http://www.w3.org/2000/svg}"
PIXELS_PER_MM = 40


class Written(NamedTuple):
    """A text with its ink box in millimetres."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


class Picture:
    """A picture as a reader of SVG sees it."""

    def __init__(self, svg: str) -> None:
        self.svg = svg
        self.root: Element = fromstring(svg)
        self.unit_mm = float(self.root.attrib["width"].removesuffix("mm")) / float(
            self.root.attrib["viewBox"].split()[2]
        )

    def elements(self, tag: str) -> list[Element]:
        return list(self.root.iter(f"{SVG}{tag}"))

    def texts(self) -> list[str]:
        return ["".join(item.itertext()) for item in self.elements("text")]

    def chain_lines(self) -> list[Element]:
        """The lines as thick as a chain, without the sample of the key."""
        return [item for item in self.elements("line") if item.get("stroke-width") == "5.5"]

    def written(self) -> Iterator[Written]:
        for item in self.elements("text"):
            x, y, size = (float(item.attrib[name]) * self.unit_mm for name in ("x", "y", "font-size"))
            bold = "-Bold" if item.get("font-weight") == "bold" else ""
            font = ImageFont.truetype(str(FONT_FOLDER / f"DejaVuSans{bold}.ttf"), round(size * PIXELS_PER_MM))
            text = "".join(item.itertext())
            box = font.getbbox(text, anchor={"middle": "ms", "end": "rs"}.get(item.get("text-anchor", ""), "ls"))
            left, top, right, bottom = (value / PIXELS_PER_MM for value in box)
            if "rotate(-90" in item.get("transform", ""):
                left, top, right, bottom = top, -right, bottom, -left
            yield Written(text, x + left, y + top, x + right, y + bottom)

    def overlapping(self) -> list[tuple[str, str]]:
        """Pairs of texts whose ink meets."""
        return [
            (a.text, b.text)
            for a, b in combinations(self.written(), 2)
            if a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom
        ]

    def outside(self) -> list[str]:
        """Texts that leave the picture."""
        left, top, width, height = (float(value) * self.unit_mm for value in self.root.attrib["viewBox"].split())
        return [
            item.text
            for item in self.written()
            if item.left < left or item.right > left + width or item.top < top or item.bottom > top + height
        ]

    def longest_run(self) -> int:
        """Signs without a space: the papers break runs of 65 and more, which would break an element in two."""
        return max(map(len, re.findall(r"\S+", self.svg)))

    def set_size_mm(self) -> tuple[float, float]:
        """Width and height of a page that the typesetter makes around the picture."""
        place = "#set page(width: auto, height: auto, margin: 0mm)\n"
        source = place + '#image(bytes(sys.inputs.picture), format: "svg", width: 176mm)'
        fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(FONT_FOLDER)])
        inputs = {"picture": printable(self.svg)}
        page = typst.compile(source.encode(), font_paths=fonts, format="svg", sys_inputs=inputs)
        width_pt, height_pt = (float(value) for value in fromstring(page.decode()).attrib["viewBox"].split()[2:])
        return width_pt / 72.0 * 25.4, height_pt / 72.0 * 25.4


@pytest.fixture(scope="session")
def read() -> Callable[[str], Picture]:
    """Read a picture back."""
    return Picture
