"""Fields of the tables of the securing: each with its range and, outside it, the likely slip."""

from typing import Annotated

from pydantic import AfterValidator, Field, ValidationInfo

from shared.tables import figure
from transport.securing.chains import largest_lc_kN
from transport.securing.slips import LENGTH, LINK, MASS, SHARE, TOO_STRONG, looks_like, within

__all__ = [
    "Angle",
    "Capacity",
    "Cosine",
    "Friction",
    "LinkSize",
    "MarkedCapacity",
    "Mass",
    "MassTolerance",
    "Movement",
    "Point",
    "Rating",
    "Tolerance",
    "refuse_pretension",
]

FROM_DECK = "m, measured from the middle of the deck"
ENOUGH = "kN, for lashing points carry up to some 300, and more than its LC helps no chain"


def _marked(lc_kN: float, info: ValidationInfo) -> float:
    """No more than chain of the size and grade stated before it can have."""
    size_mm, grade = info.data.get("size_mm"), info.data.get("grade")
    if size_mm is None or grade is None:
        return lc_kN
    allowed_kN, reason = largest_lc_kN(size_mm, grade)
    if not lc_kN <= allowed_kN:
        raise ValueError(
            f"is {lc_kN:g}, allowed up to {allowed_kN:.4g} for {size_mm:g} mm of grade {grade} ({reason})"
            f"{looks_like(lc_kN, TOO_STRONG, 0.85 * allowed_kN, allowed_kN)}; read LC, size and grade from the tag"
        )
    return lc_kN


def refuse_pretension(stf_kN: float | None, lc_kN: float, edge_ratio: float = 1.0, edge_words: str = "") -> None:
    """Refuse a standard tension force above half of the LC that is left over an edge, with the likely slip.

    STF <= securing_largest_stf_ratio k LC; k the share of LC over the edge. Errors: ValueError.
    Source: EN 12195-1:2010, 5.4, standard tension force over lashing capacity (memory).
    """
    allowed_kN = figure("securing_largest_stf_ratio") * edge_ratio * lc_kN
    if stf_kN is not None and not stf_kN <= allowed_kN:
        raise ValueError(
            f"stf_kN is {stf_kN:g}, allowed up to half of lc_kN{edge_words} ({allowed_kN:g})"
            f"{looks_like(stf_kN, TOO_STRONG[:3], 0.02 * lc_kN, allowed_kN)}; "
            "read STF, not LC, from the tag"
        )


Coordinate = Annotated[float, AfterValidator(within(-60, 60, FROM_DECK, LENGTH, (0.02, 30)))]
Point = tuple[Coordinate, Coordinate, Coordinate]
Cosine = Annotated[float, Field(ge=-1, le=1)]
Angle = Annotated[float, Field(ge=0, le=90)]
Mass = Annotated[float, AfterValidator(within(0, 2000, "t, the unit as it travels", MASS, (1, 2000)))]
MassTolerance = Annotated[float, AfterValidator(within(0, 200, "t, the error of the weighing", MASS, (0.01, 50)))]
Tolerance = Annotated[float, AfterValidator(within(0, 1, "m, how well the point is known", LENGTH, (0.005, 0.5)))]
Movement = Annotated[float, AfterValidator(within(0, 0.2, "m, the slide until the chains hold", LENGTH, (0.001, 0.1)))]
LinkSize = Annotated[float, AfterValidator(within(4, 45, "mm, the steel of the link", LINK, (4, 45)))]
Friction = Annotated[float, AfterValidator(within(0, 1, "from the friction table or a test", SHARE, (0.05, 1)))]
Rating = Annotated[float, AfterValidator(within(0, 750, ENOUGH, TOO_STRONG[:3], (4, 400)))]
Capacity = Annotated[
    float, AfterValidator(within(0, 20000, "kN, pad or stop and the deck below", TOO_STRONG[:3], (5, 5000)))
]
MarkedCapacity = Annotated[float, AfterValidator(_marked)]
