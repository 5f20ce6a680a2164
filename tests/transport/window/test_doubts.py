"""Numbers of unit and trailer that look like a slip beside the rest of the move, word for word."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from transport.window.assess import move_of, remarks_of
from transport.window.doubts import doubts
from transport.window.inputs import Move

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
NAMES = ("sheltered_morning", "windy_saddle")
TEXT = {name: (SAMPLES / name / "move.toml").read_text(encoding="utf-8") for name in NAMES}
ANCHOR = (
    '\n[[anchor]]\nname = "A1"\nposition_m = [4.0, 1.4, 0.0]\nrating_kN = {0}\nleast_vertical_angle_deg = 0.0\n'
    "greatest_vertical_angle_deg = 90.0\n"
)
TOO_SMALL, TOO_LARGE = "small", "large"
# The side on which a wrong value makes the answer too kind.
DANGEROUS = {
    "force_coefficient": TOO_SMALL,
    "lift_coefficient": TOO_SMALL,
    "plan_area_m2": TOO_SMALL,
    "wind_area_front_m2": TOO_SMALL,
    "wind_area_side_m2": TOO_SMALL,
    "wind_centre_m": TOO_SMALL,
    "mass_tolerance_t": TOO_SMALL,
    "centre_of_mass_tolerance_m": TOO_SMALL,
    "allowed_movement_m": TOO_LARGE,
    "roll_stiffness_MNm_per_rad": TOO_LARGE,
    "tare_centre_of_mass_height_m": TOO_SMALL,
    "minimum_stability_angle_deg": TOO_SMALL,
    "levelling_tolerance_deg": TOO_SMALL,
    "axle_line_mass_t": TOO_SMALL,
    "axle_line_capacity_t": TOO_LARGE,
    "group_pressure_limit_bar": TOO_LARGE,
    "group_pressure_least_bar": TOO_SMALL,
    "ground_bearing_kPa": TOO_LARGE,
    "stop_travel_m": TOO_SMALL,
    "horizontal_frequency_hz": TOO_LARGE,
    "vertical_frequency_hz": TOO_LARGE,
    "damping_ratio": TOO_LARGE,
}


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("move") / "move.toml"


def put(text: str, field: str, value: str) -> str:
    changed, count = re.subn(rf"^{field} = (\[.*?\]|\S+)", f"{field} = {value}", text, count=1, flags=re.M)
    assert count, field
    return changed


def read(file: Path, text: str) -> Move:
    file.write_text(text, encoding="utf-8")
    return move_of(file)


@pytest.mark.parametrize("name", NAMES)
def test_the_samples_raise_no_doubt(name: str) -> None:
    assert doubts(move_of(SAMPLES / name / "move.toml")) == ()


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        (
            "force_coefficient",
            "0.12",
            (
                "unit.force_coefficient is 0.12, plausible from 0.5 (a body as blunt as this lies near 1); "
                "likely slip: "
                "0.12 times 10 is 1.2"
            ),
        ),
        (
            "lift_coefficient",
            "0.05",
            (
                "unit.lift_coefficient is 0.05, plausible from 0.1 (wind over a flat cover lifts); likely slip: 0.05 "
                "times 10 is 0.5"
            ),
        ),
        (
            "lift_coefficient",
            "0.0",
            "unit.lift_coefficient is 0, plausible from 0.1 (wind over a flat cover lifts)",
        ),
        (  # pi / 4 * 5.6^2 = 24.63 m2
            "plan_area_m2",
            "24.5",
            "unit.plan_area_m2 is 24.5 m2, plausible from 24.63 (the whole disc of the mirror)",
        ),
        (
            "wind_area_front_m2",
            "1.2",
            (
                "unit.wind_area_front_m2 is 1.2 m2, plausible from 1.68 (5.6 m of mirror, 0.3 m high with its cell and "
                "cover); likely slip: 1.2 times 10 is 12"
            ),
        ),
        (
            "wind_area_side_m2",
            "1.2",
            (
                "unit.wind_area_side_m2 is 1.2 m2, plausible from 1.68 (5.6 m of mirror, 0.3 m high with its cell and "
                "cover); likely slip: 1.2 times 10 is 12"
            ),
        ),
        (
            "wind_centre_m",
            "[0.0, 0.0, 0.13]",
            (
                "the height in unit.wind_centre_m is 0.13 m, plausible from 0.6 (half the height of the centre "
                "of mass, "
                "1.2 m); likely slip: 0.13 times 10 is 1.3"
            ),
        ),
        (
            "mass_tolerance_t",
            "0.05",
            (
                "unit.mass_tolerance_t is 0.05 t, plausible from 0.155 (a weighing of 31 t in the field is seldom "
                "closer); likely slip: 0.05 times 10 is 0.5"
            ),
        ),
        (
            "centre_of_mass_tolerance_m",
            "0.005",
            (
                "unit.centre_of_mass_tolerance_m is 0.005 m, plausible from 0.01 (a centre of mass is seldom known "
                "closer); likely slip: 0.005 times 10 is 0.05"
            ),
        ),
        (
            "allowed_movement_m",
            "0.2",
            (
                "unit.allowed_movement_m is 0.2 m, plausible up to 0.05 (a mirror is seldom let slide farther); likely "
                "slip: 0.2 cm are 0.002 m, or a tenth of it is 0.02 m"
            ),
        ),
        (  # by hand: 9.80665 * (31 * (1.10 + 1.20) + 24 * 0.75) / 1000 = 0.8757 MNm
            "roll_stiffness_MNm_per_rad",
            "1500.0",
            (
                "trailer.roll_stiffness_MNm_per_rad is 1500 MNm/rad, plausible up to 87.57 (100 times weight times "
                "height, 0.88 MNm; usual platforms are softer); likely slip: 1500 over 100 is 15"
            ),
        ),
        (
            "tare_centre_of_mass_height_m",
            "0.075",
            (
                "trailer.tare_centre_of_mass_height_m is 0.075 m, plausible from 0.33 (above the ground, under "
                "a deck at "
                "1.1 m); likely slip: 0.075 times 10 is 0.75"
            ),
        ),
        (  # 0.12 rad * 180 / pi = 6.875 deg
            "minimum_stability_angle_deg",
            "0.12",
            (
                "trailer.minimum_stability_angle_deg is 0.12 deg, plausible from 5 (below it a platform trailer "
                "stops); "
                "likely slip: 0.12 rad are 6.875 deg, or 0.12 times 100 is 12"
            ),
        ),
        (
            "levelling_tolerance_deg",
            "0.1",
            (
                "trailer.levelling_tolerance_deg is 0.1 deg, plausible from 0.2 (a crew seldom holds a moving deck "
                "closer); likely slip: 0.1 times 10 is 1"
            ),
        ),
        (
            "axle_line_mass_t",
            "0.16",
            (
                "trailer.axle_line_mass_t is 0.16 t, plausible from 0.3 (8 lines are usually more than 0.1 of the tare "
                "of 24 t); likely slip: 0.16 times 10 is 1.6"
            ),
        ),
        (
            "axle_line_capacity_t",
            "80.0",
            (
                "trailer.axle_line_capacity_t is 80 t, plausible up to 27.5 (8 lines then carry 4 times the 55 t of "
                "trailer and unit); likely slip: 80 over 10 is 8"
            ),
        ),
        (
            "group_pressure_least_bar",
            "0.5",
            (
                "trailer.group_pressure_least_bar is 0.5 bar, plausible from 1.6 (a fiftieth of the limit of the "
                "circuit); likely slip: 0.5 times 10 is 5"
            ),
        ),
        (
            "ground_bearing_kPa",
            "1500.0",
            (
                "trailer.ground_bearing_kPa is 1500 kPa, plausible up to 1000 (usual ground bears less, rock apart); "
                "likely slip: 1500 over 10 is 150"
            ),
        ),
        (
            "stop_travel_m",
            "0.00025",
            (
                "trailer.stop_travel_m is 0.00025 m, plausible from 0.06 (a tenth of the levelling stroke, 0.6 m); "
                "likely slip: 0.00025 times 1000 is 0.25"
            ),
        ),
        (  # 20 rad/s / (2 pi) = 3.183 Hz
            "horizontal_frequency_hz",
            "20.0",
            (
                "trailer.horizontal_frequency_hz is 20 Hz, plausible up to 10 (of a loaded deck on its hydraulics); "
                "likely slip: 20 rad/s are 3.183 Hz, or 20 over 10 is 2"
            ),
        ),
        (
            "vertical_frequency_hz",
            "0.2",
            (
                "trailer.vertical_frequency_hz is 0.2 Hz, plausible from 0.5 (of a loaded deck on its hydraulics); "
                "likely slip: 0.2 times 10 is 2"
            ),
        ),
        (
            "damping_ratio",
            "0.9",
            (
                "trailer.damping_ratio is 0.9, plausible up to 0.3 (of a loaded deck on its hydraulics); likely slip: "
                "0.9 over 10 is 0.09"
            ),
        ),
    ],
)
def test_a_likely_slip_is_said(file: Path, field: str, value: str, said: str) -> None:
    move = read(file, put(TEXT["sheltered_morning"], field, value))
    assert doubts(move) == (f"looks like a slip: {said}; correct or confirm it",)


def test_a_pressure_limit_is_doubted_on_its_own_and_beside_the_least_pressure(file: Path) -> None:
    """1 psi are 0.0689476 bar (from memory)."""
    assert doubts(read(file, put(TEXT["sheltered_morning"], "group_pressure_limit_bar", "700.0"))) == (
        (
            "looks like a slip: trailer.group_pressure_limit_bar is 700 bar, plausible up to 400 (usual circuits stay "
            "below); likely slip: 700 psi are 48.26 bar, or 700 over 10 is 70; correct or confirm it"
        ),
        (
            "looks like a slip: trailer.group_pressure_least_bar is 5 bar, plausible from 14 (a fiftieth of the "
            "limit of "
            "the circuit); likely slip: 5 times 10 is 50; correct or confirm it"
        ),
    )


def test_measured_friction_above_the_table_is_said(file: Path) -> None:
    """The friction table of EN 12195-1 annex B goes up to 0.70 (read, see shared/published/friction.csv)."""
    text = put(TEXT["sheltered_morning"], "friction_ratio", "0.9")
    text = text.replace('"metal rough painted on same, EN 12195-1 annex B"', '"measured, by pull test"', 1)
    assert doubts(read(file, text)) == (
        (
            "looks like a slip: friction_ratio of pad 'pad front left' is 0.9, plausible up to 0.7 (the highest of the "
            "friction table); likely slip: 0.9 over 10 is 0.09; correct or confirm it"
        ),
    )


def test_a_lashing_point_far_stronger_than_every_chain_is_said(file: Path) -> None:
    assert doubts(read(file, TEXT["sheltered_morning"] + ANCHOR.format("200.0"))) == ()
    assert doubts(read(file, TEXT["sheltered_morning"] + ANCHOR.format("700.0"))) == (
        (
            "looks like a slip: rating_kN of anchor 'A1' is 700 kN, plausible up to 480 (three times the LC of the "
            "strongest chain); likely slip: 700 over 10 is 70; correct or confirm it"
        ),
    )


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        (  # pi / 4 * (5.6^2 - 0.9^2) = 23.99 m2
            "plan_area_m2",
            "2.83",
            (
                "is 2.83 m2, allowed from 24, the area of the mirror without its hole; likely slip: 2.83 times 10 is "
                "28.3; measure the unit with its cover"
            ),
        ),
        (  # 5.6 * 0.14 = 0.784 m2
            "wind_area_front_m2",
            "0.012",
            (
                "is 0.012 m2, allowed from 0.784, the diameter times thickness of the mirror; likely slip: 0.012 times "
                "100 is 1.2, or 0.012 times 1000 is 12; measure the unit with its cover"
            ),
        ),
        (
            "wind_area_side_m2",
            "0.0012",
            (
                "is 0.0012 m2, allowed from 0.784, the diameter times thickness of the mirror; likely slip: "
                "0.0012 times "
                "1000 is 1.2; measure the unit with its cover"
            ),
        ),
    ],
)
def test_a_unit_smaller_than_its_mirror_is_refused(file: Path, field: str, value: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        read(file, put(TEXT["sheltered_morning"], field, value))
    assert [(fault.field, fault.message) for fault in caught.value.faults] == [(f"unit.{field}", said)]


def test_the_answer_carries_the_doubts(file: Path) -> None:
    move = read(file, put(TEXT["sheltered_morning"], "force_coefficient", "0.12"))
    said = remarks_of(move, datetime(2026, 3, 9, 5, tzinfo=UTC))
    assert [remark for remark in said if remark.startswith("looks like a slip")] == list(doubts(move))


def scaled(text: str, field: str, factor: float) -> str:
    found = re.search(rf"^{field} = (\[.*?\]|\S+)", text, flags=re.M)
    assert found, field
    numbers = [float(word) for word in found[1].strip("[]").split(",")]
    numbers[-1] *= factor
    return put(text, field, f"{numbers!r}" if found[1].startswith("[") else f"{numbers[0]!r}")


@example(times=10.0)
@example(times=100.0)
@example(times=1000.0)
@settings(max_examples=4)
@given(times=st.floats(10.0, 1000.0))
@pytest.mark.parametrize("field", DANGEROUS)
@pytest.mark.parametrize("name", NAMES)
def test_ten_times_wrong_on_the_dangerous_side_never_passes_in_silence(
    file: Path, name: str, field: str, times: float
) -> None:
    """Law: a slip of a place or more is refused or said, whichever of the samples it hits."""
    factor = times if DANGEROUS[field] == TOO_LARGE else 1.0 / times
    try:
        said = doubts(read(file, scaled(TEXT[name], field, factor)))
    except InputError as problem:
        said = tuple(fault.field for fault in problem.faults)
    assert any(field in words for words in said)
