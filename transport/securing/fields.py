"""Fields of the tables of the securing: each with its range and, outside it, the likely slip."""

from typing import Annotated

from pydantic import AfterValidator, Field

from transport.securing.slips import LENGTH, LINK, MASS, SHARE, TOO_STRONG, within

__all__ = [
    "Angle",
    "Capacity",
    "Cosine",
    "Friction",
    "LinkSize",
    "Mass",
    "MassTolerance",
    "Movement",
    "Point",
    "Rating",
    "Tolerance",
]

FROM_DECK = "m, measured from the middle of the deck"
ENOUGH = "kN, for lashing points carry up to some 300, and more than its LC helps no chain"

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
