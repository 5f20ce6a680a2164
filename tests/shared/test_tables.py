"""Published numbers: read once, recorded when used, never extrapolated."""

import csv
import re
from pathlib import Path

import pytest

from shared import tables
from shared.errors import OutOfRangeError

FOLDER = Path(tables.FOLDER)


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of two published numbers and one table."""
    (tmp_path / "figures.csv").write_text(
        "name,value,unit,source,clause,status\ngravity,9.81,m s-2,EN 12195-1,4,memory\n", encoding="utf-8"
    )
    (tmp_path / "friction.csv").write_text(
        "# source: EN 12195-1:2010, annex B | status: read | key: EN12195\n"
        "pair,angle_deg,value_ratio\nwood,0,0.4\nsteel,10,0.2\n",
        encoding="utf-8",
    )
    monkeypatch.setattr(tables, "FOLDER", tmp_path)
    tables._read.cache_clear()
    tables._figures.cache_clear()
    yield tmp_path
    tables._read.cache_clear()
    tables._figures.cache_clear()


def test_use_is_recorded_only_inside_the_ledger(shelf: Path) -> None:
    tables.figure("gravity")
    with tables.ledger() as used:
        assert tables.figure("gravity") == 9.81
        assert tables.published("friction").row(pair="wood")["value_ratio"] == "0.4"
    assert used == {
        tables.Used("gravity", "9.81", "m s-2", "EN 12195-1, 4", "memory"),
        tables.Used("friction", "table", "", "EN 12195-1:2010, annex B", "read"),
    }


def test_interpolation_inside_and_refusal_outside(shelf: Path) -> None:
    table = tables.published("friction")
    assert float(table.interpolate("angle_deg", "value_ratio", 5.0)) == pytest.approx(0.3)
    with pytest.raises(
        OutOfRangeError,
        match=r"angle_deg = 11 lies outside 0 to 10, the range of friction \(EN 12195-1:2010, annex B\)",
    ):
        table.interpolate("angle_deg", "value_ratio", 11.0)
    with pytest.raises(OutOfRangeError, match="angle_deg = nan"):
        table.interpolate("angle_deg", "value_ratio", float("nan"))


def test_a_row_that_is_not_there_names_what_is(shelf: Path) -> None:
    with pytest.raises(OutOfRangeError, match="friction: 0 rows for ice; the table has wood; steel"):
        tables.published("friction").row(pair="ice")


def test_a_figure_nobody_published(shelf: Path) -> None:
    with pytest.raises(KeyError, match="no published figure is called luck"):
        tables.figure("luck")


def test_every_shipped_table_names_source_status_and_key() -> None:
    sources = (FOLDER / "SOURCES.md").read_text(encoding="utf-8")
    keys = set(re.findall(r"^- ([^:]+):", sources, flags=re.M))
    for file in sorted(FOLDER.glob("*.csv")):
        if file.name != "figures.csv":
            table = tables.published(file.stem)
            head = file.read_text(encoding="utf-8").splitlines()[0]
            assert table.rows, file.name
            assert head.split("key: ")[1] in keys, f"{file.name} cites a key that SOURCES.md lacks"


def test_every_shipped_figure_is_complete_and_named_once() -> None:
    with (FOLDER / "figures.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    names = [row["name"] for row in rows]
    assert len(names) == len(set(names))
    for row in rows:
        assert None not in row and None not in row.values(), row
        assert row["status"] in {"read", "memory", "practice", "own"}, row
        assert row["source"], row
        float(row["value"])
