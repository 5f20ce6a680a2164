"""The archive of a move: forecasts of the past and the mast, each read as a feed of the move would be."""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.folder import inside
from shared.tables import figure
from transport.weather.feeds import feed as feeds
from transport.weather.feeds.box import Box, box_of
from transport.weather.feeds.inputs import Feed
from transport.weather.skill.learning_inputs import Archive

__all__ = ["Found", "archive_of"]


class Found(NamedTuple):
    """Runs in the order of their files, the mast, and the files that were read, as the user would write them."""

    forecasts: tuple[xr.Dataset, ...]
    observation: xr.Dataset
    files: tuple[str, ...]


def archive_of(archive: Archive, forecast: Feed, folder: Path, as_of: datetime) -> Found:
    """Read every archived forecast as the forecast of the move is read, and the mast; nothing from after `as_of`.

    Errors: InputError with every file that cannot be read; a run that is left out silently would change the result.
    """
    names = _names(archive.forecasts, folder)
    alike = [forecast.model_copy(update={"path": name, "role": "forecast", "sha256": None}) for name in names]
    observation = feeds.read(
        inside(folder, archive.observation.path, "weather.archive.observation.path"), archive.observation
    )
    station = archive.observation.station
    box = None if station is None else box_of(np.array([station.longitude_deg]), np.array([station.latitude_deg]))
    read = _read_all(folder, alike, box)
    dates = archive.earliest, archive.latest, as_of
    kept = [(run, name) for run, name in zip(read, names, strict=True) if _wanted(run, *dates)]
    if not kept:
        told = f"none of {len(read)} runs lies within the dates asked for"
        raise InputError(Fault("", "weather.archive.forecasts", told))
    files = (*(name for _, name in kept), archive.observation.path)
    return Found(tuple(run for run, _ in kept), observation, files)


def _names(pattern: str, folder: Path) -> list[str]:
    found = sorted(path.relative_to(folder).as_posix() for path in folder.glob(pattern) if not path.is_dir())
    most = round(figure("calibration_archive_files_count"))
    if not found:
        raise InputError(Fault("", "weather.archive.forecasts", f"no file is called '{pattern}'"))
    if len(found) > most:
        raise InputError(
            Fault("", "weather.archive.forecasts", f"{len(found)} files are called '{pattern}', allowed are {most}")
        )
    return found


def _read_all(folder: Path, alike: Sequence[Feed], box: Box | None) -> list[xr.Dataset]:
    paths = [inside(folder, one.path, "weather.archive.forecasts") for one in alike]
    found = feeds.read_many(paths, alike, box)
    faults = [fault for one in found if isinstance(one, InputError) for fault in one.faults]
    if faults:
        raise InputError.of(sorted(faults))
    return [one for one in found if isinstance(one, xr.Dataset)]


def _wanted(run: xr.Dataset, earliest: datetime | None, latest: datetime | None, as_of: datetime) -> bool:
    reference = datetime.fromisoformat(str(run.attrs["forecast_reference_time"]))
    aware = reference if reference.tzinfo else reference.replace(tzinfo=UTC)
    return (earliest is None or aware >= earliest) and aware <= min(latest or as_of, as_of)
