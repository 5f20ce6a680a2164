"""The driver's orders as tables of text: stretches of the road and hold points."""

import math

import numpy as np
import xarray as xr

from shared.assessment import Assessment
from transport.reports.listings import Listing
from transport.reports.notation import compass, down, gust, one_line, place, slope, up
from transport.reports.states import any_direction

__all__ = ["HOLD_NOTE", "hold_listing", "stretch_listing"]

HOLD_NOTE = (
    "The limit to go on is lower than the limit of the stretch where the wind ahead is stronger than at the hold "
    "point: it is measured at the hold point, and is the limit ahead divided by the relief ahead."
)


def stretch_listing(result: Assessment) -> Listing:
    """The stretches of the road, with speed, grade, bend and the least gust limit."""
    columns = (
        "no.",
        "stretch",
        "from",
        "to",
        "speed",
        "steepest",
        "tightest bend",
        "gust limit",
        "wind from",
        "governed by",
    )
    rows = tuple(
        (str(number), *_stretch_row(row, result.rose)) for number, row in enumerate(_orders(result, "stretch"), start=1)
    )
    return Listing("Stretches", columns, rows, frozenset((0, *range(2, 9))))


def hold_listing(result: Assessment) -> Listing:
    """The hold points, with the gust up to which the load may go on."""
    rows = tuple(
        (
            f"H{number}",
            one_line(row["stretch_name"].values),
            place(float(row["from_station_m"])),
            f"{up(float(row['wait_h']), 1)} h",
            gust(float(row["release_limit_mps"])),
        )
        for number, row in enumerate(_orders(result, "hold point"), start=1)
    )
    columns = ("no.", "hold point", "station", "wait", "go on only if the gust measured here stays within")
    return Listing("Hold points", columns, rows, frozenset((0, 2, 3)), HOLD_NOTE)


def _orders(result: Assessment, kind: str) -> list[xr.Dataset]:
    rows = (result.orders.isel(stretch=index) for index in range(result.orders.sizes.get("stretch", 0)))
    return [row for row in rows if str(row["kind"].values) == kind]


def _stretch_row(row: xr.Dataset, rose: xr.Dataset) -> tuple[str, ...]:
    def number(name: str) -> float:
        return float(row[name])

    radius = number("radius_min_m")
    limited = math.isfinite(number("gust_limit_mps")) and number("gust_limit_mps") > 0
    everywhere = any_direction(rose, number("from_station_m"), number("to_station_m"))
    wind = compass(math.nan if everywhere else number("wind_from_worst_deg"))
    bend = "straight" if np.isposinf(radius) else ("unknown" if np.isnan(radius) else f"R {down(radius, 0)} m")
    return (
        one_line(row["stretch_name"].values),
        place(number("from_station_m")),
        place(number("to_station_m")),
        f"{down(number('speed_kmh'))} km/h",
        slope(number("grade_max_ratio")),
        bend,
        gust(number("gust_limit_mps")),
        wind if limited else "-",
        one_line(row["governed_by"].values),
    )
