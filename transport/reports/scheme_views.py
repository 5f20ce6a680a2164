"""The securing scheme to scale: plan, side view and view from behind, with the key; all at one scale on A4."""

from collections.abc import Callable

from shared.assessment import Assessment
from transport.reports.scheme_arrangement import Scheme, scheme, scheme_reason
from transport.reports.scheme_bodies import draw_chains, draw_contacts, draw_masses, draw_outline, label_all
from transport.reports.scheme_frame import bar, head_line, metres, scale_words
from transport.reports.scheme_key import write_key
from transport.reports.scheme_marks import dimension_across, dimension_up
from transport.reports.scheme_paper import SMALL_MM, WIDTH_MM, Paper
from transport.reports.scheme_scale import View, end_view, plan_view, side_view, view_reach
from transport.reports.scheme_trailer import (
    groups_from_above,
    trailer_from_above,
    trailer_from_behind,
    trailer_from_the_side,
)

__all__ = ["WIDTH_MM", "no_scheme_words", "scheme_alt", "scheme_end", "scheme_plan", "scheme_side"]

LABEL_MM, ROW_MM, BESIDE_MM = 6.0, 4.6, 3.6
HEAD_MM = 56.0  # the key stands clear of the title of the view from behind


def no_scheme_words(result: Assessment) -> str:
    """Why the scheme is not drawn; nothing where it is."""
    return scheme_reason(result.move)


def scheme_alt(result: Assessment, view: str) -> str:
    """One sentence for a reader who does not see the plan, the side or the end view."""
    made = scheme(result.move)
    if made is None:
        return no_scheme_words(result)
    names = {"plan": "Plan", "side": "Side view from the right", "end": "View from behind, with the key"}
    stops = sum(contact.stop for contact in made.contacts)
    return (
        f"{names[view]} of the unit on the trailer, {scale_words(made)}: {_count(len(made.chains), 'chain')}, "
        f"{_count(len(made.contacts) - stops, 'pad')}, {_count(stops, 'stop')}, centre of mass "
        f"{metres(made.centre[2])} above the deck."
    )


def scheme_plan(result: Assessment) -> str:
    """Seen from above, forward to the right; SVG of the natural width WIDTH_MM, nothing where it cannot be drawn."""
    return _drawn(result, "plan", _plan)


def scheme_side(result: Assessment) -> str:
    """Seen from the right, under the plan point by point; SVG as the plan."""
    return _drawn(result, "side", _side)


def scheme_end(result: Assessment) -> str:
    """Seen from behind, with the key of all marks beside it; SVG as the plan."""
    return _drawn(result, "end", _end)


def _drawn(result: Assessment, name: str, draw: Callable[[Paper, Scheme], None]) -> str:
    made = scheme(result.move)
    if made is None:
        return ""
    paper = Paper()
    draw(paper, made)
    title = {"plan": "Plan of the securing", "side": "Side view of the securing", "end": "End view of the securing"}
    return paper.svg(f"scheme-{name}", title[name], scheme_alt(result, name))


def _plan(paper: Paper, made: Scheme) -> None:
    view = plan_view(made)
    draw_outline(paper, made, view)
    trailer_from_above(paper, made, view)
    _plan_dimensions(paper, made, view)
    draw_chains(paper, made, view)
    draw_contacts(paper, made, view)
    draw_masses(paper, made, view)
    label_all(paper, made, view)
    groups_from_above(paper, made, view)
    head_line(paper, made, "Plan", "forward", WIDTH_MM)
    bar(paper, view, view_reach(made, 0), "x in m, forward of the neutral point")


def _side(paper: Paper, made: Scheme) -> None:
    view = side_view(made)
    draw_outline(paper, made, view)
    trailer_from_the_side(paper, made, view)
    _heights(paper, made, view)
    draw_chains(paper, made, view)
    draw_contacts(paper, made, view)
    draw_masses(paper, made, view)
    label_all(paper, made, view)
    head_line(paper, made, "Side view from the right", "forward", WIDTH_MM)
    bar(paper, view, view_reach(made, 0), "x in m, forward of the neutral point")


def _end(paper: Paper, made: Scheme) -> None:
    view = end_view(made, BESIDE_MM + 6.0)
    draw_outline(paper, made, view)
    trailer_from_behind(paper, made, view)
    draw_chains(paper, made, view)
    draw_contacts(paper, made, view)
    draw_masses(paper, made, view)
    right = view.at((0.0, view_reach(made, 1).low, 0.0))[0]
    paper.width_mm = right + LABEL_MM
    label_all(paper, made, view)
    paper.width_mm = WIDTH_MM
    top = paper.high_mm - 3.6
    head_line(paper, made, "View from behind", "left", right)
    bar(paper, view, view_reach(made, 1), "y in m, left of the middle line")
    write_key(paper, made, max(right + LABEL_MM + 4.0, HEAD_MM), top)


def _plan_dimensions(paper: Paper, made: Scheme, view: View) -> None:
    half_x, half_y = made.length_m / 2.0, made.width_m / 2.0
    corners = [view.at((x, y, 0.0)) for x, y in ((-half_x, -half_y), (half_x, -half_y), (-half_x, half_y))]
    y = max(paper.low_mm, corners[0][1] + LABEL_MM, view.at((0.0, view_reach(made, 1).low, 0.0))[1]) + ROW_MM
    pads = [contact.position for contact in made.contacts if not contact.stop]
    if pads:
        rear, front = (min(pads, key=lambda pad: (way * pad[0], pad[1])) for way in (1.0, -1.0))
        dimension_across(paper, view.at(rear), view.at(front), y, f"pads {metres(front[0] - rear[0])}")
        low, high = (min(pads, key=lambda pad: (way * pad[1], -pad[0])) for way in (1.0, -1.0))
        x = max(corners[1][0], view.at((view_reach(made, 0).high, 0.0, 0.0))[0]) + BESIDE_MM
        dimension_up(paper, view.at(low), view.at(high), x, f"pads {metres(high[1] - low[1])}")
        y += ROW_MM
    dimension_across(paper, corners[0], corners[1], y, f"deck {metres(made.length_m)}")
    x = min(corners[0][0], view.at((view_reach(made, 0).low, 0.0, 0.0))[0]) - BESIDE_MM
    dimension_up(paper, corners[0], corners[2], x, f"deck {metres(made.width_m)}")


def _heights(paper: Paper, made: Scheme, view: View) -> None:
    rear, front = -made.length_m / 2.0, made.length_m / 2.0
    x = min(view.at((rear, 0.0, 0.0))[0], view.at((view_reach(made, 0).low, 0.0, 0.0))[0]) - BESIDE_MM
    low, high = view.at((rear, 0.0, -made.height_m)), view.at((rear, 0.0, 0.0))
    dimension_up(paper, low, high, x, metres(made.height_m))
    x = max(view.at((front, 0.0, 0.0))[0], view.at((view_reach(made, 0).high, 0.0, 0.0))[0]) + BESIDE_MM
    height = metres(made.centre[2])
    dimension_up(paper, view.at((front, 0.0, 0.0)), view.at(made.centre), x, height)
    level = view.at(made.centre)[1]
    paper.write(f"centre of mass {height} above the deck", (x - 2.0, level - 0.7), SMALL_MM, anchor="end")


def _count(number: int, name: str) -> str:
    return f"{number} {name}" if number == 1 else f"{number} {name}s"
