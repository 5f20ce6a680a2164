"""What each forecast step asks of each check: utilisation by step and member, and the words for it."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from shared.arrays import Array
from shared.units import celsius_from_kelvin
from transport.window.fitted_factor import lessened_mps, shown_factor
from transport.window.inputs import Limits
from transport.window.overlap import Stay
from transport.window.rose import widened
from transport.window.schedule import Passage

__all__ = ["Demand", "Told", "Wind", "conditions", "stage_limit", "wind_field"]

Values = NDArray[np.float32]
NO_WIND = "the forecast has no gust for one of its hours"
NO_ERROR = "the error of the forecast is not known so far ahead, in so strong a wind, or so far from the mast"


class Told(NamedTuple):
    """What a check says of one step and member: its name, and action against limit in words."""

    name: str
    words: str


@dataclass(frozen=True)
class Demand:
    """One check over the forecast, at each place of a stay.

    Shapes: station (place), utilisation (place, step, member). `told` puts one place, step and member into words.
    """

    stage: str
    station_m: Array
    stay: Stay
    utilisation: Values
    told: Callable[[int, int, int], Told]


@dataclass(frozen=True)
class Wind:
    """Gust against the limit rose, cell by cell.

    Shapes: gust (cell, step, member), sector (cell, step, member) with the last index for an unknown direction,
    limit and names (cell, sector + 1) already widened by the direction spread and multiplied by the operational factor;
    error (cell, step): what a factor fitted on the site takes off the limit, None without one.
    """

    gust_mps: Values
    sector: NDArray[np.uint8]
    limit_mps: Array
    names: NDArray[np.str_]
    station_m: Array
    factor: float
    error_mps: Array | None = None

    def limit_at(self, cell: int) -> Array:
        """The limit that counts at one cell, (step, member)."""
        limit = self.limit_mps[cell][self.sector[cell]]
        return limit if self.error_mps is None else lessened_mps(limit, self.error_mps[cell][:, None])

    def demand(self, passage: Passage) -> Demand:
        """The wind check of a stay at the cells it touches: utilisation = gust / limit, a limit of zero is closed."""
        cells = passage.cells
        gust = np.maximum(self.gust_mps[cells], np.float32(1e-3))
        value = gust * self._inverse(cells)

        def told(place: int, step: int, member: int) -> Told:
            return self.told(int(cells[place]), step, member)

        return Demand(passage.stage.name, self.station_m[cells], passage.stay, value, told)

    def _inverse(self, cells: NDArray[np.intp]) -> Values:
        """1 / limit at each place, step and member; a limit of zero is closed."""
        with np.errstate(divide="ignore"):
            if self.error_mps is None:
                inverse = (1.0 / self.limit_mps[cells]).astype(np.float32)
                return np.asarray(inverse[np.arange(cells.size)[:, None, None], self.sector[cells]])
            limit = np.stack([self.limit_at(int(cell)) for cell in cells])
            return (1.0 / limit).astype(np.float32)

    def told(self, cell: int, step: int, member: int) -> Told:
        """Name and words of the governing limit at one cell, step and member."""
        sector = int(self.sector[cell, step, member])
        limit, gust = float(self.limit_at(cell)[step, member]), self.gust_mps[cell, step, member]
        if np.isnan(gust):
            return Told("wind", NO_WIND)
        if np.isnan(limit) and not np.isnan(self.limit_mps[cell, sector]):
            return Told(str(self.names[cell, sector]), NO_ERROR)
        if np.isnan(limit):
            return Told(str(self.names[cell, sector]), "the limit is not known")
        factor = self.factor if self.error_mps is None else shown_factor(limit, float(self.limit_mps[cell, sector]))
        return Told(str(self.names[cell, sector]), _against(gust, limit, factor))


def wind_field(
    cells: xr.Dataset,
    gust_mps: Values,
    wind_from_deg: Values,
    *,
    spread_deg: float,
    factor: float,
    error_mps: Array | None = None,
) -> Wind:
    """Set the gust at the load beside the rose of the cells.

    utilisation = gust / (factor x limit), or gust / (limit - error) with a factor fitted on the site.
    Shapes: gust and direction (member, step, cell) as the forecast has them, error (step, cell).
    A direction that is not known takes the least limit of all directions.
    """
    limit = cells["gust_limit_mps"].values * factor
    wide = widened(limit, spread_deg)
    axes = (2, 1, 0)
    sector = _sectors(wind_from_deg, limit.shape[1]).transpose(axes)
    names = _names(cells, limit, wide)
    taken = None if error_mps is None else error_mps.T
    return Wind(gust_mps.transpose(axes), sector, wide, names, cells["station"].values, factor, taken)


def stage_limit(passage: Passage, wind: Wind) -> Demand:
    """The gust limit that a stage has of its own, from a rating plate say, at every cell that it touches."""
    gust, name = wind.gust_mps[passage.cells], "own gust limit"
    own = (passage.stage.gust_limit_mps or 0.0) * wind.factor
    limit = np.full(gust.shape[:2], own)
    if wind.error_mps is not None:
        limit = lessened_mps(limit, wind.error_mps[passage.cells])

    def told(place: int, step: int, member: int) -> Told:
        if np.isnan(gust[place, step, member]):
            return Told(name, NO_WIND)
        if np.isnan(limit[place, step]):
            return Told(name, NO_ERROR)
        factor = wind.factor if wind.error_mps is None else shown_factor(limit[place, step], own)
        return Told(name, _against(gust[place, step, member], limit[place, step], factor))

    with np.errstate(divide="ignore"):
        value = (gust / limit[:, :, None]).astype(np.float32)
    return Demand(passage.stage.name, wind.station_m[passage.cells], passage.stay, value, told)


def conditions(
    passage: Passage, forecast: xr.Dataset, limits: Limits, station_m: float, *, wet_is_closed: bool
) -> Iterator[Demand]:
    """The limits in time only: rain, dew margin, visibility and road ice, met in the same steps as the wind.

    What a second opinion never says anything about (attribute `lacks`) is not asked of it.
    """
    lacks = json.loads(forecast.attrs.get("lacks", "[]"))
    rain = limits.precipitation_mm_per_h
    if wet_is_closed and passage.stage.cover == "on":
        rain = 0.0
    wanted: list[tuple[str, str, float | None, Callable[[Array, float], Array], str]] = [
        ("rain", "precipitation_mm_per_h", rain, _at_most, "mm/h"),
        ("dew margin", "dew_margin_K", limits.dew_margin_K, _at_least, "K"),
    ]
    if passage.stage.kind == "drive":
        wanted += [
            ("visibility", "visibility_m", limits.visibility_m, _at_least, "m"),
            ("road ice", "air_temperature_K", limits.lowest_air_temperature_c, _not_below, "°C"),
        ]
    for name, variable, limit, rule, unit in wanted:
        if limit is not None and variable not in lacks:
            yield _condition(passage, station_m, forecast[variable].values.T, name, limit, rule, unit)


def _condition(
    passage: Passage,
    station_m: float,
    series: Array,
    name: str,
    limit: float,
    rule: Callable[[Array, float], Array],
    unit: str,
) -> Demand:
    shown = celsius_from_kelvin(series) if unit == "°C" else series

    def told(place: int, step: int, member: int) -> Told:
        if np.isnan(shown[step, member]):
            return Told(name, "the forecast does not say")
        return Told(name, f"{shown[step, member]:.3g} {unit} against {limit:g} {unit}")

    value = rule(shown, limit).astype(np.float32)[None]
    return Demand(passage.stage.name, np.array([station_m]), passage.whole, value, told)


def _at_most(value: Array, limit: float) -> Array:
    """Utilisation value / limit; with a limit of zero anything above zero is closed."""
    if limit > 0:
        return value / limit
    return np.where(np.isnan(value), np.nan, np.where(value > 0, np.inf, 0.0))


def _at_least(value: Array, limit: float) -> Array:
    """Utilisation limit / value while the value is above zero; nothing or less is closed, unless nothing is asked."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(value > 0, limit / value, np.where(value >= limit, 0.0, np.inf))
    return np.where(np.isnan(value), np.nan, ratio)


