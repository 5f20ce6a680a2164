"""From a file to a checked survey: what a line of points must not be, word for word."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from routes import survey
from shared.errors import InputError

Straight = tuple[np.ndarray, np.ndarray]


def straight(count: int = 10, step_m: float = 5.0) -> Straight:
    x_m = step_m * np.arange(count)
    return np.column_stack([x_m, np.zeros(count)]), 100.0 + 0.05 * x_m


@pytest.fixture
def read(tmp_path: Path, make_route: Callable[..., Any]) -> Callable[..., survey.Survey]:
    def run(text: str, **changes: Any) -> survey.Survey:
        path = tmp_path / f"road.{changes.get('format', 'csv')}"
        path.write_text(text, encoding="utf-8")
        return survey.read(path, make_route(**changes))

    return run


def refusal_of(read: Callable[..., survey.Survey], text: str, **changes: Any) -> str:
    with pytest.raises(InputError) as refusal:
        read(text, **changes)
    return str(refusal.value)


def test_a_survey_carries_its_accuracy(
    read: Callable[..., survey.Survey], csv_text: Callable[..., str]
) -> None:
    found = read(csv_text(*straight()))
    assert (found.sigma_xy_m, found.sigma_z_m) == (0.02, 0.02)
    assert (found.crs, found.height_type) == ("EPSG:32727", "orthometric")
    assert found.surface == ("asphalt",) * 10
    assert found.latitude_deg.min() == pytest.approx(-38.5, abs=0.02)


def test_csv_and_gpx_of_the_same_points_agree(
    read: Callable[..., survey.Survey], csv_text: Callable[..., str], gpx_text: Callable[..., str]
) -> None:
    one = read(csv_text(*straight()))
    other = read(gpx_text(*straight()), format="gpx", crs="EPSG:4326")
    assert other.longitude_deg == pytest.approx(one.longitude_deg, abs=2e-9)
    assert other.latitude_deg == pytest.approx(one.latitude_deg, abs=2e-9)
    assert other.elevation_m == pytest.approx(one.elevation_m)


def broken(plan_m: np.ndarray, elevation_m: np.ndarray, index: int, **change: float) -> Straight:
    plan_m, elevation_m = plan_m.copy(), elevation_m.copy()
    plan_m[index] += change.get("x", 0.0), change.get("y", 0.0)
    elevation_m[index] += change.get("z", 0.0)
    return plan_m, elevation_m


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (straight(4), "road.csv: has 4 points, at least 5 are needed"),
        (
            broken(*straight(), 4, x=-5.0, z=-0.25),
            "road.csv:6: is the same place as the point before; delete one",
        ),
        (
            straight(10, 120.0),
            "\n".join(
                f"road.csv:{line}: lies 120.0 m from the point before, allowed up to 100 m; survey the gap"
                for line in range(3, 12)
            ),
        ),
        (
            broken(*straight(), 9, y=2000.0),
            "road.csv:11: lies 2001 m from the point before: a wrong point, or its two coordinates swapped",
        ),
        (
            broken(*straight(), 9, z=24.0),
            (
                "road.csv:11: elevation_m: rises 24.25 m over 5.00 m, allowed 2.62 m; a wrong point, "
                "or orthometric and ellipsoidal heights mixed"
            ),
        ),
        (
            broken(*straight(), 5, x=-12.0),
            (
                "road.csv:6: the line turns by 180 degrees at this point, allowed up to 120; "
                "points out of order, "
                "or a wrong point\n"
                "road.csv:7: the line turns by 180 degrees at this point, allowed up to 120; points out of "
                "order, "
                "or a wrong point"
            ),
        ),
    ],
)
def test_what_is_not_one_line_is_refused(
    read: Callable[..., survey.Survey], csv_text: Callable[..., str], line: Straight, message: str
) -> None:
    assert refusal_of(read, csv_text(*line)) == message


def test_swapped_easting_and_northing_are_noticed(
    read: Callable[..., survey.Survey], csv_text: Callable[..., str]
) -> None:
    text = csv_text(*straight(5)).replace("easting_m,northing_m", "northing_m,easting_m")
    assert refusal_of(read, text) == (
        "road.csv:2: this and every other point lies outside the area of the coordinate system, "
        "-24 to -18 degrees east and -80 to 0 degrees north; are easting and northing swapped, "
        "or is the crs another one?"
    )


def test_published_refusals(
    tmp_path: Path, rows: Callable[[str], list[dict[str, str]]], make_route: Callable[..., Any]
) -> None:
    """FMT-1 and FMT-2: the field that is refused is named."""
    for row in rows("route_formats"):
        path = tmp_path / "road.gpx"
        points = "".join(
            f'<trkpt lat="{row["latitude"]}" lon="{row["longitude"]}">{row["elevation"]}</trkpt>'
            for _ in range(5)
        )
        head = '<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">'
        path.write_text(f"{head}<trk><trkseg>{points}</trkseg></trk></gpx>", encoding="utf-8")
        route = make_route(format="gpx", crs="EPSG:4326").model_copy(update={"crs": row["crs"]})
        with pytest.raises(InputError) as refusal:
            survey.read(path, route)
        assert [fault.field for fault in refusal.value.faults] == [row["field"]], row["id"]


def test_one_swapped_row_is_a_jump_or_out_of_the_area(read: Callable[..., survey.Survey]) -> None:
    rows = [f"{-21.3 + 5e-5 * i:.6f},-38.5,100" for i in range(6)]
    rows[3] = "-38.5,-21.3,100"
    text = "\n".join(["longitude_deg,latitude_deg,elevation_m", *rows])
    said = refusal_of(read, text, crs="EPSG:4326").splitlines()
    assert len(said) == 2
    assert said[0].startswith("road.csv:5: lies ")
    assert said[0].endswith(" m from the point before: a wrong point, or its two coordinates swapped")


@pytest.mark.parametrize(
    ("crs", "message"),
    [
        (
            "EPSG:9999",
            "route.crs: is EPSG:9999, not a known coordinate system; give the EPSG code of the survey",
        ),
        (
            "EPSG:4979",
            (
                "route.crs: is EPSG:4979 (WGS 84), which holds heights; give the horizontal system and "
                "height_type"
            ),
        ),
        (
            "EPSG:9707",
            (
                "route.crs: is EPSG:9707 (WGS 84 + EGM96 height), which holds heights; "
                "give the horizontal system "
                "and height_type"
            ),
        ),
        (
            "EPSG:5773",
            (
                "route.crs: is EPSG:5773 (EGM96 height), which holds heights; give the horizontal system and "
                "height_type"
            ),
        ),
        (
            "EPSG:2263",
            (
                "route.crs: is EPSG:2263 (NAD83 / New York Long Island (ftUS)), "
                "whose unit is the US survey foot; "
                "use a system in metres"
            ),
        ),
        (
            "EPSG:27572",
            (
                "route.crs: is EPSG:27572 (NTF (Paris) / Lambert zone II), "
                "which does not count from Greenwich; "
                "use one that does"
            ),
        ),
        (
            "EPSG:4978",
            "route.crs: is EPSG:4978 (WGS 84), neither a map grid nor longitude and latitude",
        ),
        (
            "EPSG:4326",
            "road.csv: route.crs: is EPSG:4326, so the columns must be longitude_deg and latitude_deg",
        ),
    ],
)
def test_a_coordinate_system_that_would_need_more_than_we_know_is_refused(
    read: Callable[..., survey.Survey], csv_text: Callable[..., str], crs: str, message: str
) -> None:
    """FMT-2: a height is never transformed without its grid, because no height is ever transformed."""
    assert refusal_of(read, csv_text(*straight()), crs=crs) == message


def test_longitudes_need_a_geographic_system(read: Callable[..., survey.Survey]) -> None:
    text = "longitude_deg,latitude_deg,elevation_m\n-21.3,-38.5,100\n"
    assert refusal_of(read, text) == (
        "road.csv: route.crs: is EPSG:32727, so the columns must be easting_m and northing_m"
    )


def test_noisy_points_are_not_taken_for_a_wrong_order(
    read: Callable[..., survey.Survey], csv_text: Callable[..., str]
) -> None:
    plan_m, elevation_m = straight(60, 2.0)
    noisy = plan_m + np.random.default_rng(1).normal(0.0, 1.0, plan_m.shape)
    assert read(csv_text(noisy, elevation_m), sigma_xy_m=1.0, sigma_z_m=1.0).elevation_m.size == 60


def test_across_the_antimeridian_distances_stay_small(read: Callable[..., survey.Survey]) -> None:
    lon = (np.array([179.9998, 179.99985, 179.9999, 179.99995, 180.0, 180.00005]) + 180.0) % 360.0 - 180.0
    text = "\n".join(["longitude_deg,latitude_deg,elevation_m", *(f"{x:.6f},-38.5,100" for x in lon)])
    assert read(text, crs="EPSG:4326").elevation_m.size == 6
