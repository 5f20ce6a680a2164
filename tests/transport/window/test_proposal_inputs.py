"""The gear that lies ready: bad tables are refused with where, what and remedy; its order means nothing."""

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from shared.inputs import load_toml
from transport.securing.inputs import Anchor
from transport.window.assess import move_of
from transport.window.inputs import Move
from transport.window.proposal_chains import joined, larger_chains, pairs
from transport.window.proposal_inputs import Available, ReadyAnchor, ReadyAttachment, ReadyChain
from transport.window.proposal_screen import Known
from transport.window.proposal_stops import ready_stops

SAMPLE = Path(__file__).resolve().parents[3] / "samples" / "sheltered_morning" / "move.toml"
GEAR = """
[[available.chain]]
size_mm = 16
grade = 8
lc_kN = 160.0
stf_kN = 16.0
count = 4
[[available.anchor]]
name = "rail left"
position_m = [4.9, 1.4, 0.0]
rating_kN = 200.0
least_vertical_angle_deg = 10.0
greatest_vertical_angle_deg = 60.0
[[available.attachment]]
name = "eye left"
position_m = [2.4, 0.9, 0.8]
rating_kN = 180.0
[[available.stop]]
name = "side left"
position_m = [0.0, 1.3, 0.2]
normal = [0.0, -1.0, 0.0]
capacity_kN = 150.0
"""


def read(tmp_path: Path, *changes: tuple[str, str]) -> Move:
    text = GEAR
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file = tmp_path / "move.toml"
    file.write_text(SAMPLE.read_text(encoding="utf-8") + text, encoding="utf-8")
    return move_of(file)


def refused(tmp_path: Path, *changes: tuple[str, str]) -> str:
    with pytest.raises(InputError) as caught:
        read(tmp_path, *changes)
    return str(caught.value)


def test_gear_is_read_and_is_no_part_of_the_scheme(tmp_path: Path) -> None:
    move, bare = read(tmp_path), move_of(SAMPLE)
    assert [one.name for one in move.available.attachment] == ["eye left"]
    assert (move.chain, move.contact) == (bare.chain, bare.contact)
    assert bare.available == Available()


def test_a_count_of_none_is_refused(tmp_path: Path) -> None:
    assert (
        "available.chain[0].count: input should be greater than or equal to 1 (got 0); "
        "how many of them lie ready; leave the table out if there is none"
    ) in refused(tmp_path, ("count = 4", "count = 0"))


def test_a_stop_that_faces_away_is_refused(tmp_path: Path) -> None:
    assert refused(tmp_path, ("[0.0, -1.0, 0.0]", "[0.0, 1.0, 0.0]")) == (
        "available.stop[0].normal: stop 'side left' faces away from the unit; the normal points from the stop into "
        "the unit"
    )


@pytest.mark.parametrize("height", ["-0.2", "0.0", "80.0"])
def test_a_rated_point_that_is_not_above_the_deck_is_refused(tmp_path: Path, height: str) -> None:
    assert "available.attachment[0]" in refused(tmp_path, ("[2.4, 0.9, 0.8]", f"[2.4, 0.9, {height}]"))


def test_a_rated_point_in_mm_is_told_its_range(tmp_path: Path) -> None:
    assert (
        "position_m lies 12 m above the deck, allowed above 0 up to 10; z is measured upwards from the deck, in m"
        in (refused(tmp_path, ("[2.4, 0.9, 0.8]", "[2.4, 0.9, 12.0]")))
    )


def test_all_faults_come_in_one_run(tmp_path: Path) -> None:
    text = refused(tmp_path, ("[4.9, 1.4, 0.0]", "[7.9, 1.4, 0.0]"), ("[0.0, -1.0, 0.0]", "[0.0, 1.0, 0.0]"))
    assert "anchor 'rail left' is off the deck of 12 m by 3 m; measure from the middle of the deck" in text
    assert "stop 'side left' faces away" in text


