"""What `[tractor]` accepts, and word for word what it answers to mistakes."""

from pathlib import Path

import pytest

from shared.errors import InputError
from shared.inputs import Model, defaults_of, load_toml
from transport.stopping.inputs import Tractor

SAMPLES = Path(__file__).parents[3] / "samples"
GOOD = """
[tractor]
mass_t = 28.0
driven_mass_t = 22.0
tractive_force_kN = 160.0
retarding_force_kN = 120.0
retarding_power_kW = 220.0
reaction_time_s = 2.0
brake_build_up_s = 0.5
brake_ratio = 0.20
service_deceleration_mps2 = 0.3
emergency_deceleration_mps2 = 0.8
emergency_ramp_s = 0.5
parking_grade_ratio = 0.18
stopping_distance_limit_m = 8.0
"""


class File(Model):
    tractor: Tractor


def load(folder: Path, text: str) -> Tractor:
    path = folder / "move.toml"
    path.write_text(text, encoding="utf-8")
    return load_toml(path, File).tractor


def test_accepts_the_table_and_lists_its_defaults(tmp_path: Path) -> None:
    tractor = load(tmp_path, GOOD)
    assert tractor.road_state == "wet"
    assert [default.field for default in defaults_of(tractor)] == [
        "start_acceleration_mps2",
        "road_state",
        "brake_iron_t",
        "bump_height_m",
        "bump_length_m",
    ]


@pytest.mark.parametrize("sample", ["sheltered_morning", "windy_saddle"])
def test_accepts_the_samples(tmp_path: Path, sample: str) -> None:
    text = (SAMPLES / sample / "move.toml").read_text(encoding="utf-8")
    assert load(tmp_path, text[text.index("[tractor]") : text.index("[securing]")]).mass_t > 0.0


REFUSALS = [
    (
        "mass_t = 28.0",
        "mass_t = 0.0",
        (
            "move.toml:3: tractor.mass_t: input should be greater than 0 (got 0.0); weigh it with its ballast; "
            "add up all tractors of the train"
        ),
    ),
    (
        "brake_ratio = 0.20",
        "brake_ratio = 20.0",
        (
            "move.toml:10: tractor.brake_ratio: input should be less than or equal to 1 (got 20.0); "
            "brake force over weight of the whole train, loaded, measured"
        ),
    ),
    (
        "reaction_time_s = 2.0",
        "reaction_time_s = true",
        (
            "move.toml:8: tractor.reaction_time_s: input should be a valid number (got True); "
            "from the call to the brake; 1.5 to 2.5 s is usual"
        ),
    ),
    (
        "parking_grade_ratio = 0.18",
        "parking_grade_ratio = 18.0",
        (
            "move.toml:14: tractor.parking_grade_ratio: input should be less than or equal to 0.5 (got 18.0); "
            "steepest grade the parking brake is rated to hold, loaded; write 0.18 for 18 %"
        ),
    ),
    (
        "emergency_ramp_s = 0.5",
        "emergency_ramps = 0.5\nemergency_ramp_s = 0.5",
        "move.toml:13: tractor.emergency_ramps: unknown field - did you mean 'emergency_ramp_s'?",
    ),
    (
        "emergency_ramp_s = 0.5",
        "",
        "move.toml:2: tractor.emergency_ramp_s: field required; time in which that deceleration builds up, measured",
    ),
    (
        "driven_mass_t = 22.0",
        "driven_mass_t = 30.0",
        "move.toml:2: tractor: driven_mass_t is 30, mass_t is 28; the driven axles carry at most the whole tractor",
    ),
    (
        "service_deceleration_mps2 = 0.3",
        "service_deceleration_mps2 = 0.9",
        (
            "move.toml:2: tractor: service_deceleration_mps2 is 0.9, emergency_deceleration_mps2 is 0.8; "
            "an emergency stop is at least as hard as a service stop"
        ),
    ),
    (
        "mass_t = 28.0",
        'mass_t = 28.0\nroad_state = "damp"',
        "move.toml:4: tractor.road_state: input should be 'dry' or 'wet' (got 'damp')",
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), REFUSALS, ids=[new or "missing" for _, new, _ in REFUSALS])
def test_refusals_word_for_word(tmp_path: Path, old: str, new: str, expected: str) -> None:
    with pytest.raises(InputError) as caught:
        load(tmp_path, GOOD.replace(old, new, 1))
    assert str(caught.value) == expected
