"""Plan, side view and end view: to scale, numbered, readable, harmless."""

import copy
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st

from shared.assessment import Assessment
from transport.reports import scheme_views
from transport.reports.scheme_arrangement import scheme
from transport.reports.scheme_metrics import written_text
from transport.reports.scheme_paper import Box, Paper
from transport.reports.scheme_placing import covered_mm, place_label
from transport.reports.scheme_scale import scale_number

VIEWS = (scheme_views.scheme_plan, scheme_views.scheme_side, scheme_views.scheme_end)
View = Callable[[Assessment], str]
Read = Callable[[str], Any]
HOSTILE_TAGS = [
    "</text><script>",
    '"' * 40,
    "W" * 40,
    "\u05d0\u05d1\u05d2" * 10,
    "&amp;" * 8,
    "a\u202eb",
    "x" * 38,
    "漢字",
]
HOSTILE_NAMES = ["<b>" * 20, "'" * 60, "W" * 60, "\u05e9\u05dc\u05d5\u05dd", "#let x = 1", "$a$"]


def crowded(move: dict[str, Any], count: int = 16) -> dict[str, Any]:
    """Chains along both edges, two top-over pairs, a unit off the middle, two anchors without a chain."""
    first = move["chain"][0]
    rows = (count - 4) // 2
    chains = []
    for order in range(count - 4):
        row, side = order // 2, 1.0 if order % 2 == 0 else -1.0
        x = -4.6 + 9.2 * row / (rows - 1)
        chains.append(
            first | {"tag": f"C{order + 1}", "on_load_m": [0.5 * x, 0.9 * side, 0.8], "on_deck_m": [x, 1.4 * side, 0.0]}
        )
    for x, pair in ((-1.6, "rear"), (1.6, "front")):
        for side in (1.0, -1.0):
            ends = {"on_load_m": [x, 0.8 * side, 1.9], "on_deck_m": [x, 1.4 * side, 0.0]}
            chains.append(first | ends | {"tag": f"T{len(chains)}", "method": "frictional", "pair": pair})
    anchors = [{"name": "D9", "position_m": [5.5, 1.4, 0.0]}, {"name": "D10", "position_m": [5.5, -1.4, 0.0]}]
    unit = move["unit"] | {"centre_of_mass_m": [0.35, -0.12, 1.25], "wind_centre_m": [0.2, 0.0, 1.9]}
    return move | {"chain": chains, "unit": unit, "anchor": anchors}


def hostile(move: dict[str, Any]) -> dict[str, Any]:
    made = copy.deepcopy(move)
    for chain, tag in zip(made["chain"], HOSTILE_TAGS, strict=True):
        chain["tag"] = tag
    for contact, name in zip(made["contact"], HOSTILE_NAMES, strict=True):
        contact["name"] = name
    return made


def far(move: dict[str, Any]) -> dict[str, Any]:
    """Everything at the edge of what an input may be: 60 m."""
    made = copy.deepcopy(move)
    made["unit"]["centre_of_mass_m"] = [-60.0, 60.0, 60.0]
    made["chain"][0]["on_deck_m"] = [60.0, -60.0, 0.0]
    return made


def long(move: dict[str, Any]) -> dict[str, Any]:
    """A small scale: 1:200, stops across, dimensions shorter than their texts."""
    made = copy.deepcopy(move)
    made["trailer"] |= {"deck_length_m": 30.0, "axle_line_x_m": [-12.0 + 1.5 * order for order in range(17)]}
    for contact, side in zip(made["contact"][4:], (1.0, -1.0), strict=True):
        contact |= {"position_m": [0.5 * side, 1.2 * side, 0.3], "normal": [0.0, -side, 0.0]}
    return made


KINDS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "sample": dict,
    "crowded": crowded,
    "forty chains": lambda move: crowded(move, 40),
    "hostile": hostile,
    "one chain": lambda move: move | {"chain": move["chain"][:1]},
    "no chain": lambda move: move | {"chain": []},
    "far": far,
    "long": long,
}


@pytest.fixture(params=KINDS)
def drawn(request: pytest.FixtureRequest, result: Assessment) -> Assessment:
    return replace(result, move=KINDS[request.param](copy.deepcopy(dict(result.move))))


