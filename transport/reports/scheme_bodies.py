"""Unit and chains of the scheme, in any view: contacts, centre of mass, chains, their labels."""

import math
from collections.abc import Iterable
from typing import NamedTuple

from shapely import MultiPoint, Polygon

from transport.reports.scheme_arrangement import Chain, Contact, Point, Scheme
from transport.reports.scheme_marks import (
    BLUE,
    label_half,
    mark_anchor,
    mark_centre,
    mark_load_end,
    mark_pad,
    mark_stop,
    mark_wind,
    rows_of,
    write_label,
)
from transport.reports.scheme_metrics import text_width_mm
from transport.reports.scheme_paper import GREY, INK, PALE, SIZE_MM, WHITE, Box, Paper, Spot
from transport.reports.scheme_placing import place_label
from transport.reports.scheme_scale import View

__all__ = [
    "TOP_OVER_DASH",
    "draw_chains",
    "draw_contacts",
    "draw_masses",
    "draw_outline",
    "label_all",
    "top_over_pairs",
]

TOGETHER_MM = 0.3
TOP_OVER_DASH = (2.2, 0.7, 0.5, 0.7)
STRAP_DASH = (0.8, 0.6)
LEADER_MM = 1.0
SHARED_MM, SHARED_PART = 1.2, 0.55


class Bundle(NamedTuple):
    """Chains that are seen as one line, with their labels."""

    load: Spot
    deck: Spot
    top_over: bool
    labels: list[str]


def draw_outline(paper: Paper, made: Scheme, view: View) -> None:
    """A pale field around the points of the unit that the move gives: not its shape, which nobody has given."""
    hull = MultiPoint([view.at(point) for point in made.given]).convex_hull
    if isinstance(hull, Polygon):
        corners = [(float(x), float(y)) for x, y in list(hull.exterior.coords)[:-1]]
        paper.polygon(corners, 0.15, stroke=GREY, fill=PALE, dash=(0.3, 0.7))


def draw_chains(paper: Paper, made: Scheme, view: View) -> None:
    """Chains from load to anchor, the straps of top-over pairs over the load, the anchors that no chain uses."""
    for first, second in top_over_pairs(made.chains):
        paper.line(view.at(first.on_load), view.at(second.on_load), 0.3, stroke=BLUE, dash=STRAP_DASH, weight=0.7)
    for bundle in _bundles(made.chains, view):
        dash = TOP_OVER_DASH if bundle.top_over else None
        paper.line(bundle.load, bundle.deck, 0.55, weight=1.0, stroke=BLUE, dash=dash)
    for chain in made.chains:
        mark_load_end(paper, view.at(chain.on_load))
    for place in made.free_anchors:
        mark_anchor(paper, view.at(place), free=True)
    for chain in made.chains:
        mark_anchor(paper, view.at(chain.on_deck))


def draw_contacts(paper: Paper, made: Scheme, view: View) -> None:
    """Pads, then stops with their normals."""
    for contact in made.contacts:
        if not contact.stop:
            mark_pad(paper, view.at(contact.position))
    for contact in made.contacts:
        if contact.stop:
            mark_stop(paper, view.at(contact.position), _way(contact, view))


def draw_masses(paper: Paper, made: Scheme, view: View) -> None:
    """Centre of mass with its tolerance, centre of the wind; in plan the mirror, set around the centre of mass."""
    if made.mirror_m and view.name == "plan":
        radius = made.mirror_m / 2.0 * view.mm_per_m
        paper.circle(view.at(made.centre), radius, 0.3, stroke=GREY, dash=(2.4, 1.2))
    if made.wind_centre:
        mark_wind(paper, view.at(made.wind_centre))
    mark_centre(paper, view.at(made.centre), (made.tolerance_m or 0.0) * view.mm_per_m)


