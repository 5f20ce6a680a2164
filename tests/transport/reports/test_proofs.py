"""Equilibrium, movement and losses."""

import numpy as np
import pytest
import xarray as xr

from shared.assessment import Assessment
from transport.reports import proofs, slides


@pytest.fixture
def check(result: Assessment) -> xr.Dataset:
    return result.checks["securing"]


def test_forces_and_residuals_are_those_of_the_dataset(check: xr.Dataset) -> None:
    pushes, tensions, contacts, residuals = proofs.balance_listings(check)
    assert pushes.rows[1] == ("securing operation (LC2)", "210", "-5", "303.1")
    assert tensions.columns == ("chain", "LC1", "LC2", "LC3", "LC4")
    assert tensions.rows[0] == ("C1", "10", "18", "26", "34")
    assert contacts.rows[0][:3] == ("pad front left", "5; -2; 70", "6; -3; 71")
    assert residuals.rows[0] == ("securing statutory (LC1)", "0.000", "0.000")
    assert proofs.balance_remarks(check) == ()


def test_a_push_that_no_set_holds_is_not_called_unknown(check: xr.Dataset) -> None:
    gap = {name: check[name].copy() for name in ("admissible_tension_kN", "admissible_contact_kN")}
    for values in gap.values():
        values.loc[{"limit_state": check["limit_state"][1]}] = np.nan
    _, tensions, contacts, _ = proofs.balance_listings(check.assign(gap))
    assert tensions.rows[0] == ("C1", "10", "no set", "26", "34")
    assert contacts.rows[0][2] == "no set holds this push"
    pushed = check["push_ahead_kN"].copy()
    pushed[1] = np.nan
    lost = proofs.balance_listings(check.assign(gap | {"push_ahead_kN": pushed}))
    assert lost[1].rows[0][2] == "unknown" and lost[2].rows[0][2] == "unknown; unknown; unknown"


def test_the_sets_are_named_one_of_many_and_the_lost_member_told(check: xr.Dataset) -> None:
    assert proofs.balance_sentence(check) == (
        "One possible set of forces for each load case, not a prediction; LC4: with anchor of C1, C5 lost."
    )
    assert proofs.balance_sentence(xr.Dataset()).endswith("not a prediction.")


def test_residuals_by_axis_show_the_largest(check: xr.Dataset) -> None:
    by_axis = xr.DataArray([[0.0, -0.3, 0.1]] * 4, dims=("limit_state", "axis"))
    assert proofs.balance_listings(check.assign(residual_kN=by_axis))[3].rows[0][1] == "0.300"


def test_movement_against_what_is_allowed(check: xr.Dataset) -> None:
    assert slides.movement_listing(check).rows[2] == ("securing earthquake (LC3)", "17.4", "20.0", "yes")
    tight = check.assign_attrs(allowed_movement_m=0.01)
    assert [row[3] for row in slides.movement_listing(tight).rows] == ["yes", "yes", "NO", "yes"]
    assert slides.slide_sentence(tight) == "Greatest slide: 17.4 mm, LC3; allowed 10.0 mm, more than allowed."


def test_an_unknown_slide_is_never_within(check: xr.Dataset) -> None:
    gap = check.assign(movement_m=check["movement_m"] * np.nan)
    assert {row[3] for row in slides.movement_listing(gap).rows} == {"unknown"}
    assert "not known to be within it" in slides.slide_sentence(gap)
    bare = check.assign_attrs(allowed_movement_m=np.nan)
    assert {row[3] for row in slides.movement_listing(bare).rows} == {"unknown"}


def test_the_greatest_slide_is_that_of_any_direction_of_a_code(check: xr.Dataset) -> None:
    """A stop that holds alone leaves no way; where none does, the slide on the chains counts, and may have no end."""
    rows = check.sizes["code_row"]
    needed, borne = np.full(rows, 80.0), np.full(rows, 100.0)
    borne[1], slide = 0.0, np.full(rows, 0.012)
    slide[1] = 0.019
    given = {"code_stop_needed_kN": needed, "code_stop_kN": borne, "code_slide_m": slide}
    known = check.assign({name: ("code_row", values) for name, values in given.items()})
    table = slides.code_slide_listing(known)
    assert [row[4:7] for row in table.rows[:2]] == [("0.0", "12.0", "20.0"), ("19.0", "19.0", "20.0")]
    name = f"{known['code_name'].values[1]} {known['code_direction'].values[1]}"
    assert slides.slide_sentence(known) == f"Greatest slide: 19.0 mm, {name}; allowed 20.0 mm, within it."
    slide[1] = np.inf
    endless = check.assign({name: ("code_row", values) for name, values in given.items()})
    assert "without end" in slides.slide_sentence(endless) and "more than allowed" in slides.slide_sentence(endless)
    assert slides.code_slide_listing(endless).rows[1][-1] == "NO"


def test_the_worst_loss_is_named(check: xr.Dataset) -> None:
    table = proofs.loss_listing(check)
    assert table.columns == ("lost", "LC1", "LC3", "LC4", "LC4 holds")
    assert table.rows[2] == ("anchor of C1, C5", "0.97", "0.83", "0.47", "yes")
    name = "anchor of C1, C5, utilisation"
    assert table.note.startswith(f"Worst loss: {name} 0.47 in LC4; over all cases {name} 0.97 in LC1.")


def test_an_unknown_loss_comes_before_the_worst(check: xr.Dataset) -> None:
    values = check["redundancy_ratio"].copy()
    values[1, 2] = np.nan
    table = proofs.loss_listing(check.assign(redundancy_ratio=values))
    assert table.rows[1][2:] == ("unknown", "0.38", "yes")
    assert "chain C5, utilisation unknown in LC3" in table.note


def test_hydraulic_groups(result: Assessment) -> None:
    rows = proofs.group_listing(result.checks["trailer"]).rows
    assert rows[0][:3] == ("front left", "9150", "does not stand")
    assert rows[1][:3] == ("front right", "9150", "1.31")
    older = xr.Dataset({"stability_angle_group_lost_deg": ("group", [0.0])}, {"group": ["all"]})
    assert proofs.group_listing(older).rows == ()


def test_an_older_result_says_what_it_lacks() -> None:
    bare = xr.Dataset()
    assert proofs.balance_listings(bare) == []
    assert slides.movement_listing(bare).rows == proofs.loss_listing(bare).rows == proofs.group_listing(bare).rows == ()
    assert len(proofs.balance_remarks(bare)) == 1 and len(proofs.loss_remarks(bare, bare)) == 2
    assert "not in this result" in proofs.worst_loss(bare) and "not in this result" in slides.slide_sentence(bare)
    older = xr.Dataset({"lost_member": ("limit_state", ["none", "C3"])}, {"limit_state": ["a", "b"]})
    assert proofs.worst_loss(older) == "Worst loss: C3."
