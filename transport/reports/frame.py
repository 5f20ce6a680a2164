"""Frames of the charts: axes with ticks and words, for numbers and for the time of the site."""

from collections.abc import Iterable, Iterator
from datetime import datetime, tzinfo

from markupsafe import Markup

from transport.reports.drawing import Scale, element, ticks

__all__ = ["LEFT_PX", "RIGHT_PX", "bottom_axis", "left_axis", "seconds", "time_axis", "words"]

LEFT_PX = 76.0
RIGHT_PX = 944.0


def words(text: object, x_px: float, y_px: float, **attributes: object) -> Markup:
    """Text at a place; anchor start unless said otherwise."""
    return element("text", text, x=x_px, y=y_px, **attributes)


def left_axis(scale: Scale, title: str, most: int = 5, values: Iterable[float] | None = None) -> Iterator[Markup]:
    """Ticks with faint lines across, and the title above the axis."""
    yield words(title, LEFT_PX + 4.0, min(scale.first_px, scale.last_px) - 8.0, class_="axis-title")
    for value in ticks(scale.low, scale.high, most) if values is None else values:
        y_px = scale(value)
        yield element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=y_px, y2=y_px, class_="grid")
        yield words(f"{value:g}", LEFT_PX - 8.0, y_px + 4.0, text_anchor="end", class_="tick")


def bottom_axis(scale: Scale, y_px: float, title: str, most: int = 10) -> Iterator[Markup]:
    """Ticks along the bottom, and the title below at the right."""
    yield element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=y_px, y2=y_px, class_="axis")
    for value in ticks(scale.low, scale.high, most):
        x_px = scale(value)
        yield element("line", x1=x_px, x2=x_px, y1=y_px, y2=y_px + 5.0, class_="axis")
        yield words(f"{value:g}", x_px, y_px + 18.0, text_anchor="middle", class_="tick")
    yield words(title, RIGHT_PX, y_px + 36.0, text_anchor="end", class_="axis-title")


def time_axis(scale: Scale, y_px: float, zone: tzinfo, title: str) -> Iterator[Markup]:
    """Hours of the site with the date at each midnight and at the left end."""
    yield element("line", x1=LEFT_PX, x2=RIGHT_PX, y1=y_px, y2=y_px, class_="axis")
    last_px = LEFT_PX - 200.0
    for moment in _hours(scale, zone):
        x_px, midnight = scale(moment.timestamp()), moment.hour == 0
        yield element("line", x1=x_px, x2=x_px, y1=y_px, y2=y_px + (9.0 if midnight else 5.0), class_="axis")
        yield words(moment.strftime("%H:%M"), x_px, y_px + 20.0, text_anchor="middle", class_="tick")
        if midnight or last_px < LEFT_PX:
            yield words(moment.strftime("%a %d %b"), x_px, y_px + 36.0, text_anchor="middle", class_="tick")
        last_px = x_px
    yield words(title, RIGHT_PX, y_px + 54.0, text_anchor="end", class_="axis-title")


def seconds(moment: datetime) -> float:
    """A time as seconds since the epoch, for scales."""
    return moment.timestamp()


def _hours(scale: Scale, zone: tzinfo) -> Iterator[datetime]:
    span_h = (scale.high - scale.low) / 3600.0
    step_h = next((step for step in (1, 2, 3, 6, 12) if span_h / step <= 14), 24)
    moment = datetime.fromtimestamp(scale.low, tz=zone).replace(minute=0, second=0, microsecond=0)
    while moment.timestamp() <= scale.high:
        if moment.timestamp() >= scale.low and moment.hour % step_h == 0:
            yield moment
        moment = datetime.fromtimestamp(moment.timestamp() + 3600.0, tz=zone)
