"""One code or several: the strictest governs, in whatever order they are named."""

from collections.abc import Callable
from itertools import permutations
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from shared.calculation import lines_of
from shared.tables import ledger
from transport.load_cases.statutory import NAME
from transport.securing.inputs import Chain, Contact, Securing

Run = Callable[..., xr.Dataset]
ALL = ("EN 12195-1", "CTU Code", "49 CFR 393")
FEW = settings(
    max_examples=4,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def by(*codes: str, divisor: float = 1.5) -> Securing:
    return Securing(code=codes, capacity_divisor=divisor, unit_length_m=5.0)


def use(result: xr.Dataset) -> float:
    """Utilisation of LC1, which is the same all along the road."""
    found = result["utilisation_ratio"].sel(limit_state=NAME).values
    assert (found == found[0]).all()
    return float(found[0])


@pytest.fixture(scope="module")
def kept() -> dict[tuple[Any, ...], xr.Dataset]:
    return {}


@pytest.fixture
def judged(run: Run, contacts: list[Contact], kept: dict[tuple[Any, ...], xr.Dataset]) -> Run:
    """The assessment without stops, so that the chains decide, kept for tests that ask again."""

    def go(*codes: str, stops: bool = False) -> xr.Dataset:
        key = (*codes, stops)
        if key not in kept:
            taken = contacts if stops else contacts[:4]
            kept[key] = run(securing=by(*codes), contacts=taken)
        return kept[key]

    return go


def test_rows_of_every_code_the_strictest_first(judged: Run) -> None:
    result = judged(*ALL)
    rows = result["code_use_ratio"].values
    assert len(rows) == 4 + 4 + 8
    assert (np.diff(rows) <= 0.0).all()
    assert set(zip(result["code_name"].values, result["code_level"].values, strict=True)) == {
        ("EN 12195-1", "LC / 1.5"),
        ("CTU Code", "MSL / 1.5"),
        ("49 CFR 393", "breaking strength"),
        ("49 CFR 393", "WLL"),
    }
    assert use(result) == max(rows.max(), result["counting_use_ratio"].values.max())
    weight_kN = 31.5 * 9.81
    slides = result["code_sliding_ratio"] * weight_kN / result["code_sliding_kN"]
    tips = result["code_tipping_ratio"] * weight_kN / result["code_tipping_kN"]
    assert result["code_use_ratio"].values == pytest.approx(np.maximum(slides, tips).values)
    assert (result["code_frictionless_use_ratio"] > slides).all()


def test_the_clause_names_the_codes_and_the_first_line_the_strictest(judged: Run) -> None:
    result = judged(*ALL)
    clause = str(result["clause"].sel(limit_state=NAME).values)
    assert all(words in clause for words in ("EN 12195-1:2010", "CTU Code 2014", "49 CFR 393.102(a)(1)", "(a)(2)"))
    first = str(result["code_name"].values[0])
    assert clause.startswith(first)
    line = next(line for line in lines_of(result) if line.check == NAME)
    assert f"{first}, {result['code_level'].values[0]}" in line.title


def test_counting_rules_only_by_the_united_states(judged: Run) -> None:
    assert "counting_use_ratio" not in judged("EN 12195-1")
    result = judged("49 CFR 393")
    assert result["counting_needed"].values == pytest.approx([15_750.0, 0.2 * 31.5 * 9.81, 4.0])
    assert result["counting_provided"].values[2] == 8.0
    assert result["chain_working_limit_kg"].values == pytest.approx(np.full(8, 80_000 / 9.81))
    assert result["chain_breaking_kN"].values == pytest.approx(np.full(8, 200.0))


def test_rearward_tipping_says_that_it_is_not_settled(judged: Run) -> None:
    result = judged("EN 12195-1")
    source = {
        str(d): str(s) for d, s in zip(result["code_direction"].values, result["code_source"].values, strict=True)
    }
    assert "tipping rearward is not settled" in source["rearward"]
    assert "not settled" not in source["to the left"]


@pytest.mark.parametrize("more", [("CTU Code",), ("49 CFR 393",), ("CTU Code", "49 CFR 393")])
@pytest.mark.parametrize("stops", [True, False])
def test_adding_a_code_never_lowers_the_use(judged: Run, more: tuple[str, ...], stops: bool) -> None:
    assert use(judged("EN 12195-1", *more, stops=stops)) >= use(judged("EN 12195-1", stops=stops))
    assert use(judged("EN 12195-1", *more, stops=stops)) == max(
        use(judged(code, stops=stops)) for code in ("EN 12195-1", *more)
    )


def test_the_order_of_the_codes_does_not_matter(judged: Run) -> None:
    first = judged(*ALL)
    for order in list(permutations(ALL))[1:3]:
        other = judged(*order)
        assert set(other["code_row"].values) == set(first["code_row"].values)
        assert other["code_use_ratio"].values == pytest.approx(first["code_use_ratio"].values)
        assert use(other) == use(first)
        assert (other["gust_limit_mps"] == first["gust_limit_mps"]).all()


def test_the_ctu_code_by_road_is_as_strict_as_en_12195(judged: Run) -> None:
    """MSL is the same number as LC for chains (CSS Code annex 13, read), and the coefficients by road are the same."""
    assert use(judged("CTU Code")) == use(judged("EN 12195-1"))


def test_the_divisor_is_not_part_of_the_federal_rows(run: Run, contacts: list[Contact], judged: Run) -> None:
    """They compare with their own limits; operation, earthquake and a lost chain keep LC over the divisor."""
    other = run(securing=by("49 CFR 393", divisor=2.0), contacts=contacts[:4])
    assert use(other) == use(judged("49 CFR 393"))
    assert (other["utilisation_ratio"][1] > judged("49 CFR 393")["utilisation_ratio"][1]).all()


def test_forces_on_working_load_limits_are_stricter_than_on_breaking_strength(judged: Run) -> None:
    """Rearward 0.5 g counts at both levels; Quebec r.30 s.3 (read) asks 0.8 g of working load limits: stricter."""
    result = judged("49 CFR 393")
    rows = list(zip(result["code_level"].values, result["code_direction"].values, strict=True))
    held = dict(zip(rows, result["code_sliding_kN"].values, strict=True))
    used = dict(zip(rows, result["code_use_ratio"].values, strict=True))
    assert used["WLL", "rearward"] > used["breaking strength", "rearward"]
    assert 0.8 / held["WLL", "forward"] > 0.8 / held["breaking strength", "forward"]


@FEW
@given(part=st.floats(0.3, 1.0), number=st.integers(0, 7))
def test_a_weaker_chain_never_lowers_the_use(
    run: Run, judged: Run, chains: list[Chain], contacts: list[Contact], part: float, number: int
) -> None:
    weaker = [*chains]
    weaker[number] = chains[number].model_copy(update={"lc_kN": 160.0 * part})
    result = run(securing=by(*ALL), chains=weaker, contacts=contacts[:4])
    assert use(result) >= use(judged(*ALL)) - 1e-9
    assert (result["counting_use_ratio"] >= judged(*ALL)["counting_use_ratio"] - 1e-9).all()


@pytest.mark.parametrize(
    ("capacity_kN", "length_m", "needed"), [(250.0, 12.0, 4.0), (50.0, 12.0, 5.0), (0.0, 12.0, 5.0)]
)
def test_blocked_ahead_needs_a_stop_that_holds_alone(
    run: Run, contacts: list[Contact], capacity_kN: float, length_m: float, needed: float
) -> None:
    """12.0 m: four tiedowns if blocked ahead, else five (393.110, secondary texts, CV19)."""
    stops = [c.model_copy(update={"capacity_kN": capacity_kN}) for c in contacts[4:]] if capacity_kN else []
    securing = Securing(code="49 CFR 393", unit_length_m=length_m)
    result = run(securing=securing, contacts=[*contacts[:4], *stops])
    assert result["counting_needed"].values[2] == needed


def test_too_few_tiedowns_close_the_road(run: Run, chains: list[Chain]) -> None:
    few = run(securing=by("49 CFR 393"), chains=chains[2:5])
    assert (few["gust_limit_mps"].sel(limit_state=NAME) == 0.0).all()
    assert few["counting_use_ratio"].values[2] == pytest.approx(4 / 3)


def test_numbers_from_memory_are_listed_with_the_ctu_code_only(run: Run) -> None:
    for codes, told in ((("EN 12195-1",), False), (("EN 12195-1", "CTU Code"), True)):
        with ledger() as used:
            run(securing=by(*codes))
        memory = {entry.name for entry in used if entry.status == "memory"}
        assert ("securing_acceleration_ctu" in memory) == told
