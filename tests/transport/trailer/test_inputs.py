"""What `[trailer]` accepts, and word for word what it answers to mistakes."""

from pathlib import Path

import pytest

from shared.errors import InputError
from shared.inputs import Model, defaults_of, load_toml
from transport.trailer.inputs import Trailer

SAMPLES = Path(__file__).parents[3] / "samples"
GOOD = """
[trailer]
tare_t = 24.0
tare_centre_of_mass_height_m = 0.75
deck_height_m = 1.10
deck_length_m = 12.0
deck_width_m = 3.0
axle_line_x_m = [-2.25, -0.75, 0.75, 2.25]
bogie_y_m = 0.90
axle_line_capacity_t = 18.0
levels_crossfall = true
levelling_tolerance_deg = 1.0
roll_stiffness_MNm_per_rad = 15.0
minimum_stability_angle_deg = 7.0
horizontal_frequency_hz = 2.0
vertical_frequency_hz = 2.0
damping_ratio = 0.10
[[trailer.group]]
name = "front"
lines = [3, 4]
side = "both"
[[trailer.group]]
name = "rear left"
lines = [1, 2]
side = "left"
[[trailer.group]]
name = "rear right"
lines = [1, 2]
side = "right"
"""


class File(Model):
    trailer: Trailer


def load(folder: Path, text: str) -> Trailer:
    path = folder / "move.toml"
    path.write_text(text, encoding="utf-8")
    return load_toml(path, File).trailer


def refusal(folder: Path, old: str, new: str) -> str:
    assert GOOD.count(old) >= 1
    with pytest.raises(InputError) as caught:
        load(folder, GOOD.replace(old, new, 1))
    return str(caught.value)


def test_accepts_three_groups_and_lists_its_defaults(tmp_path: Path) -> None:
    trailer = load(tmp_path, GOOD)
    assert [default.field for default in defaults_of(trailer)] == [
        "tare_centre_of_mass_x_m",
        "levelling_stroke_m",
        "tyres_per_line_count",
        "tyre_pressure_kPa",
        "group_pressure_least_bar",
        "deck_torsion_stiffness_MNm_per_rad",
    ]


@pytest.mark.parametrize("sample", ["sheltered_morning", "windy_saddle"])
def test_accepts_the_samples(tmp_path: Path, sample: str) -> None:
    text = (SAMPLES / sample / "move.toml").read_text(encoding="utf-8")
    table = text[text.index("[trailer]") : text.index("[tractor]")]
    assert len(load(tmp_path, table).group) in {3, 4}


REFUSALS = [
    (
        "tare_t = 24.0",
        "tare_t = -1.0",
        (
            "move.toml:3: trailer.tare_t: input should be greater than 0 (got -1.0); "
            "weigh the trailer or read its plate, in t: 1000 kg are 1 t"
        ),
    ),
    (
        "tare_t = 24.0",
        'tare_t = "24 t"',
        (
            "move.toml:3: trailer.tare_t: input should be a valid number (got '24 t'); "
            "weigh the trailer or read its plate, in t: 1000 kg are 1 t"
        ),
    ),
    (
        "bogie_y_m = 0.90",
        "",
        (
            "move.toml:2: trailer.bogie_y_m: field required; distance of a bogie pivot from the middle line, "
            "not of the tyre"
        ),
    ),
    (
        "bogie_y_m = 0.90",
        "bogie_ym = 0.90\nbogie_y_m = 0.90",
        "move.toml:9: trailer.bogie_ym: unknown field - did you mean 'bogie_y_m'?",
    ),
    (
        'side = "left"',
        'side = "lefd"',
        (
            "move.toml:25: trailer.group[1].side: input should be 'left', 'right' or 'both' (got 'lefd')"
            " - did you mean 'left'?"
        ),
    ),
    (
        "[-2.25, -0.75, 0.75, 2.25]",
        "[2.25, 0.75, -0.75, -2.25]",
        (
            "move.toml:2: trailer: axle line 2 stands at x = 0.75 m, line 1 at 2.25 m; list the lines from the rear, "
            "line 1 first, at least 0.3 m apart"
        ),
    ),
    (
        '[[trailer.group]]\nname = "front"\nlines = [3, 4]\nside = "both"\n',
        "",
        (
            "move.toml:2: trailer: 2 hydraulic groups, allowed 3 or 4; fewer leave the deck free to tilt, more have no "
            "plain statics"
        ),
    ),
    (
        'name = "rear right"',
        'name = "rear left"',
        "move.toml:2: trailer: two hydraulic groups are called 'rear left'; give each its own name",
    ),
    (
        "lines = [3, 4]",
        "lines = [3, 5]",
        "move.toml:2: trailer: a hydraulic group names axle line 5, the trailer has 4; count the lines from the rear",
    ),
    (
        "lines = [3, 4]",
        "lines = [3]",
        (
            "move.toml:2: trailer: the left bogie of axle line 4 is in 0 hydraulic groups, allowed exactly 1; "
            "compare with the grouping sketch"
        ),
    ),
    (
        "lines = [3, 4]",
        "lines = [2, 3, 4]",
        (
            "move.toml:2: trailer: the left bogie of axle line 2 is in 2 hydraulic groups, allowed exactly 1; "
            "compare with the grouping sketch"
        ),
    ),
    (
        'lines = [1, 2]\nside = "left"\n[[trailer.group]]\nname = "rear right"\nlines = [1, 2]\nside = "right"',
        'lines = [1]\nside = "both"\n[[trailer.group]]\nname = "rear right"\nlines = [2]\nside = "both"',
        (
            "move.toml:2: trailer: the hydraulic groups support the deck along one line only, so nothing holds it "
            "upright; separate left and right"
        ),
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), REFUSALS, ids=[new[:30] or "missing" for _, new, _ in REFUSALS])
def test_refusals_word_for_word(tmp_path: Path, old: str, new: str, expected: str) -> None:
    assert refusal(tmp_path, old, new) == expected


