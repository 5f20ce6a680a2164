"""Files put beside the test: feeds that speak for one place, and an invented ensemble as GRIB2.

The headers of the GRIB2 messages are set by the ecCodes library, from its own samples and short names.
"""

import csv
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import eccodes
import numpy as np
import pytest

from transport.weather.feeds.grib import fields as grib_fields
from transport.weather.feeds.grib.extract import Decoder
from transport.weather.feeds.inputs import Feed, Station

CHECKS = Path(__file__).parents[3] / "published" / "weather_codes.csv"
DATA = Path(__file__).parents[3] / "data"
ROWS, COLUMNS = 4, 5
STEPS_H = (*range(13), 15, 18, 21, 24)


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


@dataclass
class Grib:
    """An ensemble on the grid of the invented road: values by field, (member, step, row, column), rows northwards."""

    members: tuple[int, ...] = (0, 1, 2, 3, 4)
    steps_h: tuple[int, ...] = STEPS_H
    run: str = "2026-03-10T00:00"
    fields: dict[str, np.ndarray] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rng = np.random.default_rng(3)
        shape = (len(self.members), len(self.steps_h), ROWS, COLUMNS)
        smooth = 6.0 + 2.0 * np.sin(np.array(self.steps_h) / 4.0)[None, :, None, None] + rng.normal(0, 0.3, shape)
        turn = np.deg2rad(250.0 + rng.normal(0, 5.0, shape))
        rain = np.cumsum(np.maximum(rng.normal(0.0, 0.5, shape), 0.0), axis=1) / 1000.0
        self.fields |= {
            "10u": -smooth * np.sin(turn),
            "10v": -smooth * np.cos(turn),
            "10fg": 1.5 * smooth + 0.5,
            "2t": 281.0 + rng.normal(0, 0.3, shape),
            "2d": 276.0 + rng.normal(0, 0.3, shape),
            "sp": 78000.0 + rng.normal(0, 30.0, shape),
            "tp": rain - rain[:, :1],
            "vis": 20000.0 + rng.normal(0, 500.0, shape),
            "z": np.full(shape, 2100.0 * 9.80665),
        }

    def ranges_h(self, name: str) -> list[str]:
        """Step range of each step as the library takes it: gust since the step before, rain since the start."""
        starts = {"10fg": (0, *self.steps_h[:-1]), "tp": (0,) * len(self.steps_h)}.get(name, self.steps_h)
        return [f"{a}-{b}" if name in ("10fg", "tp") else f"{b}" for a, b in zip(starts, self.steps_h, strict=True)]

    def messages(self, **changes: Any) -> dict[tuple[str, int, int], bytes]:
        """One message for each (field, member, step); the gust has none at step 0, the ground only one."""
        made = {}
        for name, values in self.fields.items():
            for row, member in enumerate(self.members):
                for column, (step, span) in enumerate(zip(self.steps_h, self.ranges_h(name), strict=True)):
                    if (name == "10fg" and step == 0) or (name == "z" and (row or column)):
                        continue
                    one = message(name, values[row, column], span, member, run=self.run, **changes)
                    made[name, member, step] = one
        return made


def message(
    name: str, values: np.ndarray, span: str, member: int | None = 0, run: str = "2026-03-10T00:00", **changes: Any
) -> bytes:
    """One message; values (row, column) northwards and eastwards; changes: further keys of the library, in order."""
    handle = eccodes.codes_grib_new_from_samples("regular_ll_sfc_grib2")
    statistical = "-" in span
    template = (8 if statistical else 0) if member is None else (11 if statistical else 1)
    keys: dict[str, Any] = {
        "centre": "ecmf",
        "dataDate": int(run[:10].replace("-", "")),
        "dataTime": int(run[11:13]) * 100,
        "typeOfGeneratingProcess": 2 if member is None else 4,
        "productDefinitionTemplateNumber": template,
        **grid_keys(values.shape),
        "shortName": name,
        "productDefinitionTemplateNumber ": template,
        "stepRange": span,
        "bitsPerValue": 20,
    }
    if member is not None:
        keys |= {"typeOfEnsembleForecast": 1 if member == 0 else 3, "perturbationNumber": member}
        keys |= {"numberOfForecastsInEnsemble": 5}
    try:
        for key, value in [*keys.items(), *changes.items()]:
            eccodes.codes_set(handle, key.strip(), value)
        eccodes.codes_set_values(handle, values[::-1].ravel().astype(float))
        return bytes(eccodes.codes_get_message(handle))
    finally:
        eccodes.codes_release(handle)


def grid_keys(shape: tuple[int, ...]) -> dict[str, Any]:
    rows, columns = shape
    return {
        "Ni": columns,
        "Nj": rows,
        "latitudeOfFirstGridPointInDegrees": round(-38.65 + 0.1 * (rows - 1), 6),
        "latitudeOfLastGridPointInDegrees": -38.65,
        "longitudeOfFirstGridPointInDegrees": 338.45,
        "longitudeOfLastGridPointInDegrees": round(338.45 + 0.1 * (columns - 1), 6),
        "iDirectionIncrementInDegrees": 0.1,
        "jDirectionIncrementInDegrees": 0.1,
    }


@pytest.fixture
def ensemble() -> Grib:
    return Grib()


@pytest.fixture
def small() -> Grib:
    """Three members, four steps, the fields that matter most."""
    made = Grib(members=(0, 1, 2), steps_h=(0, 1, 2, 5))
    made.fields = {name: made.fields[name] for name in ("10u", "10v", "10fg", "tp", "z")}
    return made


@pytest.fixture(scope="session")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole ensemble as a file."""
    path = tmp_path_factory.mktemp("grib") / "forecast.grib2"
    path.write_bytes(b"".join(Grib().messages().values()))
    return path


@pytest.fixture
def make_grib() -> Callable[..., Grib]:
    return Grib


@pytest.fixture
def make_message() -> Callable[..., bytes]:
    return message


@pytest.fixture
def decoded_file() -> Iterator[Callable[[Path], Decoder]]:
    """Decode a file in this process."""

    def read(path: Path, limit_bytes: int = 10**9) -> Decoder:
        known = json.loads(json.dumps([grib_fields.as_json(rule) for rule in grib_fields.rules()]))
        decoder = Decoder(eccodes, known, limit_bytes)
        decoder.read(str(path))
        return decoder

    yield read
    eccodes.codes_grib_multi_support_off()


@pytest.fixture
def save(tmp_path: Path) -> Callable[..., Path]:
    """Write messages one after the other."""

    def written(messages: Any, name: str = "forecast.grib2") -> Path:
        path = tmp_path / name
        path.write_bytes(b"".join(messages.values() if isinstance(messages, dict) else messages))
        return path

    return written
