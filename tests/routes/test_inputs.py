"""The models of [route]: exactly as the samples state them, and every refusal word for word."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from routes.inputs import HoldPoint, Route, Section
from shared.errors import InputError
from shared.inputs import Model, load_toml

SAMPLES = Path(__file__).parents[2] / "samples"


class File(Model):
    """A file that holds the route only."""

    route: Route


ROUTE = """\
[route]
survey = "road.csv"
format = "csv"
crs = "EPSG:32727"
height_type = "orthometric"
sigma_xy_m = 0.02
sigma_z_m = 0.02
speed_kmh = 5.0
grade_limit_ratio = 0.14
side_clearance_m = 0.5
"""


def load(tmp_path: Path, text: str) -> Route:
    path = tmp_path / "move.toml"
    path.write_text(text, encoding="utf-8")
    return load_toml(path, File).route


@pytest.mark.parametrize("name", ["sheltered_morning", "windy_saddle"])
def test_the_samples_are_accepted_as_they_stand(name: str) -> None:
    data = tomllib.loads((SAMPLES / name / "move.toml").read_text(encoding="utf-8"))["route"]
    tuples: dict[str, Any] = {key: tuple(data.get(key, ())) for key in ("section", "hold_point")}
    route = Route.model_validate(data | tuples)
    assert all(isinstance(section, Section) for section in route.section)
    assert all(isinstance(point, HoldPoint) for point in route.hold_point)


def test_a_route_without_sections_is_complete(tmp_path: Path) -> None:
    route = load(tmp_path, ROUTE)
    assert route.section == ()
    assert route.hold_point == ()


SECTION = '[[route.section]]\nname = "{}"\nfrom_station_m = {}\nto_station_m = {}\n'
HOLD = '[[route.hold_point]]\nname = "{}"\nstation_m = {}\nwait_h = 1.0\n'


@pytest.mark.parametrize(
    ("added", "message"),
    [
        (
            SECTION.format("Gate", 200.0, 100.0),
            (
                "move.toml:11: route.section[0]: section 'Gate' runs from 200 to 100 m; "
                "to_station_m must be greater than from_station_m"
            ),
        ),
        (
            SECTION.format("Gate", 0.0, 100.0) + SECTION.format("Bend", 90.0, 200.0),
            (
                "move.toml:1: route: sections 'Gate' and 'Bend' overlap from 90 to 100 m; let one end where "
                "the next begins"
            ),
        ),
        (
            SECTION.format("Gate", 0.0, 100.0) + SECTION.format("Gate", 100.0, 200.0),
            "move.toml:1: route: section name 'Gate' is used 2 times; give each its own",
        ),
        (
            HOLD.format("Lay-by", 10.0) + HOLD.format("Lay-by", 20.0),
            "move.toml:1: route: hold point name 'Lay-by' is used 2 times; give each its own",
        ),
    ],
)
def test_what_contradicts_itself_is_refused(tmp_path: Path, added: str, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        load(tmp_path, ROUTE + added)
    assert str(refusal.value) == message


@pytest.mark.parametrize(
    ("line", "instead", "message"),
    [
        (
            'crs = "EPSG:32727"',
            'crs = "utm 27"',
            (
                "move.toml:4: route.crs: string should match pattern '^EPSG:\\d{4,6}$' (got 'utm 27'); "
                'write it as "EPSG:32727"'
            ),
        ),
        (
            'format = "csv"',
            'format = "gpx"',
            'move.toml:1: route: crs is EPSG:32727, but a GPX file is always WGS 84: set crs = "EPSG:4326"',
        ),
        (
            "grade_limit_ratio = 0.14",
            "grade_limit_ratio = 14.0",
            (
                "move.toml:9: route.grade_limit_ratio: input should be less than or equal to 0.3 (got 14.0); "
                "a ratio: write 0.12 for 12 %"
            ),
        ),
        (
            "sigma_z_m = 0.02",
            "sigma_z_m = 0.0",
            (
                "move.toml:7: route.sigma_z_m: input should be greater than or equal to 0.001 (got 0.0); "
                "standard deviation of a surveyed elevation"
            ),
        ),
        (
            "speed_kmh = 5.0",
            "speed_kmh = 40.0",
            (
                "move.toml:8: route.speed_kmh: input should be less than or equal to 10 (got 40.0); "
                "walking pace; this tool is for 0.5 to 10 km/h"
            ),
        ),
    ],
)
def test_a_value_outside_its_range_is_refused(tmp_path: Path, line: str, instead: str, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        load(tmp_path, ROUTE.replace(line, instead))
    assert str(refusal.value) == message


def test_sections_may_touch_and_hold_points_may_lie_anywhere(tmp_path: Path) -> None:
    added = (
        SECTION.format("Bend", 100.0, 200.0)
        + SECTION.format("Gate", 0.0, 100.0)
        + HOLD.format("Lay-by", 150.0)
    )
    route = load(tmp_path, ROUTE + added)
    assert [section.name for section in route.section] == ["Bend", "Gate"]
