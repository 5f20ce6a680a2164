"""Numbers that are possible but look like a slip of units: taken as they stand, and said."""

from collections.abc import Iterator, Sequence

from shared.tables import figure
from transport.securing.chains import largest_lc_kN
from transport.securing.inputs import Chain, Contact, Unit
from transport.securing.slips import TOO_STRONG, TOO_WEAK, looks_like

__all__ = ["doubts"]

# Plausible values, common practice, no source: they only choose what is remarked upon and enter no result.
WEAK_RATIO = 0.2
STRONG_RATIO = 3.0
LEAST_STF_RATIO = 0.02
USUAL_STF_KN = 40.0
STRONG_WEIGHTS = 5.0
LOW_CENTRE_RATIO = 0.2
THICK_RATIO = 1.15
SHARP_MM = 1.0


def doubts(unit: Unit, chains: Sequence[Chain], contacts: Sequence[Contact]) -> Iterator[str]:
    """Sentences on values that are far from usual, each with the likely slip.

    Source: common practice, no source (practice).
    """
    for chain in chains:
        yield from _of_strength(chain)
        yield from _of_parts(chain)
        yield from _of_size(chain)
    weight_kN = unit.mass_t * figure("securing_gravity_mps2")
    for contact in contacts:
        if not contact.capacity_kN <= STRONG_WEIGHTS * weight_kN:
            slip = looks_like(contact.capacity_kN, TOO_STRONG[:3], 0.02 * weight_kN, STRONG_WEIGHTS * weight_kN)
            text = f"capacity_kN is {contact.capacity_kN:g}, {contact.capacity_kN / weight_kN:.2g} times the weight of "
            yield f"{contact.kind} '{contact.name}': {text}the unit{slip}; confirm it"
    centre_m, wind_m = unit.centre_of_mass_m[2], unit.wind_centre_m[2]
    if not centre_m >= LOW_CENTRE_RATIO * wind_m:
        yield f"The centre of mass lies {centre_m:g} m above the deck, the centre of wind {wind_m:g} m; confirm both"


def _of_strength(chain: Chain) -> Iterator[str]:
    usual_kN = largest_lc_kN(chain.size_mm, chain.grade)[0]
    if not chain.lc_kN >= WEAK_RATIO * usual_kN:
        slip = looks_like(chain.lc_kN, TOO_WEAK, 0.85 * usual_kN, usual_kN)
        text = f"lc_kN is {chain.lc_kN:g}, far below the {usual_kN:.4g} that {chain.size_mm:g} mm of grade "
        yield f"{chain.tag}: {text}{chain.grade} may have{slip}; read LC from the tag"
    if chain.stf_kN is None:
        return
    if not chain.stf_kN >= LEAST_STF_RATIO * chain.lc_kN:
        slip = looks_like(chain.stf_kN, TOO_WEAK, 0.05 * chain.lc_kN, 0.5 * chain.lc_kN)
        text = f"stf_kN is {chain.stf_kN:g}, far below what a tensioner reaches"
        yield f"{chain.tag}: {text}{slip}; read STF from the tag"
    if not chain.stf_kN <= USUAL_STF_KN:
        text = f"stf_kN is {chain.stf_kN:g}, more than the {USUAL_STF_KN:g} that tensioners drawn by hand usually reach"
        yield f"{chain.tag}: {text}; read STF, not LC, from the tag"


def _of_parts(chain: Chain) -> Iterator[str]:
    rated = {
        "anchor_rating_kN": chain.anchor_rating_kN,
        "shackle_rating_kN": chain.shackle_rating_kN,
        "tensioner_rating_kN": chain.tensioner_rating_kN,
    }
    for field, rating_kN in rated.items():
        if rating_kN is None:
            continue
        if not rating_kN >= WEAK_RATIO * chain.lc_kN:
            slip = looks_like(rating_kN, TOO_WEAK, 0.3 * chain.lc_kN, 3.0 * chain.lc_kN)
            yield f"{chain.tag}: {field} is {rating_kN:g}, less than a fifth of its LC, and governs{slip}; confirm it"
        if not rating_kN <= STRONG_RATIO * chain.lc_kN:
            slip = looks_like(rating_kN, TOO_STRONG[:3], 1.0, STRONG_RATIO * chain.lc_kN)
            text = f"{field} is {rating_kN:g}, more than {STRONG_RATIO:g} times its LC"
            yield f"{chain.tag}: {text}{slip}; were it too high, the line would be weaker than counted: confirm it"


def _of_size(chain: Chain) -> Iterator[str]:
    measured_mm = chain.measured_diameter_mm
    if measured_mm is not None and not measured_mm <= THICK_RATIO * chain.size_mm:
        yield f"{chain.tag}: the links measure {measured_mm:g} mm, thicker than {chain.size_mm:g} mm; is size_mm right?"
    if chain.edge_radius_mm is not None and not chain.edge_radius_mm >= SHARP_MM:
        yield f"{chain.tag}: edge_radius_mm is {chain.edge_radius_mm:g}, a sharp edge; if that is m or cm, correct it"
