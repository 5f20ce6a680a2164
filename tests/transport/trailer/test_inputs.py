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
        "move.toml:3: trailer.tare_t: input should be greater than 0 (got -1.0); weigh the trailer or read its plate, in t: 1000 kg are 1 t",
    ),
    (
        "tare_t = 24.0",
        'tare_t = "24 t"',
        "move.toml:3: trailer.tare_t: input should be a valid number (got '24 t'); weigh the trailer or read its plate, in t: 1000 kg are 1 t",
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
