"""The verification of a move: its limit, its thresholds, its stake, and what it says of what it could not judge."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.skill.inputs import Stake, VerificationInputs
from transport.window.assess import move_of
from transport.window.inputs import Move
from transport.window.verification import Archived, defaults_taken, least_limit_mps, limit_told, verified

SAMPLE = Path(__file__).parents[3] / "samples" / "sheltered_morning" / "move.toml"
HOUR = np.timedelta64(1, "h")


@pytest.fixture(scope="module")
def move() -> Move:
    return move_of(SAMPLE)


def archive(members: int = 31, cases: int = 200) -> xr.Dataset:
    """Invented: every fifth hour is stormy, and half of the storms are foreseen."""
    rng = np.random.default_rng(5)
    storm = np.arange(cases) % 5 == 0
    foreseen = np.arange(cases) % 10 == 0
    gust = np.where(foreseen, 20.0, 6.0)[:, None] + rng.normal(0.0, 0.5, (cases, members))
    first = np.datetime64("2026-02-01T00:00", "ns")
    return xr.Dataset(
        {
            "forecast_gust_mps": (("case", "member"), gust),
            "observed_gust_mps": ("case", np.where(storm, 19.0, 5.0)),
            "lead_h": ("case", 1.0 + np.arange(cases) % 48),
            "wind_from_deg": ("case", np.full(cases, 200.0)),
            "time": ("case", first + np.arange(cases) * 30 * HOUR),
            "reference_time": ("case", first + np.arange(cases) * 30 * HOUR - HOUR),
        },
        {"member": np.arange(members)},
    )


def with_table(move: Move, **table: Any) -> Move:
    weather = move.weather.model_copy(update={"verification": VerificationInputs(**table)})
    return move.model_copy(update={"weather": weather})


def one_place(limit_mps: float) -> xr.Dataset:
    limits = np.array([[30.0, limit_mps], [0.0, 25.0]])
    names = np.array([["cover hem", "cover divergence"], ["road width", "cover fabric"]])
    place = ("station", "wind_from")
    return xr.Dataset({"gust_limit_mps": (place, limits), "governed_by": (place, names)})


def test_misses_of_the_limit_by_hand(move: Move) -> None:
    """40 storms, 20 foreseen, each more than a day from the next: 20 misses in 20 of 40 spells."""
    found = verified(move, Archived(archive()), 12.0)
    one = found.scores.sel(forecast_kind="raw", threshold=12.0).isel(lead_class=0)
    assert [int(one[name]) for name in ("event_count", "miss_count", "hit_count", "false_alarm_count")] == [
        40,
        20,
        20,
        0,
    ]
    assert [int(one[name]) for name in ("event_spell_count", "missed_spell_count")] == [40, 20]


def test_the_least_limit_is_that_of_road_and_stages(move: Move) -> None:
    """9 m/s: the crane's plate in the first stage of the sample; a closed place has no limit that a gust could pass."""
    assert least_limit_mps(one_place(14.0), move) == 9.0
    assert least_limit_mps(one_place(7.5), move) == 7.5


def test_the_owner_of_the_least_limit_is_named(move: Move) -> None:
    """A crew that reads of 9 m/s must see that it is the crane's and not the road's."""
    said = "The least gust limit of the move, {} m/s, is that of {}."
    assert list(limit_told(one_place(14.0), move)) == [said.format("9.0", "stage 'Lift onto the trailer'")]
    assert list(limit_told(one_place(7.5), move)) == [said.format("7.5", "cover divergence")]
    assert not list(limit_told(one_place(np.nan), move))


def test_an_unknown_limit_is_unknown(move: Move) -> None:
    assert np.isnan(least_limit_mps(one_place(np.nan), move))
    bare = with_table(move)
    with pytest.raises(
        InputError, match=r"weather\.verification\.thresholds_mps: the move has no gust limit that is known"
    ):
        verified(bare, Archived(archive()), np.nan)
    stated = verified(with_table(move, thresholds_mps=(8.0,)), Archived(archive()), np.nan)
    assert stated.scores["threshold"].values.tolist() == [8.0]
    assert any("The least gust limit of the move is not known" in one for one in stated.remarks)


def test_limit_and_thresholds_are_scored_together(move: Move) -> None:
    found = verified(with_table(move, thresholds_mps=(8.0, 15.0)), Archived(archive()), 12.0)
    assert found.scores["threshold"].values.tolist() == [8.0, 12.0, 15.0]


def test_the_stake_gives_its_ratio_and_the_stricter_cap(move: Move) -> None:
    """Cap of the table 2 %, acceptable chance of the sample 10 %: the lower one holds."""
    stake = Stake(cost=1500.0, loss=1e5, currency="EUR", cap_ratio=0.02)
    found = verified(with_table(move, stake=stake), Archived(archive()), 12.0)
    assert found.currency == "EUR"
    assert found.scores.attrs["cap_ratio"] == 0.02
    assert 0.015 in found.scores["cost_ratio"].values
    assert found.scores["stake_expense"].sel(forecast_kind="raw", threshold=12.0) == pytest.approx(
        (20 * 1500.0 + 20 * 1e5) / 200
    )
    loose = Stake(cost=1500.0, loss=1e5, currency="EUR", cap_ratio=0.4)
    assert verified(with_table(move, stake=loose), Archived(archive()), 12.0).scores.attrs["cap_ratio"] == 0.1


def test_few_members_and_few_pairs_are_said(move: Move) -> None:
    found = verified(move, Archived(archive(members=7, cases=12), remarks=("more",)), 12.0)
    said = " ".join(found.remarks)
    assert "Too few pairs: 12 can be scored, at least 30 are needed" in said
    assert "The archive holds 7 members, the forecast of the move has 31" in said
    assert "With 7 members the rule of the move would never go" in said
    assert found.remarks[-1] == "more"


def test_calibrated_members_stand_beside_the_raw_ones(move: Move) -> None:
    raw = archive()
    lifted = raw.assign(forecast_gust_mps=raw["forecast_gust_mps"] + 7.0)
    found = verified(move, Archived(raw, lifted), 12.0).scores.sel(threshold=12.0).isel(lead_class=0)
    assert found["miss_count"].sel(forecast_kind="raw") == 20
    assert found["miss_count"].sel(forecast_kind="calibrated") == 0


def test_the_fitted_error_follows_the_cases_that_are_left(move: Move) -> None:
    """The first case cannot be scored; the allowance of the others must not slip by one."""
    raw = archive()
    raw["observed_gust_mps"][0] = np.nan
    decision = {"rule": "alpha", "alpha": "fitted", "acceptable_chance_ratio": 0.05, "control_realization": 0}
    fitted = move.model_copy(update={"decision": type(move.decision).model_validate(decision)})
    error = np.where(raw["observed_gust_mps"].values > 12.0, 12.0, 0.0)
    found = verified(fitted, Archived(raw, raw, error), 12.0).scores.sel(threshold=12.0).isel(lead_class=0)
    assert found["miss_count"].sel(forecast_kind="calibrated") == 0
    assert found["false_alarm_count"].sel(forecast_kind="calibrated") == 0
    assert found["miss_count"].sel(forecast_kind="raw") == 20


def test_defaults_of_a_table_that_is_not_there_are_told(move: Move) -> None:
    fields = [one.field for one in defaults_taken(move)]
    assert "weather.verification.lead_edges_h" in fields
    assert [one.field for one in defaults_taken(with_table(move))].count("weather.verification.lead_edges_h") == 1
