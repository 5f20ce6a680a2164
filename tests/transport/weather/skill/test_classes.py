"""Classes of lead, sectors of wind, spells of weather."""

import numpy as np
import pytest

from transport.weather.skill.classes import SECTORS, lead_class, lead_names, sector, spell

EDGES = (0.0, 6.0, 12.0)


def test_an_edge_belongs_to_the_class_that_ends_there() -> None:
    assert lead_names(EDGES) == ("0-6 h", "6-12 h", "other leads")
    assert lead_class(np.array([0.0, 6.0, 6.5, 12.0, 12.5, -1.0]), EDGES).tolist() == [0, 0, 1, 1, 2, 2]
    assert lead_class(np.array([3.0, 6.0, 7.0]), (6.0, 12.0)).tolist() == [1, 0, 0]


@pytest.mark.parametrize(
    ("deg", "name"), [(0.0, "N"), (360.0, "N"), (337.5, "N"), (22.4, "N"), (22.5, "NE"), (180.0, "S"), (315.0, "NW")]
)
def test_sectors_are_centred_on_their_names(deg: float, name: str) -> None:
    assert SECTORS[sector(np.array([deg]))[0]] == name


def test_an_unknown_direction_has_a_sector_of_its_own() -> None:
    assert sector(np.array([np.nan, 90.0])).tolist() == [8, 2]


def test_one_storm_is_one_spell_from_whatever_run() -> None:
    hour = np.timedelta64(1, "h")
    start = np.datetime64("2026-03-01T00:00", "ns")
    times = start + np.array([0, 5, 29, 53, 78, 5, 0]) * hour
    assert spell(times, 24.0).tolist() == [0, 0, 0, 0, 1, 0, 0]
    assert spell(times[:0], 24.0).size == 0