def test_an_anchor_under_the_unit_is_refused(tmp_path: Path) -> None:
    assert "anchor 'rail left' lies under the unit" in refused(tmp_path, ("[4.9, 1.4, 0.0]", "[0.9, 0.4, 0.0]"))


def test_angles_the_wrong_way_round_are_refused(tmp_path: Path) -> None:
    text = refused(tmp_path, ("greatest_vertical_angle_deg = 60.0", "greatest_vertical_angle_deg = 6.0"))
    assert "least_vertical_angle_deg is 10, above greatest_vertical_angle_deg of 6" in text


def test_a_capacity_in_tenths_and_a_level_normal_are_asked_for(tmp_path: Path) -> None:
    assert "available.chain[0].lc_kN: is 1600, allowed up to" in refused(tmp_path, ("lc_kN = 160.0", "lc_kN = 1600.0"))
    assert "allowed up to half of lc_kN (80)" in refused(tmp_path, ("stf_kN = 16.0", "stf_kN = 160.0"))
    assert "allowed a level unit vector" in refused(tmp_path, ("[0.0, -1.0, 0.0]", "[0.0, 0.0, 1.0]"))


@pytest.mark.parametrize(
    ("old", "new", "slip"),
    [
        ("lc_kN = 160.0", "lc_kN = 16000.0", "16000 daN are 160 kN"),
        ("stf_kN = 16.0", "stf_kN = 1600.0", "1600 daN are 16 kN"),
        ("size_mm = 16", "size_mm = 0.016", "0.016 m are 16 mm"),
        ("rating_kN = 200.0", "rating_kN = 20000.0", "20000 daN are 200 kN"),
        ("rating_kN = 180.0", "rating_kN = 18000.0", "18000 daN are 180 kN"),
        ("[4.9, 1.4, 0.0]", "[4900.0, 1.4, 0.0]", "4900 mm are 4.9 m"),
        ("capacity_kN = 150.0", "capacity_kN = 150000.0", "150000 N are 150 kN"),
    ],
)
def test_gear_that_lies_ready_is_told_the_likely_slip(tmp_path: Path, old: str, new: str, slip: str) -> None:
    """The fields and hints of gear on the vehicle; 1 daN is 10 N, 1 m is 1000 mm."""
    assert f"likely slip: {slip}" in refused(tmp_path, (old, new)).replace(", or ", "; likely slip: ")


def test_one_name_for_two_points_is_refused(tmp_path: Path) -> None:
    doubled = GEAR[GEAR.index("[[available.attachment]]") : GEAR.index("[[available.stop]]")]
    text = refused(tmp_path, ("[[available.stop]]", f"{doubled}[[available.stop]]"))
    assert text == "available.attachment[1].name: 'eye left' stands twice; give each attachment its own name"


def test_a_point_that_a_chain_hangs_on_is_not_free(tmp_path: Path) -> None:
    assert refused(tmp_path, ("[2.4, 0.9, 0.8]", "[2.4, 1.0, 0.8]")) == (
        "available.attachment[0].position_m: attachment 'eye left' is where chain 'C1' is hooked; "
        "list only points that are free"
    )
    assert "anchor 'rail left' is where chain 'C1' is hooked" in refused(
        tmp_path, ("[4.9, 1.4, 0.0]", "[4.4, 1.4, 0.0]")
    )


def push(ahead_kN: float, left_kN: float) -> Known:
    return Known("securing operation (LC2)", ahead_kN, left_kN, 290.0, 1.3, 15.0)


