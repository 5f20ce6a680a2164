"""The factor on a limit that was fitted on the site: for each place and step another one."""

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure
from transport.weather.steps import overlap, worst

__all__ = ["lessened_mps", "shown_factor", "with_error_of"]


def lessened_mps(limit_mps: Array, error_mps: Array) -> Array:
    """Limit times the fitted factor, alpha = min(1 - error / limit, greatest); 0 where the error takes all of it.

    Source: the factor alpha of marine operations (memory); greatest factor (practice).
    """
    greatest = figure("calibration_alpha_greatest_ratio")
    return np.maximum(np.minimum(limit_mps - error_mps, greatest * limit_mps), 0.0)


def with_error_of(forecast: xr.Dataset, opinion: xr.Dataset) -> xr.Dataset:
    """The second opinion with the error fitted to the forecast, the largest of all steps that its own steps overlap.

    So it is held against the same lessened limits. NaN where a step of the forecast is missing or its error is unknown;
    without a fitted factor the opinion stays as it is.
    """
    if "forecast_error_mps" not in forecast:
        return opinion
    found = overlap(*(data[name].values for data in (forecast, opinion) for name in ("time_start", "time")))
    error = worst(forecast["forecast_error_mps"].transpose("time", "station").values[None], found, np.maximum)[0]
    return opinion.assign(forecast_error_mps=(("time", "station"), error, forecast["forecast_error_mps"].attrs))


def shown_factor(part_mps: float, whole_mps: float) -> float:
    """The factor for words, three digits rounded down; 1 where there is no limit."""
    return float(np.floor(1000.0 * part_mps / whole_mps) / 1000.0) if 0.0 < whole_mps < np.inf else 1.0
