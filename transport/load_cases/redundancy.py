"""Redundancy: how much is used in still air after any one chain or anchor is lost, by load case."""

from collections.abc import Sequence

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure
from transport.load_cases import earthquake
from transport.load_cases.combination import corners, worst_push
from transport.load_cases.envelope import Envelope, at_ratio, rising, with_halves, without_favour
from transport.load_cases.levels import MARKED, Level, at_level_kN
from transport.load_cases.polytope import facets
from transport.load_cases.setting import Setting
from transport.load_cases.statutory import level_rows
from transport.securing.arrangement import Arrangement, Loss, without

__all__ = ["redundancy_ratio"]

LEVELS = {**MARKED, "49 CFR 393": "breaking strength"}


def redundancy_ratio(
    found: xr.Dataset, setting: Setting, codes: Sequence[str], bare: Arrangement, losses: Sequence[Loss]
) -> Array:
    """Utilisation in still air with each one member lost, divisor 1; (losses, LC1 to LC4).

    LC1 by the chosen codes with the whole LC; LC2 and LC3 on what is left; LC4 is LC2 after that loss. The largest over
    the stations; NaN where any station is unknown.
    Source: EN 1990:2002, 3.2, accidental design situation (memory).
    """
    by_loss = [
        _after(found.isel(loss=row), setting, codes, without(bare, loss.rows)) for row, loss in enumerate(losses)
    ]
    return np.array(by_loss, dtype=float).reshape(-1, 4)


def _after(left: xr.Dataset, setting: Setting, codes: Sequence[str], arrangement: Arrangement) -> list[float]:
    nodes = left["vertical_factor"].values
    names, finer_ratio = ("lost_usable_resistance_kN", "lost_moment_resistance_kNm"), with_halves(nodes)
    force_kN, moment_kNm = (at_ratio(nodes, left[name].values, finer_ratio) for name in names)
    envelope = Envelope(finer_ratio, force_kN, moment_kNm, arrangement.weight_kN)
    inside = facets(without_favour(rising(envelope)))
    shaken = earthquake.shaken(setting.at_rest, setting.shaking_kN, figure("load_cases_seismic_other_ratio"))
    operated, shook = (
        float(np.max(worst_push(inside, actions).use_ratio)) for actions in (corners(setting.operated), shaken)
    )
    level_kN = at_level_kN(nodes, left["lost_resistance_kN"].values, setting.masses)
    levels = (Level(code, LEVELS[code], LEVELS[code], arrangement, level_kN) for code in codes)
    uses = [row.use_ratio for level in levels for row in level_rows(level, setting.masses)]
    return [float(np.max(uses)), operated, shook, operated]
