"""The examples of the README: each loads through the models, and together they show every field of a feed."""

import json
import re
import tomllib
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from shared.inputs import Model
from transport.weather.feeds.inputs import Feed, Station
from transport.weather.feeds.stations.logger import Column, Logger
from transport.weather.inputs import Site, Weather
from transport.weather.skill.inputs import Stake, VerificationInputs
from transport.weather.skill.learning_inputs import Archive, CalibrationUse
from transport.window.inputs import Decision

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```toml\n(.*?)^```", README, flags=re.M | re.S)
TABLES = (Feed, Station, Logger, Column, Archive, CalibrationUse, VerificationInputs, Stake)


def sample() -> dict[str, Any]:
    move = tomllib.loads((ROOT / "samples" / "measured_winter" / "move.toml").read_text(encoding="utf-8"))
    return dict(move["weather"])


def site() -> dict[str, Any]:
    move = tomllib.loads((ROOT / "samples" / "measured_winter" / "move.toml").read_text(encoding="utf-8"))
    return dict(move["site"])


def weather(given: dict[str, Any]) -> dict[str, Any]:
    """The weather of the sample with the tables of one example; an empty observation stands for that of the sample."""
    base = sample()
    feeds = given.get("feed", [])
    kept = base["feed"] if all(feed["role"] != "forecast" for feed in feeds) else []
    merged = {**base, **given, "feed": [*kept, *feeds]}
    if not merged["archive"]["observation"]:
        merged["archive"]["observation"] = base["archive"]["observation"]
    return merged


@pytest.mark.parametrize("text", EXAMPLES, ids=lambda text: text.split("\n", 1)[0].partition("#")[0].strip())
def test_every_example_loads(text: str) -> None:
    given = tomllib.loads(text)
    assert set(given) <= {"weather", "decision", "site"}
    if "decision" in given:
        Decision.model_validate(given["decision"])
    if "site" in given:
        Site.model_validate_json(json.dumps(site() | given["site"]))
    if "weather" in given:
        Weather.model_validate_json(json.dumps(weather(given["weather"]), default=datetime.isoformat))


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_every_field_is_shown(table: type[Model]) -> None:
    shown = "\n".join(EXAMPLES)
    assert not [name for name in table.model_fields if not re.search(rf"\b{name}\b", shown)]