HYDRAULIC = """cylinder_diameter_mm = 140.0
cylinders_per_bogie_count = 1
group_pressure_limit_bar = 80.0
group_pressure_least_bar = 5.0
axle_line_mass_t = 1.6
"""
WITH_HYDRAULICS = GOOD.replace("[[trailer.group]]", f"{HYDRAULIC}[[trailer.group]]", 1)
IN_BAR = "in bar as the gauge shows: 1 MPa are 10 bar, 100 kPa are 1 bar"
MM = "bore of one cylinder in mm: 0.14 m are 140 mm, 14 cm are 140 mm"
SLIPS = [
    ("limit_bar = 80.0", "limit_bar = 8.0", f"50 (got 8.0); limit of the circuit, from the builder; {IN_BAR}"),
    ("limit_bar = 80.0", "limit_bar = 8000.0", f"700 (got 8000.0); limit of the circuit, from the builder; {IN_BAR}"),
    (
        "least_bar = 5.0",
        "least_bar = 500.0",
        f"150 (got 500.0); {IN_BAR}",
    ),
    ("diameter_mm = 140.0", "diameter_mm = 0.14", f"40 (got 0.14); {MM}"),
    ("diameter_mm = 140.0", "diameter_mm = 14.0", f"40 (got 14.0); {MM}"),
    ("bogie_count = 1", "bogie_count = 0", "1 (got 0); count the cylinders that lift one bogie"),
    (
        "tare_t = 24.0",
        "tare_t = 24000.0",
        "400 (got 24000.0); weigh the trailer or read its plate, in t: 1000 kg are 1 t",
    ),
    (
        "deck_height_m = 1.10",
        "deck_height_m = 110.0",
        "5 (got 110.0); measure from the ground at mid stroke, in m: 110 cm are 1.1 m",
    ),
    (
        "deck_height_m = 1.10",
        "deck_height_m = 0.11",
        "0.3 (got 0.11); measure from the ground at mid stroke, in m: 110 cm are 1.1 m",
    ),
    (
        "line_mass_t = 1.6",
        "line_mass_t = 1600.0",
        "20 (got 1600.0); what hangs below the cylinders of one line; 1000 kg are 1 t",
    ),
    (
        "line_mass_t = 1.6",
        "line_mass_t = 6.6",
        "4 axle lines of axle_line_mass_t = 6.6 weigh more than tare_t = 24; give the mass of one line in t",
    ),
    (
        "deck_length_m = 12.0",
        "deck_length_m = 4.0",
        ("the axle lines span 4.5 m, more than deck_length_m = 4; give both in m, and every line of this trailer once"),
    ),
    (
        "bogie_y_m = 0.90",
        "bogie_y_m = 1.8",
        (
            "the bogie pivots at 1.8 m to either side stand outside deck_width_m = 3; bogie_y_m is counted from the "
            "middle line, both in m"
        ),
    ),
    (
        "cylinders_per_bogie_count = 1\n",
        "",
        (
            "cylinders_per_bogie_count not given beside cylinder_diameter_mm, group_pressure_limit_bar; the pressure "
            "of a group needs cylinder_diameter_mm, cylinders_per_bogie_count, group_pressure_limit_bar together, give "
            "all or none"
        ),
    ),
    (
        "least_bar = 5.0",
        "least_bar = 90.0",
        (
            "group_pressure_least_bar = 90 is not below group_pressure_limit_bar = 80; "
            "compare both with the builder's data"
        ),
    ),
]


@pytest.mark.parametrize(("old", "new", "end"), SLIPS, ids=[new[:30] or "missing" for _, new, _ in SLIPS])
def test_slips_of_units_are_named_with_their_remedy(tmp_path: Path, old: str, new: str, end: str) -> None:
    assert WITH_HYDRAULICS.count(old) == 1
    with pytest.raises(InputError) as caught:
        load(tmp_path, WITH_HYDRAULICS.replace(old, new))
    assert str(caught.value).startswith("move.toml:")
    assert str(caught.value).endswith(end)


def test_every_slip_is_named_in_one_run(tmp_path: Path) -> None:
    wrong = WITH_HYDRAULICS.replace("= 140.0", "= 0.14").replace("limit_bar = 80.0", "limit_bar = 8.0")
    with pytest.raises(InputError) as caught:
        load(tmp_path, wrong.replace("tare_t = 24.0", "tare_t = 24000.0"))
    assert len(caught.value.faults) == 3


def test_hydraulics_are_converted_at_the_edge(tmp_path: Path) -> None:
    """80 bar are 8000 kPa; half a line of 1.6 t weighs 7.845 kN; without it half a line of the whole tare, 3 t."""
    hydraulics = load(tmp_path, WITH_HYDRAULICS).hydraulics
    assert hydraulics is not None
    assert (hydraulics.limit_kPa, hydraulics.least_kPa) == (8000.0, 500.0)
    assert hydraulics.cylinder_m2 == pytest.approx(0.015394, rel=1e-4)
    assert hydraulics.hanging_kN == pytest.approx(0.8 * 9.80665)
    whole = load(tmp_path, WITH_HYDRAULICS.replace("axle_line_mass_t = 1.6\n", "")).hydraulics
    assert whole is not None
    assert whole.hanging_kN == pytest.approx(3.0 * 9.80665)
    assert load(tmp_path, GOOD).hydraulics is None
