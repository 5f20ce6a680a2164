"""The folder of results: for people and for machines, each file whole or not written at all."""

from pathlib import Path

from shared.assessment import Assessment
from shared.output import replacing, write_atomic
from transport.reports.archive import write_netcdf
from transport.reports.record import json_bytes
from transport.reports.spreadsheet import csv_bytes

__all__ = ["NAMES", "write"]

NAMES = ("assessment.json", "assessment.nc", "window.csv", "page.html", "calculation.pdf", "briefing.pdf")


def write(result: Assessment, folder: Path) -> tuple[Path, ...]:
    """Write all six files; the papers are made before anything is written, so that a fault leaves the folder alone."""
    from transport.reports.briefing import briefing
    from transport.reports.calculation import calculation
    from transport.reports.page import page

    made = {
        "assessment.json": json_bytes(result),
        "window.csv": csv_bytes(result),
        "page.html": page(result).encode(),
        "calculation.pdf": calculation(result),
        "briefing.pdf": briefing(result),
    }
    with replacing(folder / "assessment.nc") as draft:
        write_netcdf(result, draft)
    for name, content in made.items():
        write_atomic(folder / name, content)
    return tuple(folder / name for name in NAMES)