def _not_below(value: Array, limit: float) -> Array:
    """Closed below the limit, open at or above it."""
    return np.where(np.isnan(value), np.nan, np.where(value >= limit, 0.0, np.inf))


def _against(gust_mps: float, limit_mps: float, factor: float) -> str:
    """The gust rounded up, the limit down."""
    gust, limit = np.ceil(gust_mps * 10.0 - 1e-4) / 10.0, np.floor(limit_mps * 10.0 + 1e-4) / 10.0
    words = f"gust {gust:.1f} m/s against {limit:.1f} m/s"
    return words if factor == 1.0 else f"{words}, {factor:g} of the limit"


def _sectors(wind_from_deg: Values, count: int) -> NDArray[np.uint8]:
    """Nearest sector of each direction in [0, 360]; `count` for a direction that is not known."""
    nearest = np.rint(wind_from_deg * np.float32(count / 360.0))
    nearest[nearest == count] = 0.0
    nearest[np.isnan(nearest)] = count
    return np.asarray(nearest, dtype=np.uint8)


def _names(cells: xr.Dataset, limit: Array, wide: Array) -> NDArray[np.str_]:
    """The check whose limit each widened sector took: the nearest sector in which the limit equals the least."""
    governed = cells["governed_by"].values
    count = limit.shape[1]
    order = [np.roll(limit, -shift, axis=1) for shift in _outward(count)]
    rolled = [np.roll(governed, -shift, axis=1) for shift in _outward(count)]
    padded = [np.concatenate([part, part[:, :1]], axis=1) for part in order]
    named = [np.concatenate([part, part[:, :1]], axis=1) for part in rolled]
    match = np.stack([(part == wide) | (np.isnan(part) & np.isnan(wide)) for part in padded])
    return np.asarray(np.take_along_axis(np.stack(named), match.argmax(axis=0)[None], axis=0)[0])


def _outward(count: int) -> list[int]:
    return sorted(range(-(count // 2), count // 2), key=abs)