@given(st.randoms(use_true_random=False))
@settings(max_examples=20, deadline=None)
def test_the_order_of_the_gear_means_nothing(shuffler: random.Random) -> None:
    """Law: the same changes come out in the same order however the tables are sorted."""
    move = load_toml(SAMPLE, Move)
    angles = {"least_vertical_angle_deg": 0.0, "greatest_vertical_angle_deg": 80.0, "rating_kN": 200.0}
    anchors = [
        ReadyAnchor(name=f"rail {x} {y}", position_m=(x, y, 0.0), **angles)
        for x in (4.9, 1.2, -1.2, -4.9)
        for y in (1.4, -1.4)
    ]
    eyes = [
        ReadyAttachment(name=f"eye {x} {y}", position_m=(x, y, 1.0), rating_kN=180.0)
        for x in (2.4, 1.2, -2.4)
        for y in (0.7, -0.7)
    ]
    sizes = [ReadyChain(size_mm=float(d), grade=8, lc_kN=lc, count=8) for d, lc in ((13, 100.0), (16, 160.0))]
    pushes = [push(-200.0, 10.0), push(30.0, 180.0)]
    plain = move.model_copy(
        update={"available": Available(chain=tuple(sizes), anchor=tuple(anchors), attachment=tuple(eyes))}
    )
    for gear in (anchors, eyes, sizes):
        shuffler.shuffle(gear)
    mixed = move.model_copy(
        update={"available": Available(chain=tuple(sizes), anchor=tuple(anchors), attachment=tuple(eyes))}
    )
    one, two = pairs(plain, pushes), pairs(mixed, pushes)
    assert one and one == two
    assert [joined(plain, [pair]) for pair in one] == [joined(mixed, [pair]) for pair in two]
    assert list(larger_chains(plain, pushes)) == list(larger_chains(mixed, pushes))
    assert list(ready_stops(plain)) == list(ready_stops(mixed))


def test_a_point_is_used_once_and_no_chain_that_is_not_there(tmp_path: Path) -> None:
    move = read(tmp_path)
    right = [
        one.model_copy(
            update={
                "name": one.name.replace("left", "right"),
                "position_m": (one.position_m[0], -one.position_m[1], one.position_m[2]),
            }
        )
        for one in (move.available.anchor[0], move.available.attachment[0])
    ]
    ready = move.available.model_copy(
        update={
            "anchor": (*move.available.anchor, right[0]),
            "attachment": (*move.available.attachment, right[1]),
            "chain": (move.available.chain[0].model_copy(update={"count": 2}),),
        }
    )
    both = move.model_copy(update={"available": ready})
    found = pairs(both, [push(-200.0, 0.0)])
    assert found and joined(both, [found[0]]) is not None
    assert joined(both, [found[0], found[0]]) is None
    single = ready.model_copy(update={"chain": (move.available.chain[0].model_copy(update={"count": 1}),)})
    assert pairs(move.model_copy(update={"available": single}), [push(-200.0, 0.0)]) == []


def test_an_anchor_is_not_pulled_outside_its_angles(tmp_path: Path) -> None:
    """A chain from 0.8 m up over 2.5 m of deck pulls at about 17 degrees: asin(0.8 / 2.7), geometry."""
    move = read(tmp_path)
    flat = [one.model_copy(update={"least_vertical_angle_deg": 40.0}) for one in move.available.anchor]
    steep = move.model_copy(update={"available": move.available.model_copy(update={"anchor": tuple(flat)})})
    assert pairs(steep, [push(-200.0, 0.0)]) == []


def test_unused_anchors_of_the_deck_are_free_as_well(tmp_path: Path) -> None:
    """An [[anchor]] that no chain hangs on serves; one under a chain does not."""
    move = read(tmp_path)
    angles = {"rating_kN": 200.0, "least_vertical_angle_deg": 0.0, "greatest_vertical_angle_deg": 80.0}
    anchors = tuple(
        Anchor(name=f"{place} {side}", position_m=(x, y, 0.0), **angles)
        for side, sign in (("left", 1), ("right", -1))
        for place, x, y in (("nose", 5.2, 1.3 * sign), ("used", 4.4, 1.4 * sign))
    )
    eyes = tuple(ReadyAttachment(name=f"eye {y}", position_m=(2.4, y, 0.8), rating_kN=180.0) for y in (0.9, -0.9))
    ready = Available(chain=move.available.chain, attachment=eyes)
    listed = move.model_copy(update={"anchor": anchors, "available": ready})
    found = pairs(listed, [push(-200.0, 0.0)])
    assert {run.anchor for pair in found for run in pair.runs} == {"nose left", "nose right"}
