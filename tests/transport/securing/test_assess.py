"""What the securing holds, as a Dataset."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from shared.tables import ledger
from transport.securing.assess import arrangement, assess
from transport.securing.capacity import MODELS

NODES = np.array([0.6, 1.0, 1.2])


def assessed(tables: SimpleNamespace) -> xr.Dataset:
    return assess(tables.unit, tables.chains, tables.contacts, tables.securing, vertical_ratio=NODES)


def changed(item: Any, **changes: Any) -> Any:
    return item.model_copy(update=changes)


def test_the_least_of_the_models_is_usable(tables: SimpleNamespace) -> None:
    held = assessed(tables)
    assert held["resistance_kN"].dims == ("model", "vertical_factor", "direction")
    assert list(held["model"].values) == list(MODELS)
    least = held["resistance_ratio"].min("model")
    assert held["usable_ratio"].values == pytest.approx(least.values)
    assert held["usable_ratio"].values == pytest.approx(held["usable_resistance_kN"].sel(vertical_factor=1.0) / 304.11)
    assert (held["usable_ratio"] <= held["upper_bound_ratio"] * (1 + 1e-9)).all()
    assert np.isfinite(held["lost_usable_resistance_kN"]).all()


def test_one_number_by_hand(tables: SimpleNamespace) -> None:
    """EN 12195-1 eq. 2 forward, friction 0.225 of the weight and a stop of 250 kN; eq. 6 where the stop is weaker."""
    along, steep = 2.0 / np.sqrt(4.8), 0.8 / np.sqrt(4.8)
    forward = {"model": MODELS[0], "vertical_factor": 1.0, "direction": 0.0}
    assert float(assessed(tables)["resistance_kN"].sel(forward)) == pytest.approx(0.225 * 304.11 + 250.0)
    tables.contacts = [changed(c, capacity_kN=60.0) if c.kind == "stop" else c for c in tables.contacts]
    by_chains_kN = 2 * 160 / 1.5 * (along + 0.225 * steep) + 0.225 * 304.11
    assert float(assessed(tables)["resistance_kN"].sel(forward)) == pytest.approx(by_chains_kN)


def test_a_stop_and_the_chains_never_add(tables: SimpleNamespace) -> None:
    """Each direction holds what the stops alone or the chains alone hold, the better of the two, also after a loss."""
    both = assessed(tables)
    slack = SimpleNamespace(**vars(tables) | {"chains": [changed(c, lc_kN=1.0, stf_kN=None) for c in tables.chains]})
    bare = SimpleNamespace(**vars(tables) | {"contacts": [c for c in tables.contacts if c.kind == "pad"]})
    for name in ("usable_resistance_kN", "lost_usable_resistance_kN"):
        alone = [assessed(one)[name].values for one in (slack, bare)]
        assert (both[name].values >= np.maximum(*alone) * (1 - 1e-6)).all()
    sliding = {"model": [MODELS[0], MODELS[2], MODELS[3]]}
    alone = [assessed(one)["resistance_kN"].sel(sliding).min("model").values for one in (slack, bare)]
    found = both["resistance_kN"].sel(sliding).min("model").values
    assert found == pytest.approx(np.maximum(*alone), rel=1e-6)


def test_a_lost_chain_is_judged_with_its_whole_lc(tables: SimpleNamespace) -> None:
    tables.contacts = [c for c in tables.contacts if c.kind == "pad"]
    held = assessed(tables)["lost_resistance_kN"].sel(
        model=MODELS[0], vertical_factor=1.0, direction=0.0, loss="chain C3"
    )
    along, steep = 2.0 / np.sqrt(4.8), 0.8 / np.sqrt(4.8)
    assert float(held) == pytest.approx(160 * (along + 0.225 * steep) + 0.225 * 304.11)


def test_the_schedule_of_chains(tables: SimpleNamespace) -> None:
    held = assessed(tables)
    assert held["chain_length_m"].values[[0, 4]] == pytest.approx([np.sqrt(4.8), np.sqrt(1.49)])
    assert held["chain_vertical_angle_deg"].values[0] == pytest.approx(np.rad2deg(np.arcsin(0.8 / np.sqrt(4.8))))
    assert held["chain_plan_angle_deg"].values[0] == pytest.approx(np.rad2deg(np.arctan2(0.4, 2.0)))
    assert held["chain_capacity_kN"].values == pytest.approx(np.full(8, 160.0 / 1.5))


def test_a_weak_anchor_governs(tables: SimpleNamespace) -> None:
    tables.chains[0] = changed(tables.chains[0], anchor_rating_kN=90.0)
    assert assessed(tables)["chain_capacity_kN"].values[0] == pytest.approx(60.0)


def test_a_top_over_leg_counts_with_its_stf_and_without_a_tag_not_at_all(tables: SimpleNamespace) -> None:
    tables.chains[4] = changed(tables.chains[4], method="frictional", pair="T1", stf_kN=None)
    tables.chains[5] = changed(tables.chains[5], method="frictional", pair="T1", stf_kN=None)
    tables.chains[6] = changed(tables.chains[6], method="frictional", pair="T2")
    tables.chains[7] = changed(tables.chains[7], method="frictional", pair="T2")
    arranged = arrangement(tables.unit, tables.chains, tables.contacts, divisor_ratio=1.0)
    assert arranged.fixed_kN[4:] == pytest.approx([0.0, 0.0, 16.0 / 1.25, 16.0 / 1.25])
    assert arranged.capacity_kN[4:].tolist() == [0.0] * 4
    lost = assessed(tables)["lost_moment_resistance_kNm"].sel(vertical_factor=1.0)
    whole = lost.sel(loss="chain C1").values
    assert lost.sel(loss="chain C5, C6").values == pytest.approx(whole)
    assert lost.sel(loss="chain C7, C8").values[2] != pytest.approx(whole[2], rel=1e-3)


def test_a_broken_top_over_line_slackens_on_both_sides(tables: SimpleNamespace) -> None:
    """By hand to the side without stops: both legs press by mu 2 F sin(alpha), and both are lost together."""
    for number in (6, 7):
        tables.chains[number] = changed(tables.chains[number], method="frictional", pair="T1")
    tables.contacts = [c for c in tables.contacts if c.kind == "pad"]
    held = assessed(tables).sel(vertical_factor=1.0, direction=90.0)
    tables.chains = tables.chains[:6]
    without_line = assessed(tables).sel(vertical_factor=1.0, direction=90.0)
    intact = arrangement(tables.unit, tables.chains, tables.contacts, divisor_ratio=1.0)
    assert intact.line.tolist() == list(range(6))
    assert held["loss"].values.tolist()[-2:] == ["chain C6", "chain C7, C8"]
    press_kN = 0.225 * 2.0 * 16.0 / 1.25 / np.sqrt(1.49)
    intact_kN = held["resistance_kN"].sel(model=MODELS[0]) - without_line["resistance_kN"].sel(model=MODELS[0])
    assert float(intact_kN) == pytest.approx(press_kN)


def test_friction_published_for_dry_only_is_to_be_confirmed(tables: SimpleNamespace) -> None:
    dry = arrangement(tables.unit, tables.chains, tables.contacts, divisor_ratio=1.0)
    assert dry.friction_words == ", published for dry surfaces only: confirm that they are dry"
    for pair in ("sawn timber on grooved aluminium", "measured, tilt test of 2026-02-01"):
        wood = [changed(c, friction_pair=pair) if c.kind == "pad" else c for c in tables.contacts]
        assert arrangement(tables.unit, tables.chains, wood, divisor_ratio=1.0).friction_words == ""


def test_the_allowed_movement_limits_the_share(tables: SimpleNamespace) -> None:
    tables.contacts = [c for c in tables.contacts if c.kind == "pad"]
    held = assessed(tables)
    tables.unit = changed(tables.unit, allowed_movement_m=0.005)
    still = assessed(tables)
    elastic = {"model": "elastic share", "vertical_factor": 1.0}
    assert (still["resistance_kN"].sel(elastic) < held["resistance_kN"].sel(elastic)).all()


def test_pads_too_weak_for_the_shake_are_refused(tables: SimpleNamespace) -> None:
    tables.contacts = [changed(c, capacity_kN=80.0) if c.kind == "pad" else c for c in tables.contacts]
    with pytest.raises(InputError) as refusal:
        assessed(tables)
    assert str(refusal.value) == (
        "contact: the unit is not in equilibrium on its pads carrying 1.2 times its weight; give pads and deck more "
        "capacity_kN, or set the pads under the centre of mass"
    )


def test_tables_that_do_not_fit_are_refused(tables: SimpleNamespace) -> None:
    tables.chains[1] = changed(tables.chains[1], tag="C1")
    with pytest.raises(InputError, match="'C1' stands twice; give each chain its own tag"):
        assessed(tables)


def test_every_number_taken_is_on_record(tables: SimpleNamespace) -> None:
    with ledger() as used:
        assessed(tables)
    names = {entry.name for entry in used}
    assert {"securing_friction_conversion_ratio", "securing_gravity_mps2", "securing_chain_stiffness_kPa"} <= names
