"""The limit states of the cover by name: the gust each bears, its use in still air, clause and remedy."""

import re
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.cover import contact, limits
from transport.cover.situation import Situation

__all__ = ["LIMIT_STATES", "LimitState"]


class LimitState(NamedTuple):
    """A named check; both functions take the cover and the vertical acceleration at each place.

    A published figure in the clause stands in braces by its name.
    """

    name: str
    gust_mps: Callable[[Situation, Array], Array]
    still_ratio: Callable[[Situation, Array], Array]
    clause_template: str
    remedy: str

    @property
    def clause(self) -> str:
        """The clause with its published figures."""
        return FIGURE.sub(lambda name: f"{figure(name[1]):g}", self.clause_template)


FIGURE = re.compile(r"\{(\w+)\}")
COEFFICIENTS = "EN 1991-1-4 table 7.2 and 7.2.9(6), BS 6399-2 table 13"
LIFTED = f"{COEFFICIENTS}; EN 1990 table A1.2(B)"
FASTEN = "replace every missing fastening; more or stronger fastenings; lower tension_max_kN_per_m"

LIMIT_STATES = (
    LimitState(
        "cover clearance",
        contact.clearance_mps,
        contact.clearance_still_ratio,
        f"zero contact, practice; {COEFFICIENTS}",
        "raise tension_min_kN_per_m or height_above_mirror_edge_m; prove the ring stiff",
    ),
    LimitState(
        "cover divergence",
        lambda cover, _: limits.divergence_mps(cover),
        lambda _cover, _: np.zeros(()),
        "theory of membranes and sails, factor {cover_divergence_safety_ratio}, practice",
        "raise tension_min_kN_per_m; close the underside",
    ),
    LimitState(
        "cover uplift",
        lambda cover, _: limits.uplift_mps(cover),
        lambda _cover, _: np.zeros(()),
        LIFTED,
        "more or stronger fastenings",
    ),
    LimitState(
        "cover fastening",
        lambda cover, _: limits.fastening_mps(cover),
        lambda cover, _: limits.fastening_still_ratio(cover),
        LIFTED,
        FASTEN,
    ),
    LimitState(
        "cover fastening, one lost",
        lambda cover, _: limits.fastening_mps(cover.one_lost()),
        lambda cover, _: limits.fastening_still_ratio(cover.one_lost()),
        COEFFICIENTS + "; neighbours x {cover_lost_neighbour_ratio}, practice",
        FASTEN,
    ),
    LimitState(
        "cover fabric",
        lambda cover, _: limits.fabric_mps(cover),
        lambda cover, _: limits.fabric_still_ratio(cover),
        "strip strength / {cover_fabric_safety_ratio}, from memory; " + COEFFICIENTS,
        "stronger fabric; lower tension_max_kN_per_m",
    ),
    LimitState(
        "cover hem",
        lambda cover, _: limits.hem_mps(cover),
        lambda cover, _: limits.hem_still_ratio(cover),
        "flutter of a clamped plate, factor {cover_divergence_safety_ratio}, practice; "
        "no free hem above {cover_hem_length_m} m, practice",
        "rope or batten the hem; shorten it; closer fastenings",
    ),
    LimitState(
        "cover vents",
        lambda cover, _: limits.vents_mps(cover),
        lambda cover, _: limits.vents_still_ratio(cover),
        "no sealed cover on a climb, practice",
        "open and clear the vents, then set vented = true",
    ),
)
