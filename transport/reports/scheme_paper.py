"""Drawing paper in millimetres: lines, marks and writing as SVG; it remembers what is taken, for the labels."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from markupsafe import Markup

from transport.reports.drawing import element
from transport.reports.scheme_metrics import ASCENT_RATIO, DESCENT_RATIO, text_width_mm, written_text

__all__ = ["GREY", "INK", "PALE", "SIZE_MM", "SMALL_MM", "WHITE", "WIDTH_MM", "Box", "Paper", "Spot", "Stroke"]

WIDTH_MM = 176.0  # natural width of every scheme, inside the margins of A4
SIZE_MM, SMALL_MM = 2.3, 2.0  # 6.5 pt and 5.7 pt
INK, GREY, PALE, WHITE = "#16191d", "#5a6470", "#eceef0", "#ffffff"
EDGE_MM = 1.0

Spot = tuple[float, float]


class Box(NamedTuple):
    """A rectangle on the paper, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box", gap_mm: float = 0.0) -> bool:
        """Whether the two come nearer than the gap."""
        across = self.left < other.right + gap_mm and other.left < self.right + gap_mm
        return across and self.top < other.bottom + gap_mm and other.top < self.bottom + gap_mm

    @classmethod
    def around(cls, spot: Spot, half_width_mm: float, half_height_mm: float) -> "Box":
        """The rectangle with this middle."""
        x, y = spot
        return cls(x - half_width_mm, y - half_height_mm, x + half_width_mm, y + half_height_mm)


class Stroke(NamedTuple):
    """A line that a label had better not cover; the weight says how much it matters."""

    begin: Spot
    end: Spot
    weight: float


@dataclass
class Paper:
    """One picture; places in millimetres, y downwards from wherever the drawing begins."""

    width_mm: float = WIDTH_MM
    parts: list[Markup] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    low_mm: float = 0.0
    high_mm: float = 0.0

    def line(self, begin: Spot, end: Spot, width: float = 0.2, weight: float = 0.0, **style: Any) -> None:
        """A straight line; with a weight, labels keep off it."""
        place = {"x1": _unit(begin[0]), "y1": _unit(begin[1]), "x2": _unit(end[0]), "y2": _unit(end[1])}
        self._add(element("line", **place, **_style(width, stroke=style.pop("stroke", INK), **style)), begin, end)
        if weight:
            self.strokes.append(Stroke(begin, end, weight))

    def circle(self, middle: Spot, radius: float, width: float = 0.2, **style: Any) -> None:
        """A circle, not filled unless said."""
        place = {"cx": _unit(middle[0]), "cy": _unit(middle[1]), "r": _unit(radius)}
        ends = (middle[0], middle[1] - radius), (middle[0], middle[1] + radius)
        self._add(element("circle", **place, **_outlined(width, style)), *ends)

    def rectangle(self, box: Box, width: float = 0.2, round_mm: float = 0.0, **style: Any) -> None:
        """A rectangle, not filled unless said."""
        place = {"x": _unit(box.left), "y": _unit(box.top), "rx": _unit(round_mm) if round_mm else None}
        size = {"width": _unit(box.right - box.left), "height": _unit(box.bottom - box.top)}
        self._add(element("rect", **place, **size, **_outlined(width, style)), box[:2], box[2:])

    def polygon(self, spots: Sequence[Spot], width: float = 0.2, closed: bool = True, **style: Any) -> None:
        """A polygon or an open line of pieces."""
        points = " ".join(f"{_unit(x)},{_unit(y)}" for x, y in spots)
        tag = "polygon" if closed else "polyline"
        self._add(element(tag, points=points, **_outlined(width, style)), *spots)

    def path(self, words: str, spot: Spot, width: float = 0.2, **style: Any) -> None:
        """A path written in tenths of a millimetre, near the spot."""
        self._add(element("path", d=words, **_outlined(width, style)), spot)

    def write(
        self, text: str, spot: Spot, size: float = SIZE_MM, *, anchor: str = "start", bold: bool = False, **style: Any
    ) -> Box:
        """Text with its baseline at the spot; `upright` turns it to read from the right; the room is then taken."""
        upright = style.pop("upright", False)
        x, y = spot
        turned = f"rotate(-90 {_unit(x)} {_unit(y)})" if upright else None
        face = {"font_family": "DejaVu Sans, sans-serif", "font_weight": "bold" if bold else None, "transform": turned}
        face |= {"text_anchor": None if anchor == "start" else anchor, "fill": style.pop("fill", INK)}
        made = element("text", written_text(text), x=_unit(x), y=_unit(y), **face, **style, font_size=_unit(size))
        box = _text_box(spot, text_width_mm(text, size, bold), size, anchor, upright)
        self._add(made, box[:2], box[2:])
        self.taken.append(box)
        return box

    def keep(self, box: Box) -> None:
        """Leave this room free of labels."""
        self.taken.append(box)

    def svg(self, name: str, title: str, description: str) -> str:
        """The picture with its natural size in millimetres, a title and a description for readers that do not see."""
        high, low = self.high_mm - EDGE_MM, self.low_mm + EDGE_MM
        head = (element("title", title, id=f"{name}-title"), element("desc", description, id=f"{name}-desc"))
        size = {"width": f"{self.width_mm:g}mm", "height": f"{low - high:.2f}mm"}
        box = f"0 {_unit(high)} {_unit(self.width_mm)} {_unit(low - high)}"
        labels = {"role": "img", "aria_labelledby": f"{name}-title {name}-desc"}
        body = Markup("\n").join((*head, *self.parts))
        return str(element("svg", body, xmlns="http://www.w3.org/2000/svg", id=name, viewBox=box, **size, **labels))

    def _add(self, made: Markup, *spots: Sequence[float]) -> None:
        self.parts.append(made)
        self.high_mm = min(self.high_mm, *(spot[1] for spot in spots), self.high_mm)
        self.low_mm = max(self.low_mm, *(spot[1] for spot in spots), self.low_mm)


def _text_box(spot: Spot, long_mm: float, size: float, anchor: str, upright: bool) -> Box:
    x, y = spot
    before = {"start": 0.0, "middle": long_mm / 2.0, "end": long_mm}[anchor]
    up, down = ASCENT_RATIO * size, DESCENT_RATIO * size
    if upright:
        return Box(x - up, y + before - long_mm, x + down, y + before)
    return Box(x - before, y - up, x - before + long_mm, y + down)


def _unit(value_mm: float) -> str:
    """Tenths of a millimetre, the unit of the drawing, to a hundredth of a millimetre."""
    return f"{10.0 * value_mm + 0.0:.1f}".removesuffix(".0")


def _outlined(width: float, style: dict[str, Any]) -> dict[str, Any]:
    return _style(width, **({"stroke": INK, "fill": "none"} | style))


def _style(width: float, dash: Sequence[float] | None = None, **style: Any) -> dict[str, Any]:
    dashes = " ".join(map(_unit, dash)) if dash else None
    return {"stroke_width": _unit(width), "stroke_dasharray": dashes} | style
