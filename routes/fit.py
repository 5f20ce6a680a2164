"""Where the vehicle does not fit the road: too steep, too narrow, or not known well enough."""

import numpy as np
import xarray as xr

from routes import fit_lines, grade, swept
from routes.inputs import Route
from shared.arrays import Array
from shared.calculation import attach
from shared.datasets import dataset
from shared.tables import figure

__all__ = ["assess"]

CLAUSES = {
    "road grade": "grade limit of the move, route.grade_limit_ratio",
    "road width": "deck rectangle on the centreline, route.side_clearance_m",
    "survey": "survey class, from the accuracy and the spacing of the points",
}
REMEDIES = (
    (
        "another road, a train with a higher grade limit, or a survey with a smaller sigma_z_m; at the ends "
        "of the road a survey that begins 20 m earlier and ends 20 m later"
    ),
    (
        "widen the road there, take a shorter or narrower trailer, or survey with a smaller sigma_xy_m; "
        "where the width is unknown, measure it"
    ),
    "survey by total station or RTK: sigma 0.03 m or better, a point every 5 m, every 2 m in hairpins",
)
BEND = ("from_station_m", "to_station_m", "turned_deg", "radius_low_m")
ARC_RATIO = 0.75  # of the curvature of a bend's circle: where the road is that sharp, the circle counts too


def assess(
    road: xr.Dataset, route: Route, *, vehicle_width_m: float, vehicle_length_m: float, wind_from_deg: Array
) -> xr.Dataset:
    """Limits of the road itself: wind plays no part, so each is inf (no limit), 0 (closed) or NaN (unknown).

    The whole deck rectangle must stay on the road with its clearance; the tyres run inside it. Shapes:
    gust_limit_mps(limit_state, station, wind_from).
    """
    station_m, elevation_m = road["station"].values, road["elevation_m"].values
    steep_ratio = _design_grade_ratio(road)
    width = _width(road, route, vehicle_width_m, vehicle_length_m)
    use = np.stack(
        [
            steep_ratio / route.grade_limit_ratio,
            np.maximum(
                _share(width["width_needed_left_m"], road["width_left_m"].values),
                _share(width["width_needed_right_m"], road["width_right_m"].values),
            ),
            np.full(station_m.size, _survey_use(road)),
        ]
    )
    limit_mps = np.repeat(_limit_mps(use)[:, :, None], wind_from_deg.size, axis=2)
    deck_rise_m = grade.deck_rise_m(station_m, elevation_m, vehicle_length_m)
    data = dataset(
        {
            "gust_limit_mps": (("limit_state", "station", "wind_from"), limit_mps),
            "utilisation_ratio": (("limit_state", "station"), use),
            "clause": ("limit_state", list(CLAUSES.values())),
            "remedy": ("limit_state", list(REMEDIES)),
            "design_grade_ratio": ("station", steep_ratio),
            "deck_rise_m": ("station", deck_rise_m),
            **{name: ("station", values) for name, values in width.items()},
        },
        {"limit_state": list(CLAUSES), "station": station_m, "wind_from": wind_from_deg},
        {name: road.attrs[name] for name in ("survey_class", "survey_reason", "sigma_xy_m")},
    )
    size_m = (vehicle_width_m, vehicle_length_m)
    return attach(data, fit_lines.lines(road, data, route, size_m))


def _design_grade_ratio(road: xr.Dataset) -> Array:
    count = figure("routes_standard_errors_count")
    return np.asarray(np.abs(road["grade_ratio"].values) + count * road["grade_se_ratio"].values)


def _width(road: xr.Dataset, route: Route, width_m: float, length_m: float) -> dict[str, Array]:
    """Reach of the deck to each side, and the width it needs. In a left bend the right side sweeps out."""
    left_per_m, right_per_m = _sharpest(road, length_m)
    reach_left_m = swept.outward_reach_m(right_per_m, width_m, length_m)
    reach_right_m = swept.outward_reach_m(left_per_m, width_m, length_m)
    beside_m = route.side_clearance_m + figure("routes_standard_errors_count") * road.attrs["sigma_xy_m"]
    return {
        "curvature_left_max_per_m": left_per_m,
        "curvature_right_max_per_m": right_per_m,
        "swept_left_m": reach_left_m,
        "swept_right_m": reach_right_m,
        "width_needed_left_m": reach_left_m + beside_m,
        "width_needed_right_m": reach_right_m + beside_m,
    }


def _sharpest(road: xr.Dataset, length_m: float) -> tuple[Array, Array]:
    """Sharpest curvature to the left and to the right that the survey does not exclude within half a deck."""
    station_m, curvature = road["station"].values, road["curvature_per_m"].values
    allowance = figure("routes_standard_errors_count") * road["curvature_se_per_m"].values
    sides = []
    for sign in (1.0, -1.0):
        sharp = sign * curvature + allowance
        for begin_m, end_m, turned_deg, low_m in zip(
            *(road[f"bend_{name}"].values for name in BEND), strict=True
        ):
            arc = (station_m >= begin_m) & (station_m <= end_m) & (sign * curvature * low_m >= ARC_RATIO)
            sharp = np.where(arc & (sign * turned_deg > 0.0), np.maximum(sharp, 1.0 / low_m), sharp)
        sides.append(swept.sharpest_nearby(station_m, sharp, length_m))
    return sides[0], sides[1]


def _share(needed_m: Array, width_m: Array) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(needed_m / width_m)


def _survey_use(road: xr.Dataset) -> float:
    """Larger of the two errors over what stability statements allow; unknown below that class."""
    if road.attrs["survey_class"] != "stability":
        return float("nan")
    grade_use = road.attrs["survey_grade_error_ratio"] / figure("routes_stability_grade_error_ratio")
    return float(
        max(
            grade_use, road.attrs["survey_radius_error_ratio"] / figure("routes_stability_radius_error_ratio")
        )
    )


def _limit_mps(use: Array) -> Array:
    """No limit up to utilisation 1, closed beyond, unknown where that is unknown."""
    return np.asarray(np.where(np.isnan(use), np.nan, np.where(use <= 1.0, np.inf, 0.0)))
