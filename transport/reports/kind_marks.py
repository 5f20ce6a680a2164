"""The signs of the kinds of forecast in charts: told apart by shape and dash, not by colour alone."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from transport.reports.drawing import element
from transport.reports.frame import RIGHT_PX, words

__all__ = ["legend", "mark"]

SIGN_PX, KEY_PX, GAP_PX = 7.0, 22.0, 22.0


def mark(kind: str, x_px: float, y_px: float, size_px: float, told: str = "") -> Markup:
    """A filled disc for the forecast as issued, an open square for any other."""
    title = (element("title", told),) if told else ()
    if kind == "raw":
        return element("circle", *title, cx=x_px, cy=y_px, r=size_px, class_="point raw")
    box = {"x": x_px - size_px, "y": y_px - size_px, "width": 2 * size_px, "height": 2 * size_px}
    return element("rect", *title, **box, class_="point calibrated")


def legend(kinds: Sequence[str], promised: str = "", meaning: str = "") -> Iterator[Markup]:
    """Keys in a row that ends at the right edge: the kinds, and a short line for what was promised."""
    texts = [(kind, ", ".join(filter(None, (kind, meaning)))) for kind in kinds]
    texts += [("promised", promised)] if promised else []
    x_px = RIGHT_PX - sum(KEY_PX + SIGN_PX * len(text) + GAP_PX for _, text in texts) + GAP_PX
    for kind, text in texts:
        if kind == "promised":
            yield element("line", x1=x_px - 4.0, x2=x_px + 14.0, y1=16.0, y2=16.0, class_="promised")
        else:
            yield mark(kind, x_px + 5.0, 16.0, 5.0)
        yield words(text, x_px + KEY_PX, 20.0, class_="tick")
        x_px += KEY_PX + SIGN_PX * len(text) + GAP_PX
