"""The chain from forecast to gust at the load, with its numbers, at the windiest place: to be checked by hand."""

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from transport.weather.exposure import ANY, Exposure
from transport.weather.gust import crane_gust_ratio, gust_ratio, pressure_gust_ratio
from transport.weather.inputs import Site
from transport.weather.load_wind import LoadWind
from transport.weather.profile import exposure_ratio, turbulence_ratio

__all__ = ["lines"]

EN = "EN 1991-1-4:2005"
Value = tuple[str, float, str, str]
Term = tuple[str, str, tuple[Value, ...]]


class Place(NamedTuple):
    """The numbers of one station, member and step."""

    gust_mps: float
    apparent_mps: float
    from_deg: float
    mean_mps: float
    forecast_mean_mps: float
    forecast_gust_mps: float
    relief: float
    mean_ratio: float
    turbulence: float
    vehicle_mps: float
    heading_deg: float
    declared_spread_deg: float


def lines(
    wind: LoadWind,
    exposed: Exposure,
    site: Site,
    feed: Mapping[Any, Any],
    movement: tuple[Array, Array],
    used: np.ndarray,
    declared_spread_deg: float,
) -> tuple[Line, ...]:
    """Calculation lines at the station, member and step of the highest gust in the steps used; none if none is known.

    Source: the equations of this package.
    """
    felt = np.where(np.tile(used, wind.gust_mps.shape[1] // len(used)), wind.apparent_mps, np.nan)
    if np.isnan(felt).all():
        return ()
    station, case = (int(index) for index in np.unravel_index(int(np.nanargmax(felt)), felt.shape))
    at = _place(wind, exposed, site, movement, (station, case), declared_spread_deg)
    over_mean = _ratio(at, exposed, site)
    chain = (_mean(at), over_mean, _gust(at, over_mean.result[1], site, feed), _apparent(at))
    return (*chain, _pressure_ratio(at), _flat_pressure(at, exposed, site))


def _place(
    wind: LoadWind,
    exposed: Exposure,
    site: Site,
    movement: tuple[Array, Array],
    where: tuple[int, int],
    declared_spread_deg: float,
) -> Place:
    station, case = where
    forecast = {name: float(values[station, case]) for name, values in wind._asdict().items()}
    column = ANY if np.isnan(forecast["from_deg"]) else int(forecast["from_deg"])
    relief = float(exposed.relief[station, column])
    turbulence = turbulence_ratio(np.asarray(exposed.height_m), site.terrain_category, relief)
    return Place(
        **forecast,
        relief=relief,
        mean_ratio=float(exposed.mean[station, column]),
        turbulence=float(turbulence),
        vehicle_mps=float(movement[0][station]),
        heading_deg=float(movement[1][station]),
        declared_spread_deg=declared_spread_deg,
    )


def _line(title: str, formula: str, spoken: str, **rest: Any) -> Line:
    return Line(check="gust at the load", title=title, formula=formula, spoken=spoken, **rest)


def _mean(at: Place) -> Line:
    return _line(
        "Mean wind at the load",
        "v_m = c_r c_o v_10",
        "vm = cr co v10",
        values=(
            ("v_10", at.forecast_mean_mps, "m/s", "highest forecast mean of the step"),
            ("c_r", at.mean_ratio / at.relief, "1", "height and roughness, never below 1 unless measured"),
            ("c_o", at.relief, "1", "site.relief"),
        ),
        result=("v_m", at.mean_mps, "m/s"),
        source=EN,
        clause="4.3.1 expression 4.3",
        status="read",
    )


def _ratio(at: Place, exposed: Exposure, site: Site) -> Line:
    floor = np.maximum(site.minimum_gust_ratio, crane_gust_ratio(np.asarray(exposed.height_m)))
    ratio = gust_ratio(np.asarray(at.turbulence), np.asarray(exposed.factor), floor)
    return _line(
        "Gust over mean",
        'G = max(1 + g I_v, G_"min")',
        "G = max(1 + g Iv, Gmin)",
        values=(
            ("g", exposed.factor, "1", "peak factor of the 3 s gust"),
            ("I_v", at.turbulence, "1", "kI / (co ln(z / z0))"),
            ('G_"min"', float(floor), "1", "site.minimum_gust_ratio or the rule for cranes, the larger"),
        ),
        result=("G", float(ratio), "1"),
        source=EN,
        clause="4.4 expression 4.7",
        status="read",
    )


def _gust(at: Place, over_mean_ratio: float, site: Site, feed: Mapping[Any, Any]) -> Line:
    terms: list[Term] = [("G v_m", "G vm", (("G", over_mean_ratio, "1", "line above"),))]
    if feed["gust_kind"] != "maximum":
        added = (("v_c", site.convective_gust_mps, "m/s", "only without a maximum in the feed"),)
        terms.append(("v_m + v_c", "vm + vc", added))
    if feed["gust_kind"] != "none":
        terms.append(('c_f v_"field"', "cf vfield", _field(at, feed)))
    formula, spoken = ", ".join(term[0] for term in terms), ", ".join(term[1] for term in terms)
    most = "max({})" if len(terms) > 1 else "{}"
    return _line(
        "Gust at the load; what the feed does not hold has no term",
        'v_"gust" = ' + most.format(formula),
        "vgust = " + most.format(spoken),
        values=(
            ("v_m", at.mean_mps, "m/s", "mean wind at the load"),
            *(value for term in terms for value in term[2]),
        ),
        result=('v_"gust"', at.gust_mps, "m/s"),
        source="the larger counts",
        clause="",
        status="practice",
    )


def _field(at: Place, feed: Mapping[Any, Any]) -> tuple[Value, ...]:
    return (
        ("c_f", 1.0 if feed["resolves_relief"] else at.relief, "1", "relief on the forecast gust"),
        ('v_"field"', at.forecast_gust_mps, "m/s", "highest forecast gust of the step"),
    )


def _apparent(at: Place) -> Line:
    apart = abs(at.from_deg - at.heading_deg)
    delta = 0.0 if np.isnan(apart) else min(apart, 360.0 - apart)
    widened = figure("weather_direction_differs_deg")
    return _line(
        "Gust felt by the moving vehicle",
        'v_"a" = max(v_"gust", sqrt(v_"gust"^2 + V^2 + 2 v_"gust" V cos y)), quad y = max(delta - s_1 - s_2, 0)',
        "va = max(vgust, sqrt(vgust^2 + V^2 + 2 vgust V cos y)); y = max(delta - s1 - s2, 0)",
        values=(
            ('v_"gust"', at.gust_mps, "m/s", "gust at the load"),
            ("V", at.vehicle_mps, "m/s", "planned speed"),
            ("D", at.from_deg, "deg", "wind from; any direction where it is not known"),
            ("h", at.heading_deg, "deg", "heading of the road"),
            ("delta", delta, "deg", "between D and h, the shorter way round; 0 for any direction"),
            ("s_1", at.declared_spread_deg, "deg", "weather.direction_spread_deg"),
            ("s_2", widened, "deg", "widening: corners and ends of a step may differ by as much"),
            ("y", max(delta - at.declared_spread_deg - widened, 0.0), "deg", "between wind and heading, at the least"),
        ),
        result=('v_"a"', at.apparent_mps, "m/s"),
        source="law of cosines",
        clause="",
        status="practice",
    )


def _pressure_ratio(at: Place) -> Line:
    return _line(
        "For comparison: speed of the peak pressure over the mean",
        'G_"p" = sqrt(1 + 7 I_v)',
        "Gp = sqrt(1 + 7 Iv)",
        values=(("I_v", at.turbulence, "1", "turbulence at the load"),),
        result=('G_"p"', float(pressure_gust_ratio(np.asarray(at.turbulence))), "1"),
        source=EN,
        clause="4.5 expression 4.8",
        status="read",
    )


def _flat_pressure(at: Place, exposed: Exposure, site: Site) -> Line:
    factor = float(exposure_ratio(np.asarray(exposed.height_m), site.terrain_category))
    pressure_Pa = factor * 0.5 * site.air_density_kg_per_m3 * at.forecast_mean_mps**2
    return _line(
        "For comparison: peak pressure over flat ground",
        "q_p = c_e rho / 2 v_10^2",
        "qp = ce rho / 2 v10^2",
        values=(
            ("c_e", factor, "1", "exposure factor"),
            ("rho", site.air_density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3"),
            ("v_10", at.forecast_mean_mps, "m/s", "highest forecast mean of the step"),
        ),
        result=("q_p", pressure_Pa, "Pa"),
        source=EN,
        clause="4.5 expressions 4.9 and 4.10",
        status="read",
    )
