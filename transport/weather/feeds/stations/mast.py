"""Files of a mast's logger: CSV in a declared layout, brought to an even grid of intervals; gaps stay gaps."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.dew import dew_point_K
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations.logger import Column, Logger
from transport.weather.feeds.stations.mast_checks import believed, believed_gust
from transport.weather.feeds.stations.mast_table import Table, numbers, table_of, times
from transport.weather.feeds.stations.plain_text import lines_of
from transport.weather.feeds.stations.point import Series, point
from transport.weather.feeds.units import scale_of
from transport.weather.fields import NAMES, Instants

__all__ = ["read"]


def read(path: Path, feed: Feed) -> xr.Dataset:
    """Read a logger file into the normal form.

    Errors: InputError for anything in the file that is not as declared.      Source: declared by the user.
    """
    if feed.logger is None:
        raise InputError(Fault(path.name, "logger", "is missing; a mast needs [weather.feed.logger]"))
    table = table_of(lines_of(path, feed.logger.encoding), path.name, feed.logger, feed.column)
    stamped = times(table, feed.logger)
    time = _grid(stamped, feed.logger, path.name)
    place = np.searchsorted(time, stamped)
    fields, remarks = _fields(table, feed.column, feed.logger, (place, len(time)))
    remarks = [*_gaps(time, stamped), *remarks]
    interval = np.timedelta64(round(60 * feed.logger.interval_min), "s")
    series = Series(
        "mast logger", time, time - interval, time, fields, _told(feed, feed.logger), _derived(feed), remarks
    )
    return point(path.name, feed, series)


def _grid(stamped: Instants, logger: Logger, file: str) -> Instants:
    interval = np.timedelta64(round(60 * logger.interval_min), "s")
    count, limit = int((stamped[-1] - stamped[0]) / interval) + 1, round(figure("weather_station_rows"))
    if count > limit:
        what = f"spans {count} intervals from {stamped[0]} to {stamped[-1]} UTC, allowed are {limit}"
        raise InputError(Fault(file, "", f"{what}; is a year wrong?"))
    return np.asarray(stamped[0] + np.arange(count) * interval)


def _gaps(time: Instants, stamped: Instants) -> list[str]:
    lost = len(time) - len(stamped)
    if not lost:
        return []
    steps = np.diff(stamped)
    gaps, longest = int((steps > time[1] - time[0]).sum()), int(np.argmax(steps))
    ends = f"the longest from {stamped[longest]} to {stamped[longest + 1]} UTC"
    return [f"{lost} intervals in {gaps} gaps have no row and are unknown, {ends}"]


def _fields(
    table: Table, columns: Sequence[Column], logger: Logger, grid: tuple[np.ndarray, int]
) -> tuple[dict[str, Array], list[str]]:
    fields: dict[str, Array] = {}
    said: list[str] = []
    place, count = grid
    for column in columns:
        values = np.full(count, np.nan)
        values[place] = _scaled(numbers(table, column, logger), column, table.file, logger)
        name = NAMES[column.quantity]
        fields[name], found = believed(values, name, column.name, logger.interval_min / 60.0)
        said += found
    fields.setdefault("gust_mps", np.full(count, np.nan))
    mean, gust, found = believed_gust(fields["mean_wind_mps"], fields["gust_mps"], table.file)
    fields |= {"mean_wind_mps": mean, "gust_mps": gust}
    return _with_dew(fields), [*said, *found]


def _scaled(values: Array, column: Column, file: str, logger: Logger) -> Array:
    scale = scale_of(column.quantity, column.unit, file, column.name)
    scaled = values * scale.factor + scale.offset
    return scaled / (logger.interval_min / 60.0) if column.statistic == "sum" else scaled


def _with_dew(fields: dict[str, Array]) -> dict[str, Array]:
    humidity = fields.pop("relative_humidity_ratio", None)
    if humidity is not None and "air_temperature_K" in fields and "dew_point_K" not in fields:
        fields["dew_point_K"] = np.asarray(dew_point_K(fields["air_temperature_K"], humidity), dtype=np.float64)
    return fields


def _told(feed: Feed, logger: Logger) -> list[str]:
    ends = f"rows of {logger.interval_min:g} min, labelled at their {logger.label}, clock {logger.utc_offset}"
    columns = [f"{c.quantity} from column '{c.name}', {c.statistic} in {c.unit}" for c in feed.column]
    return [ends, *columns]


def _derived(feed: Feed) -> list[str]:
    quantities = {column.quantity for column in feed.column}
    average_s = feed.logger.gust_average_s if feed.logger else None
    said = []
    if average_s is not None and "wind_speed_of_gust" in quantities:
        usual_s = figure("weather_gust_duration_s")
        longer = f", longer than {usual_s:g} s: the true gust is higher" if average_s > usual_s else ""
        said.append(f"the gust is the highest {average_s:g} s mean of each interval{longer}")
    else:
        said.append("no column holds a gust, so it is unknown")
    if "relative_humidity" in quantities and "dew_point_temperature" not in quantities:
        said.append("dew point from air temperature and relative humidity")
    return said
