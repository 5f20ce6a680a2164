"""The securing alone, in short, with every number in its record."""

import json

import pytest
import xarray as xr

from shared.assessment import Assessment
from transport.reports.extracts import Extract
from transport.reports.record import explained
from transport.reports.securing_part import securing_extract


@pytest.fixture
def named(result: Assessment) -> xr.Dataset:
    return result.road.assign(section_name=("part", ["Gate", "Long climb", "Saddle", "Hall"]))


def limited(result: Assessment) -> dict[str, xr.Dataset]:
    """The checks with the limits that stand in the rose."""
    made = {}
    for name, check in result.checks.items():
        rows = result.rose.sel(limit_state=check["limit_state"].values)
        parts = {"gust_limit_mps": rows["gust_limit_by_state_mps"], "clause": rows["clause"], "remedy": rows["remedy"]}
        made[name] = check.assign(parts)
    return made


def made(result: Assessment, named: xr.Dataset, **attrs: str) -> Extract:
    checks = limited(result)
    checks["trailer"] = checks["trailer"].assign_attrs(attrs)
    return securing_extract(checks, named, result.move, result.provenance)


def test_tables_in_the_order_of_the_sheet(result: Assessment, named: xr.Dataset) -> None:
    titles = [listing.title for listing in made(result, named).listings]
    assert titles[0] == "Verdict by load case and limit state"
    assert titles[1:4] == [
        "Codes, strictest first: coefficient c, resistance R in kN against sliding and tipping, use",
        "Counting rules",
        "Usable resistance on a level deck",
    ]
    assert [title for title in titles[4:8] if title] == [
        "Utilisation with one member lost, still air, divisor 1",
        "Movement under the worst push",
        "Pressure of one hydraulic group lost",
    ]


def test_findings_of_the_checks_are_printed(result: Assessment, named: xr.Dataset) -> None:
    said = made(result, named, remarks='["tyre pressure taken"]').sentences
    assert "tyre pressure taken" in said
    assert "Strictest code: CTU Code forward, on LC / 1.5, use 0.79." in said
    assert any(line.startswith("4 numbers used are not confirmed") for line in said)


def test_the_record_holds_every_number_of_the_sheet_and_explains_its_nulls(
    result: Assessment, named: xr.Dataset
) -> None:
    found = explained(made(result, named).record)
    json.dumps(found, allow_nan=False)
    held = found["checks"]["securing"]["variables"]
    check = result.checks["securing"]
    assert {name for name in check.data_vars if "station" not in check[name].dims} <= set(held)
    assert found["checks"]["trailer"]["variables"]["group_lost_ratio"]["values"][0] is None
    where = {"field": "checks.trailer.variables.group_lost_ratio.values[0]", "reason": "infinite"}
    assert where in found["nulls"]
    assert found["chain_schedule"][0]["rows"][0]["weakest part"] == "LC of the chain"