@pytest.mark.parametrize("view", VIEWS)
def test_every_text_can_be_read(view: View, drawn: Assessment, read: Read) -> None:
    """Measured with Pillow (FreeType), another reader of the font than the one that placed the labels."""
    picture = read(view(drawn))
    assert not picture.overlapping()
    assert not picture.outside()
    assert picture.longest_run() < 65
    assert "nan" not in picture.svg


@pytest.mark.parametrize("view", VIEWS)
def test_every_chain_is_labelled(view: View, drawn: Assessment, read: Read) -> None:
    said = ", ".join(read(view(drawn)).texts()).replace(" ", "").split(",")
    made = scheme(drawn.move)
    assert made is not None
    assert {chain.label for chain in made.chains} <= set(said)


@pytest.mark.parametrize("view", VIEWS)
def test_same_text_twice(view: View, drawn: Assessment) -> None:
    assert view(drawn) == view(replace(drawn, move=copy.deepcopy(dict(drawn.move))))


@pytest.mark.parametrize("view", VIEWS)
def test_the_papers_set_it_at_its_natural_size(view: View, drawn: Assessment, read: Read) -> None:
    picture = read(view(drawn))
    natural_mm = tuple(float(picture.root.attrib[name].removesuffix("mm")) for name in ("width", "height"))
    assert natural_mm[0] == scheme_views.WIDTH_MM == 176.0
    assert picture.set_size_mm() == pytest.approx(natural_mm, abs=0.05)


def test_a_length_on_paper_is_the_length_over_the_scale(result: Assessment, read: Read) -> None:
    """1:75, by what a scale is: a deck of 12 m measures 160 mm, a chain of 2.04 m in plan 27.2 mm."""
    picture = read(scheme_views.scheme_plan(result))
    assert "scale 1:75 on A4, 1 m is 13.33 mm" in picture.texts()
    deck = next(item for item in picture.elements("rect") if item.get("stroke-width") == "5")
    sides_mm = [float(deck.attrib[name]) * picture.unit_mm for name in ("width", "height")]
    assert sides_mm == pytest.approx([12000.0 / 75.0, 3000.0 / 75.0], abs=0.02)
    x1, y1, x2, y2 = (float(picture.chain_lines()[0].attrib[name]) for name in ("x1", "y1", "x2", "y2"))
    long_mm = math.hypot(x2 - x1, y2 - y1) * picture.unit_mm
    assert long_mm == pytest.approx(1000.0 * math.hypot(2.0, 0.4) / 75.0, abs=0.02)


def test_forward_is_right_and_left_is_up(result: Assessment, read: Read) -> None:
    """C1 stands ahead and left: ISO 8855, x forward, y left."""
    chain = read(scheme_views.scheme_plan(result)).chain_lines()[0].attrib
    assert float(chain["x2"]) > float(chain["x1"])
    assert float(chain["y2"]) < float(chain["y1"])


def test_side_view_lies_under_the_plan_point_by_point(result: Assessment, read: Read) -> None:
    made = replace(result, move=crowded(copy.deepcopy(dict(result.move))))
    plan, side = (
        {item.attrib["x2"] for item in read(view(made)).chain_lines()}
        for view in (scheme_views.scheme_plan, scheme_views.scheme_side)
    )
    assert plan == side


def test_chains_behind_each_other_are_one_line_with_both_tags(result: Assessment, read: Read) -> None:
    picture = read(scheme_views.scheme_side(result))
    assert "C1, C2" in picture.texts()
    assert len(picture.chain_lines()) == 4


def test_tolerance_of_the_centre_of_mass_is_to_scale(result: Assessment, read: Read) -> None:
    picture = read(scheme_views.scheme_plan(result))
    boxes = [item for item in picture.elements("rect") if item.get("stroke-width") == "2.5"]
    sizes_mm = {round(0.1 * float(item.attrib["width"]), 2) for item in boxes}
    assert round(100.0 / 75.0, 2) in sizes_mm  # 2 x 0.05 m


def test_top_over_pairs_are_marked(result: Assessment, read: Read) -> None:
    picture = read(scheme_views.scheme_end(replace(result, move=crowded(copy.deepcopy(dict(result.move))))))
    assert {"T12, T13", "top-over pair rear", "anchor without a chain"} <= set(picture.texts())


def test_long_tags_become_numbers_that_the_key_explains(result: Assessment, read: Read) -> None:
    picture = read(scheme_views.scheme_end(replace(result, move=hostile(copy.deepcopy(dict(result.move))))))
    assert "chain </text><script>" in picture.texts()
    assert "number of a chain" in picture.texts()
    assert not picture.elements("script")


