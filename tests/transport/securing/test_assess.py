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
    """EN 12195-1 eq. 6 and 2 forward: two chains of LC / 1.5, friction 0.225 of the weight, a stop of 250 kN."""
    along, steep = 2.0 / np.sqrt(4.8), 0.8 / np.sqrt(4.8)
    hand_kN = 2 * 160 / 1.5 * (along + 0.225 * steep) + 0.225 * 304.11 + 250.0
    held = assessed(tables)["resistance_kN"].sel(model=MODELS[0], vertical_factor=1.0, direction=0.0)
    assert float(held) == pytest.approx(hand_kN)


def test_a_lost_chain_is_judged_with_its_whole_lc(tables: SimpleNamespace) -> None:
    held = assessed(tables)["lost_resistance_kN"].sel(model=MODELS[0], vertical_factor=1.0, direction=0.0, chain="C3")
    along, steep = 2.0 / np.sqrt(4.8), 0.8 / np.sqrt(4.8)
    assert float(held) == pytest.approx(160 * (along + 0.225 * steep) + 0.225 * 304.11 + 250.0)


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
    tables.chains[6] = changed(tables.chains[6], method="frictional")
    tables.chains[7] = changed(tables.chains[7], method="frictional", stf_kN=None)
    arranged = arrangement(tables.unit, tables.chains, tables.contacts, divisor_ratio=1.0)
    assert arranged.fixed_kN[6:] == pytest.approx([16.0 / 1.25, 0.0])
    assert arranged.capacity_kN[6:].tolist() == [0.0, 0.0]
    lost = assessed(tables)["lost_moment_resistance_kNm"].sel(vertical_factor=1.0)
    assert lost.sel(chain="C8").values == pytest.approx(lost.sel(chain="C1").values)
    assert lost.sel(chain="C7", axis="z").values != pytest.approx(lost.sel(chain="C1", axis="z").values, rel=1e-3)


def test_the_allowed_movement_limits_the_share(tables: SimpleNamespace) -> None:
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
