"""What the tables of a move refuse, word for word."""

import re
import shutil
from pathlib import Path

import pytest

from shared.errors import InputError
from shared.inputs import load_toml
from transport.window.inputs import Move

SAMPLE = Path(__file__).resolve().parents[3] / "samples" / "sheltered_morning" / "move.toml"
ALPHA = 'rule = "alpha"\nalpha_ratio = 0.8\ncontrol_realization = 0\n'


def refused(folder: Path, *pairs: tuple[str, str]) -> list[str]:
    """Change the sample and return what is said against it, without the place."""
    content = SAMPLE.read_text(encoding="utf-8")
    for pattern, new in pairs:
        content, count = re.subn(pattern, new, content, count=1, flags=re.M)
        assert count, pattern
    (folder / "move.toml").write_text(content, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_toml(folder / "move.toml", Move)
    return [fault.message for fault in caught.value.faults]


def test_the_sample_is_accepted(tmp_path: Path) -> None:
    shutil.copy(SAMPLE, tmp_path)
    assert load_toml(tmp_path / "move.toml", Move).move.leg == "out"


ENSEMBLE = r'^rule = "ensemble".*\n(?:.*\n)*?members_count = .*\n'
FITTED = 'rule = "alpha"\nalpha = "fitted"\ncontrol_realization = 0\n'
CHANCE = "acceptable_chance_ratio = 0.1\n"
CALIBRATION = (r"^\[\[stage", '[weather.calibration]\npath = "calibration.json"\nmast_in_the_open = true\n[[stage')
TWICE = (
    "[weather.calibration] and decision.alpha_ratio both allow for forecast error; allow for it once: take the "
    'calibration away, or write alpha = "fitted", or take the ensemble rule'
)
COUNTED = 'rule = "ensemble"\nconfidence_ratio = 0.9\nmembers_count = 31\n'


@pytest.mark.parametrize(
    ("rule", "more", "message"),
    [
        (FITTED, (CALIBRATION,), "the alpha rule needs acceptable_chance_ratio"),
        (
            FITTED + CHANCE + "alpha_ratio = 0.8\n",
            (CALIBRATION,),
            "the alpha rule takes no alpha_ratio; allow for forecast error once",
        ),
        (
            FITTED + CHANCE,
            (),
            'decision.alpha = "fitted" needs [weather.calibration] with the file of glasshaul calibrate',
        ),
        (ALPHA, (CALIBRATION,), TWICE),
        (
            COUNTED + CHANCE + 'alpha = "fitted"\n',
            (CALIBRATION,),
            "the ensemble rule takes no alpha; allow for forecast error once",
        ),
        (FITTED.replace("fitted", "guessed") + CHANCE, (), "input should be 'fitted' (got 'guessed')"),
    ],
)
def test_forecast_error_is_allowed_for_once(
    tmp_path: Path, rule: str, more: tuple[tuple[str, str], ...], message: str
) -> None:
    assert message in refused(tmp_path, (ENSEMBLE, rule), *more)


@pytest.mark.parametrize(
    ("pattern", "new", "message"),
    [
        (r"^duration_h = 1.5\n", "", "a stand stage needs duration_h"),
        (
            r"^duration_h = 1.5\n",
            "duration_h = 1.5\ncontingency_ratio = 0.5\n",
            "a stand stage takes no contingency_ratio",
        ),
        (r"^contingency_ratio = 0.5.*\n", "", "a drive stage needs contingency_ratio"),
        (r"^contingency_ratio = 0.5", "duration_h = 2.0\ncontingency_ratio = 0.5", "a drive stage takes no duration_h"),
        (
            r"^contingency_ratio = 0.5",
            'cover = "off"\ngust_limit_mps = 5.0\ncontingency_ratio = 0.5',
            'the mirror is not driven without its cover; set cover = "on"',
        ),
        (
            r"^gust_limit_mps = 9.0.*\n",
            "",
            "a stage without the cover needs gust_limit_mps, from the plate of the lifting equipment",
        ),
        (
            r"^gust_limit_mps = 9.0",
            "measures_tension = true\ngust_limit_mps = 9.0",
            "no tension can be measured on a cover that is off",
        ),
        (
            r'^kind = "drive"',
            'kind = "stand"\nplace = "start"\nduration_h = 1.0\ncontingency_h = 0.0',
            "a stand stage takes no contingency_ratio",
        ),
        (
            r'^place = "end"',
            'place = "start"',
            "stage 'Park, chock and release' comes after the drive; its place is the end",
        ),
        (
            r'^name = "Park, chock and release"',
            'name = "Drive"',
            "two stages are called 'Drive'; give each its own name",
        ),
        (r"^members_count = 31.*\n", "", "the ensemble rule needs members_count"),
        (
            r"^members_count = 31",
            "alpha_ratio = 0.8\nmembers_count = 31",
            "the ensemble rule takes no alpha_ratio; allow for forecast error once",
        ),
        (
            r'^rule = "ensemble".*\n',
            ALPHA,
            (
                "the alpha rule takes no acceptable_chance_ratio and no confidence_ratio and no members_count; "
                "allow for forecast error once"
            ),
        ),
        (
            r"^mass_t = 31.0",
            "mass_t = 8.0",
            "the mirror (8.5 t) is not lighter than the unit of mirror, cell and carriage (8 t); weigh the unit",
        ),
        (r'^leg = "out"', 'leg = "back"', "input should be 'out' or 'return' (got 'back')"),
    ],
)
def test_each_refusal_in_full(tmp_path: Path, pattern: str, new: str, message: str) -> None:
    assert message in refused(tmp_path, (pattern, new))


def test_exactly_one_drive(tmp_path: Path) -> None:
    both = '[[stage]]\nname = "Back"\nkind = "drive"\ncontingency_ratio = 0.5\ndaylight = true\n\n[limits]'
    said = refused(tmp_path, (r"^\[limits\]", both))
    assert said == ["the stages hold 2 drives, allowed exactly 1; split it with hold points"]