def label_all(paper: Paper, made: Scheme, view: View) -> None:
    """Rings with the tags of the chains, then the letters of pads and stops."""
    placed, bundles = [], _bundles(made.chains, view)
    for bundle in bundles:
        rows = rows_of(bundle.labels)
        half = label_half(rows)
        start, outward_rad = _leader(bundle, bundles)
        spot = place_label(paper, start, outward_rad, half)
        paper.line(start, spot, 0.2, stroke=BLUE)
        paper.circle(start, 0.35, stroke="none", fill=BLUE)
        placed.append((spot, rows, half))
    for spot, rows, half in placed:
        write_label(paper, spot, rows, half)
    middle = view.at(made.centre)
    for spot, letters in _together([(view.at(contact.position), contact.letter) for contact in made.contacts]):
        _write_letters(paper, spot, ", ".join(letters), math.atan2(spot[1] - middle[1], spot[0] - middle[0]))


def _write_letters(paper: Paper, start: Spot, text: str, outward_rad: float) -> None:
    half = (text_width_mm(text, SIZE_MM, bold=True) / 2.0 + 0.3, 1.15)
    spot = place_label(paper, start, outward_rad, half, 1.2)
    if math.dist(spot, start) > 1.2 + math.hypot(*half) + LEADER_MM:
        paper.line(start, spot, 0.15)
    paper.rectangle(Box.around(spot, *half), stroke="none", fill=WHITE, fill_opacity="0.8")
    paper.write(text, (spot[0], spot[1] + 0.85), SIZE_MM, anchor="middle", bold=True, fill=INK)


def _bundles(chains: Iterable[Chain], view: View) -> list[Bundle]:
    """Chains behind each other are one line with several labels."""
    found: list[Bundle] = []
    for chain in chains:
        load, deck = view.at(chain.on_load), view.at(chain.on_deck)
        for bundle in found:
            near = math.dist(bundle.load, load) <= TOGETHER_MM and math.dist(bundle.deck, deck) <= TOGETHER_MM
            if near and bundle.top_over == chain.top_over:
                bundle.labels.append(chain.label)
                break
        else:
            found.append(Bundle(load, deck, chain.top_over, [chain.label]))
    return found


def _together(marks: Iterable[tuple[Spot, str]]) -> list[tuple[Spot, list[str]]]:
    found: list[tuple[Spot, list[str]]] = []
    for spot, text in marks:
        for other, texts in found:
            if math.dist(spot, other) <= TOGETHER_MM:
                texts.append(text)
                break
        else:
            found.append((spot, [text]))
    return found


def top_over_pairs(chains: Iterable[Chain]) -> list[tuple[Chain, Chain]]:
    """The two legs of each top-over lashing."""
    first: dict[str, Chain] = {}
    found = []
    for chain in chains:
        if chain.top_over and chain.pair:
            other = first.setdefault(chain.pair, chain)
            if other is not chain:
                found.append((other, chain))
    return found


def _leader(bundle: Bundle, bundles: list[Bundle]) -> tuple[Spot, float]:
    """Where a label points and which way it lies: beyond the anchor; from the chain itself where anchors are shared."""
    (x, y), (x_deck, y_deck) = bundle.load, bundle.deck
    if math.dist(bundle.load, bundle.deck) < TOGETHER_MM:
        return bundle.deck, math.pi / 2.0
    along_rad = math.atan2(y_deck - y, x_deck - x)
    if not any(other is not bundle and math.dist(other.deck, bundle.deck) <= SHARED_MM for other in bundles):
        return bundle.deck, along_rad
    start = (x_deck + (x - x_deck) * SHARED_PART, y_deck + (y - y_deck) * SHARED_PART)
    return start, along_rad + math.copysign(math.pi / 4.0, y_deck - y) * math.copysign(1.0, x - x_deck)


def _way(contact: Contact, view: View) -> Spot:
    """The normal as seen on the paper."""
    begin, end = view.at((0.0, 0.0, 0.0)), view.at(_unit_point(contact.normal))
    return ((end[0] - begin[0]) / view.mm_per_m, (end[1] - begin[1]) / view.mm_per_m)


def _unit_point(normal: Point) -> Point:
    long = math.hypot(*normal) or 1.0
    return (normal[0] / long, normal[1] / long, normal[2] / long)
