"""The driver's orders as tables."""

from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports.stretches import hold_listing, stretch_listing


def test_a_stretch_row(result: Assessment) -> None:
    row = stretch_listing(result).rows[2]
    assert row[:8] == ("3", "Hairpins", "2400 m", "3000 m", "2.0 km/h", "down 11.7 %", "R 18 m", "12.1 m/s")


def test_a_straight_stretch(result: Assessment) -> None:
    assert stretch_listing(result).rows[0][6] == "straight"


def test_unknown_limit_names_no_wind(result: Assessment) -> None:
    orders = result.orders.assign(gust_limit_mps=result.orders["gust_limit_mps"] * np.nan)
    assert stretch_listing(replace(result, orders=orders)).rows[0][7:9] == ("unknown", "-")


def test_hold_points_tell_when_to_go_on(result: Assessment) -> None:
    assert hold_listing(result).rows == (("H1", "Lay-by below the hairpins", "2400 m", "0.5 h", "10.8 m/s"),)
    assert hold_listing(result).note == (
        "The limit to go on is lower than the limit of the stretch where the wind ahead is stronger than at the hold "
        "point: it is measured at the hold point, and is the limit ahead divided by the relief ahead."
    )
