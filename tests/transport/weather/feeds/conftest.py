"""A station, feeds that speak for it, and files put beside the test."""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from transport.weather.feeds.inputs import Feed, Station

CHECKS = Path(__file__).parents[3] / "published" / "weather_codes.csv"
DATA = Path(__file__).parents[3] / "data"


def feed_of(kind: str, role: str = "observation", height_m: float = 10.0, **more: Any) -> Feed:
    station = Station(
        name="Low shelf",
        longitude_deg=-12.34,
        latitude_deg=12.34,
        elevation_m=1980.0,
        height_m=height_m,
        valid_within_km=25.0,
        identifier="YUDO",
    )
    return Feed.model_validate({"path": "s.txt", "role": role, "format": kind, "station": station, **more})


@pytest.fixture
def place() -> Callable[..., Feed]:
    return feed_of


@pytest.fixture
def put(tmp_path: Path) -> Callable[[str | bytes], Path]:
    def written(text: str | bytes) -> Path:
        path = tmp_path / "s.txt"
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    return written


@pytest.fixture(scope="session")
def checks() -> list[dict[str, str]]:
    with CHECKS.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.fixture(scope="session")
def data() -> Path:
    return DATA