@pytest.mark.parametrize("value", [None, math.nan, math.inf, "4.4", 1e300, 0.0])
def test_no_drawing_says_why(result: Assessment, value: object) -> None:
    move = copy.deepcopy(dict(result.move))
    move["trailer"]["deck_length_m"] = value
    made = replace(result, move=move)
    assert [view(made) for view in VIEWS] == ["", "", ""]
    words = "not drawn: trailer.deck_length_m missing or no length that can be drawn"
    assert scheme_views.no_scheme_words(made) == scheme_views.scheme_alt(made, "plan") == words


def test_every_field_that_is_lacking_is_named(result: Assessment) -> None:
    move = copy.deepcopy(dict(result.move))
    del move["chain"][3]["on_deck_m"], move["unit"]["centre_of_mass_m"]
    move["contact"][1]["position_m"] = [1.0, math.nan, 0.0]
    words = scheme_views.no_scheme_words(replace(result, move=move))
    assert all(name in words for name in ("chain[3].on_deck_m", "unit.centre_of_mass_m", "contact[1].position_m"))
    assert scheme_views.no_scheme_words(replace(result, move={})).endswith("no length that can be drawn")


def test_what_may_be_missing_is_left_out(result: Assessment, read: Read) -> None:
    move = copy.deepcopy(dict(result.move))
    del move["mirror"], move["unit"]["wind_centre_m"], move["unit"]["centre_of_mass_tolerance_m"]
    del move["trailer"]["group"], move["trailer"]["axle_line_x_m"]
    picture = read(scheme_views.scheme_end(replace(result, move=move)))
    assert "its tolerance: not known, no box" in picture.texts()
    assert not any("mirror" in text or "wind" in text for text in picture.texts())


def test_the_alt_text_is_one_sentence(result: Assessment) -> None:
    assert scheme_views.scheme_alt(result, "side") == (
        "Side view from the right of the unit on the trailer, scale 1:75 on A4, 1 m is 13.33 mm: 8 chains, 4 pads, "
        "2 stops, centre of mass 1.20 m above the deck."
    )


@given(length_m=st.floats(1.0, 80.0), width_m=st.floats(1.0, 12.0), factor=st.floats(1.0, 5.0))
def test_a_larger_unit_never_gets_a_larger_scale(length_m: float, width_m: float, factor: float) -> None:
    def number(scale: float) -> float:
        trailer = {"deck_length_m": scale * length_m, "deck_width_m": scale * width_m, "deck_height_m": scale}
        made = scheme({"trailer": trailer, "unit": {"centre_of_mass_m": [0.0, 0.0, scale]}})
        assert made is not None
        return scale_number(made)

    assert number(1.0) <= number(factor)
    assert 1000.0 * factor * length_m / number(factor) <= 160.0


BOX_MM = st.tuples(st.floats(1.0, 170.0), st.floats(-40.0, 40.0), st.floats(0.5, 12.0), st.floats(0.5, 12.0))


@given(taken=st.lists(BOX_MM, max_size=25), spot=st.tuples(st.floats(5.0, 170.0), st.floats(-30.0, 30.0)))
def test_a_label_always_finds_room(taken: list[tuple[float, float, float, float]], spot: tuple[float, float]) -> None:
    paper = Paper()
    for x, y, half_width, half_height in taken:
        paper.keep(Box.around((x, y), half_width, half_height))
    before = list(paper.taken)
    place = Box.around(place_label(paper, spot, 0.3, (4.0, 2.0)), 4.0, 2.0)
    assert not any(place.meets(box) for box in before)
    assert place.left >= 0.0
    assert place.right <= paper.width_mm


def test_length_of_a_line_under_a_box() -> None:
    paper = Paper()
    paper.line((0.0, 1.0), (10.0, 1.0), weight=1.0)
    assert covered_mm(paper.strokes[0], Box(2.0, 0.0, 5.0, 2.0)) == pytest.approx(3.0)
    assert covered_mm(paper.strokes[0], Box(2.0, 2.0, 5.0, 3.0)) == 0.0


def test_long_words_stand_in_pieces() -> None:
    made = written_text("'" * 30)
    assert "".join(fromstring(f"<t>{made}</t>").itertext()) == "'" * 30
    assert max(map(len, made.split())) < 65
