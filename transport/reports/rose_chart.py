"""Chart 3: the limit rose along the road: for each place and wind direction the least limit and the check behind it."""

from collections.abc import Iterator
from itertools import pairwise

from markupsafe import Markup

from shared.assessment import Assessment
from transport.reports.drawing import Scale, chart, element, group
from transport.reports.frame import LEFT_PX, RIGHT_PX, bottom_axis, words
from transport.reports.notation import compass, down, gust, place
from transport.reports.profile_chart import station_scale
from transport.reports.rose_cells import Cells, cells, levels_mps, runs, shade
from transport.reports.states import states

__all__ = ["draw"]

ROW_PX, TOP_PX = 15.0, 46.0


def draw(result: Assessment) -> Markup:
    """The chart: darker is lower, the letter names the check, words say closed and unknown."""
    across, made = station_scale(result), cells(result)
    bottom = TOP_PX + ROW_PX * made.wind_from_deg.size
    body = (
        group(_legend(made)),
        group(_rows(made)),
        group(_fields(made, across), class_="rose"),
        group(bottom_axis(across, bottom, "station, m")),
        element("line", x1=-9.0, x2=-9.0, y1=TOP_PX, y2=bottom, id="rose-marker", class_="marker rose-marker"),
    )
    return chart("rose-chart", "Gust limit by place and wind direction", _description(result), bottom + 44.0, *body)


def _fields(made: Cells, across: Scale) -> Iterator[Markup]:
    edges = [across(float(edge)) for edge in made.edges_m]
    for run in runs(made):
        x_px, y_px, width = edges[run.begin], TOP_PX + ROW_PX * run.wind, edges[run.end] - edges[run.begin]
        span = f"{place(made.edges_m[run.begin])} to {place(made.edges_m[run.end])}"
        wind = compass(made.wind_from_deg[run.wind])
        title = element("title", f"{span}, wind from {wind}: {gust(run.limit_mps)}, {run.letter}")
        yield element("rect", title, x=x_px, y=y_px, width=width, height=ROW_PX, class_=run.shade)
        mark = f"mark on-{run.shade}"
        yield words(run.letter, x_px + width / 2, y_px + 11.5, text_anchor="middle", class_=mark)


def _rows(made: Cells) -> Iterator[Markup]:
    yield words("wind from", 8.0, TOP_PX - 8.0, class_="axis-title")
    for wind, direction in enumerate(made.wind_from_deg):
        if direction % 45 == 0:
            y_px = TOP_PX + ROW_PX * wind + 11.5
            yield words(compass(direction), LEFT_PX - 8.0, y_px, text_anchor="end", class_="tick")


def _legend(made: Cells) -> Iterator[Markup]:
    levels = levels_mps(made)
    pairs = [(f"c{order}", f"{down(a)} to {down(b)} m/s") for order, (a, b) in enumerate(pairwise(levels))]
    kinds = {shade(value, levels) for value in made.limit_mps.ravel()}
    texts = {"free": "no wind limit", "closed": "closed", "unknown": "unknown"}
    pairs += [(kind, text) for kind, text in texts.items() if kind in kinds]
    for order, (kind, text) in enumerate(pairs):
        x_px = LEFT_PX + 60.0 + order * (RIGHT_PX - LEFT_PX - 60.0) / max(len(pairs), 6)
        yield element("rect", x=x_px, y=8.0, width=22.0, height=14.0, class_=kind)
        yield words(text, x_px + 28.0, 20.0, class_="tick")


def _description(result: Assessment) -> str:
    names = ", ".join(f"{state.letter} {state.name}" for state in states(result))
    return f"Darker is lower. Letters name the check that governs: {names}."
