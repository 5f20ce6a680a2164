"""The part of a forecast around the road: only the nodes that touch it, and the worse end of each step."""

from typing import NamedTuple

import numpy as np
import scipy.sparse as sp
import xarray as xr

from shared.arrays import Array
from transport.weather.fields import Instants, Values
from transport.weather.placing import placed
from transport.weather.space import weights
from transport.weather.steps import Overlap, around_instants, gaps, overlap, worst

__all__ = ["Neighbourhood", "neighbourhood"]


class Neighbourhood(NamedTuple):
    """Nodes around the road, (member, step, node), with what carries them to the stations.

    high: highest in each step; low: lowest; ends: the wind vector at both ends of each step, (2, member, step, node).
    """

    start: Instants
    end: Instants
    high: dict[str, Values]
    low: dict[str, Values]
    ends: tuple[Values, Values]
    altitude_m: Array
    matrix: sp.csr_array
    corners: np.ndarray
    outside: np.ndarray
    gap: np.ndarray
    mean_at_end: Values

    @property
    def shape(self) -> tuple[int, int]:
        """Count of members and steps."""
        members, steps, _ = self.high["mean_wind_mps"].shape
        return members, steps


def neighbourhood(feed: xr.Dataset, longitude_deg: Array, latitude_deg: Array, longest_h: float) -> Neighbourhood:
    """Cut a feed to the road and to its steps; stations outside the grid are marked, steps across a gap are NaN.

    Source: house rules on interpolation in time and space (practice).
    """
    place = placed(feed, longitude_deg, latitude_deg)
    nodes, corners = np.unique(place.corners, return_inverse=True)
    corners = corners.reshape(-1, 4)
    time = feed["time"].to_numpy().astype("datetime64[s]")
    around, gap = around_instants(time), gaps(time, longest_h)
    found = {kind: _overlap(time, *times, gap) for kind, times in _intervals(feed, around).items()}

    def step(name: str, pick: np.ufunc, kind: str = "instant") -> Values:
        return worst(_at(feed, name, nodes), found[kind], pick)

    east, north = _at(feed, "eastward_wind_mps", nodes), _at(feed, "northward_wind_mps", nodes)
    mean = _at(feed, "mean_wind_mps", nodes)
    return Neighbourhood(
        start=time[:-1],
        end=time[1:],
        high={
            "mean_wind_mps": step("mean_wind_mps", np.maximum),
            "gust_mps": step("gust_mps", np.maximum, "gust"),
            "precipitation_mm_per_h": step("precipitation_mm_per_h", np.maximum, "precipitation"),
            "dew_point_K": step("dew_point_K", np.maximum),
            "surface_pressure_Pa": step("surface_pressure_Pa", np.maximum),
        },
        low={name: step(name, np.minimum) for name in ("air_temperature_K", "visibility_m")},
        ends=(np.stack([east[:, :-1], east[:, 1:]]), np.stack([north[:, :-1], north[:, 1:]])),
        altitude_m=np.asarray(_at(feed, "surface_altitude_m", nodes), dtype=np.float64),
        matrix=weights(place.share, corners, len(nodes)),
        corners=corners,
        outside=place.outside,
        gap=gap,
        mean_at_end=mean[:, 1:],
    )


def _intervals(feed: xr.Dataset, around: tuple[Instants, Instants]) -> dict[str, tuple[Instants, Instants]]:
    def seconds(name: str) -> Instants:
        return np.asarray(feed[name].to_numpy().astype("datetime64[s]"))

    stated = {kind: (seconds(f"{kind}_start"), seconds(f"{kind}_end")) for kind in ("gust", "precipitation")}
    return {"instant": around, **stated}


def _overlap(time: Instants, start: Instants, end: Instants, gap: np.ndarray) -> Overlap:
    found = overlap(start, end, time[:-1], time[1:])
    return found._replace(covered=found.covered & ~gap)


def _at(feed: xr.Dataset, name: str, nodes: np.ndarray) -> Values:
    rows, columns = np.divmod(nodes, feed[name].shape[-1])
    values: Values = feed[name].to_numpy()[..., rows, columns]
    return values
