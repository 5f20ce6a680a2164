"""The archive of a move: forecasts of the past and the mast, each read as a feed of the move would be."""

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import xarray as xr

from shared.errors import Fault, InputError
from shared.folder import inside
from shared.tables import figure
from transport.weather.feeds import feed as feeds
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
    read = _read_all(folder, alike)
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


def _read_all(folder: Path, alike: Sequence[Feed]) -> list[xr.Dataset]:
    faults: list[Fault] = []

    def read(one: Feed) -> xr.Dataset | None:
        try:
            return feeds.read(inside(folder, one.path, "weather.archive.forecasts"), one)
        except InputError as problem:
            faults.extend(problem.faults)
            return None

    with ThreadPoolExecutor(max_workers=os.cpu_count()) as workers:
        jobs = [workers.submit(copy_context().run, read, one) for one in alike]
        found = [job.result() for job in jobs]
    if faults:
        raise InputError.of(sorted(faults))
    return [one for one in found if one is not None]


def _wanted(run: xr.Dataset, earliest: datetime | None, latest: datetime | None, as_of: datetime) -> bool:
    reference = datetime.fromisoformat(str(run.attrs["forecast_reference_time"]))
    aware = reference if reference.tzinfo else reference.replace(tzinfo=UTC)
    return (earliest is None or aware >= earliest) and aware <= min(latest or as_of, as_of)
