"""What the archive of a move teaches: pairs, fits, their proof, and the file that holds them."""

from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.provenance import hashed, tool_version
from shared.tables import figure
from transport.weather.skill.archive import archive_of
from transport.weather.skill.file import Calibration, Input, Mast
from transport.weather.skill.fitness import basis_of
from transport.weather.skill.learning import errors_of, leads_of
from transport.weather.skill.pairs import pairs_of
from transport.window.assess import move_of
from transport.window.inputs import Move

__all__ = ["calibration_of", "lacking", "pairs_of_move"]


def pairs_of_move(move: Move, folder: Path, as_of: datetime) -> tuple[xr.Dataset, tuple[str, ...]]:
    """The pairs of a move's archive as known at one moment, and the files they come from.

    Errors: InputError for a move without an archive, for files that cannot be read, for runs of two kinds.
    """
    archive, weather = move.weather.archive, move.weather
    if archive is None or archive.observation.station is None:
        raise InputError(Fault("", "weather.archive", "is not given; name the archived forecasts and the mast"))
    forecast = next(feed for feed in weather.feed if feed.role == "forecast")
    found = archive_of(archive, forecast, folder, as_of)
    station = archive.observation.station
    pairs = pairs_of(found.forecasts, found.observation, move.site, station, weather.maximum_step_h)
    past = pairs["time"].values <= np.datetime64(as_of.astimezone(UTC).replace(tzinfo=None), "ns")
    return pairs.isel(case=past), found.files


def calibration_of(path: Path, as_of: datetime) -> Calibration:
    """Learn from the archive of a move.

    With the alpha rule the error of its control member is learned too. A calibration that may not be used is still
    returned, with the reasons: see `lacking`.
    Errors: as pairs_of_move; InputError if not one pair is known.
    """
    move = move_of(path)
    _true_gust(move)
    pairs, files = pairs_of_move(move, path.parent, as_of)
    left_out = pairs["left_out"].values
    known, dropped = left_out == "", dict(Counter(left_out[left_out != ""].tolist()))
    if not known.any():
        told = "; ".join(f"{why}: {count}" for why, count in dropped.items())
        raise InputError(Fault("", "weather.archive", f"not one of {known.size} pairs is known ({told})"))
    days = (pairs["time"].values[known] - np.timedelta64(1, "s")).astype("datetime64[D]")
    control = move.decision.control_realization
    return Calibration(
        schema_name="calibration/1",
        version=tool_version(),
        as_of=as_of.astimezone(UTC),
        mast=Mast(name=pairs.attrs["station"], **{name: pairs.attrs[name] for name in _PLACE}),
        basis=basis_of(pairs, move.site, move.weather.maximum_step_h),
        runs=int(pairs.attrs["runs"]),
        cases=int(known.sum()),
        dropped=dropped,
        trained_from=days.min().item(),
        trained_until=days.max().item(),
        lead_class_h=figure("calibration_lead_class_h"),
        sector_deg=figure("calibration_sector_deg"),
        leads=leads_of(pairs),
        control_realization=control,
        errors=() if control is None else errors_of(pairs, control),
        inputs=tuple(
            Input(path=file.path, sha256=file.sha256)
            for file in hashed((name, path.parent / name) for name in (path.name, *files))
        ),
    )


def _true_gust(move: Move) -> None:
    """A report without a gust is no calm, and a gust averaged for longer is lower than the one that the limits mean."""
    archive, field = move.weather.archive, "weather.archive.observation"
    if archive is None:
        return
    if archive.observation.logger is None:
        what = f"has format '{archive.observation.format}', allowed is 'mast': it must tell the gust of every interval"
        raise InputError(Fault("", f"{field}.format", what))
    usual_s, averaged_s = figure("weather_gust_duration_s"), archive.observation.logger.gust_average_s
    if averaged_s is None or not averaged_s <= usual_s:
        told = "not given" if averaged_s is None else f"{averaged_s:g} s"
        what = f"is {told}, allowed up to {usual_s:g} s: a longer average is lower than the gust of the limits"
        raise InputError(Fault("", f"{field}.logger.gust_average_s", what))


_PLACE = ("longitude_deg", "latitude_deg", "elevation_m", "height_m")


def lacking(found: Calibration) -> tuple[str, ...]:
    """Why nothing of it may be used by the move that it was made for; nothing if something may."""
    if found.control_realization is not None and not found.errors:
        return ("too little is known of the error of the control member in every class of lead times",)
    if found.control_realization is not None or found.usable:
        return ()
    leads = ((f"lead {lead.lead_from_h:g} to {lead.lead_until_h:g} h", lead.said) for lead in found.leads)
    return tuple(f"{hours}: {one}" for hours, said in leads for one in said)
