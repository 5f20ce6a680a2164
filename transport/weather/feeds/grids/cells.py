"""Are the nodes of a rotated or projected grid a grid at all? Known, apart, in rows without fold and without hole."""

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.grids.grid import Grid
from transport.weather.sphere import chord_ratio, unit_vectors

__all__ = ["check_nodes", "spacing_m"]


def check_nodes(grid: Grid, where: str) -> None:
    """Refuse nodes between which nothing can be interpolated.

    Fold: with the corners a, b, c, ... of a cell in order, the triple products a . (b x c), b . (c x d), ... must have
    one sign in all cells, so that each cell is convex and all have one orientation. Hole: a spacing wider than the
    usual one of its row or column.
    Errors: InputError naming the dimensions, the node and what is wrong with it.
    Source: spherical geometry; width of a hole (practice).
    """
    name = f"{grid.row}, {grid.column}"
    if min(grid.latitude_deg.shape) < 2:
        raise InputError(Fault(where, name, f"has {grid.latitude_deg.shape} nodes, needs at least 2 x 2"))
    if not ((np.abs(grid.latitude_deg) <= 90.0) & (np.abs(grid.longitude_deg) <= 180.0)).all():
        what = "latitude from -90 to 90 and longitude are needed at every node, none missing"
        raise InputError(Fault(where, name, what))
    _check_apart(grid, where, name)
    place = unit_vectors(grid.longitude_deg, grid.latitude_deg)
    signs = np.sign(_triple_products(place))
    folded = (signs != (np.median(signs) or 1.0)).any(axis=0)
    if folded.any():
        row, column = np.argwhere(folded)[0]
        raise InputError(Fault(where, name, f"folds over at {_node(grid, row, column)}; its cells overlap"))
    for axis, dimension in ((0, grid.row), (1, grid.column)):
        _check_holes(np.moveaxis(place, axis, 0), where, dimension)


def _check_apart(grid: Grid, where: str, name: str) -> None:
    nodes, counts = np.unique((grid.longitude_deg + 1j * grid.latitude_deg).ravel(), return_counts=True)
    if counts.max() > 1:
        twice = nodes[int(np.argmax(counts))]
        raise InputError(Fault(where, name, f"the node {twice.imag:g} N {twice.real:g} E stands twice; keep one"))


def _triple_products(place: Array) -> np.ndarray:
    """At the four corners of each cell, (corner, row, column)."""
    around = [place[:-1, :-1], place[:-1, 1:], place[1:, 1:], place[1:, :-1]]
    ahead = around[1:] + around[:1]
    after = ahead[1:] + ahead[:1]
    return np.stack([(a * np.cross(b, c)).sum(axis=-1) for a, b, c in zip(around, ahead, after, strict=True)])


def _node(grid: Grid, row: int, column: int) -> str:
    return f"{grid.latitude_deg[row, column]:g} N {grid.longitude_deg[row, column]:g} E"


def _check_holes(place: Array, where: str, dimension: str) -> None:
    spacing = chord_ratio(place[:-1], place[1:])
    usual = np.median(spacing, axis=0)
    wide = ~(spacing <= figure("weather_grid_hole_ratio") * usual)
    if wide.any():
        at = np.unravel_index(int(np.argmax(spacing / usual)), spacing.shape)
        radius_km = figure("weather_model_earth_radius_m") / 1000.0
        gap_km, usual_km = radius_km * spacing[at], radius_km * usual[at[1:]]
        what = f"has a hole of {gap_km:.3g} km, the usual spacing is {usual_km:.3g} km"
        raise InputError(Fault(where, dimension, f"{what}; no value is made up across a hole"))


def spacing_m(grid: Grid) -> float:
    """The usual distance between neighbouring nodes, along the closer-set axis.

    Source: median of the chords (practice).
    """
    place = unit_vectors(grid.longitude_deg, grid.latitude_deg)
    along = (chord_ratio(place[:-1], place[1:]), chord_ratio(place[:, :-1], place[:, 1:]))
    return figure("weather_model_earth_radius_m") * min(float(np.median(part)) for part in along)
