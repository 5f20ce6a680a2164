"""The calculation sheet of the cover: each limit state with formula and numbers, to check by hand."""

from collections.abc import Iterator, Mapping

import numpy as np

from shared.calculation import Line
from transport.cover.sheet_clearance import clearance
from transport.cover.sheet_stability import divergence, hem, watch
from transport.cover.sheet_strength import fabric, fastening, uplift
from transport.cover.sheet_surroundings import climb, ponding, sun, vent, warmth
from transport.cover.situation import Situation

__all__ = ["calculation"]


def calculation(
    cover: Situation, *, vertical_mps2: float, thermal_loss_N_per_m: float, limit_mps: Mapping[str, float]
) -> Iterator[Line]:
    """All lines for the cover at the roughest place of the road; limits are those of that place."""
    yield from clearance(cover, np.asarray([vertical_mps2]), limit_mps["cover clearance"])
    yield from divergence(cover, limit_mps["cover divergence"])
    yield watch(cover)
    yield uplift(cover, limit_mps["cover uplift"])
    yield from fastening(cover, "cover fastening", limit_mps["cover fastening"])
    yield from fastening(cover.one_lost(), "cover fastening, one lost", limit_mps["cover fastening, one lost"])
    yield from fabric(cover, limit_mps["cover fabric"])
    yield from hem(cover, limit_mps["cover hem"])
    yield ponding(cover)
    yield warmth(cover, thermal_loss_N_per_m)
    yield climb(cover)
    yield sun()
    yield vent(cover)
