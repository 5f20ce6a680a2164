"""What can go wrong with an input, said so that the reader can mend it."""

from collections.abc import Iterable
from typing import NamedTuple, Self

__all__ = ["Fault", "GlasshaulError", "InputError", "OutOfRangeError"]


class GlasshaulError(Exception):
    """Any error that the tool raises on purpose."""


class Fault(NamedTuple):
    """One mistake: where it stands, which field, and what is wrong, allowed and to be done."""

    where: str
    field: str
    message: str

    def __str__(self) -> str:
        return ": ".join(part for part in self if part)


class InputError(GlasshaulError):
    """An input is refused; carries every fault found, one line each."""

    def __init__(self, *faults: Fault | str) -> None:
        self.faults = tuple(fault if isinstance(fault, Fault) else Fault("", "", fault) for fault in faults)
        super().__init__("\n".join(map(str, self.faults)))

    @classmethod
    def of(cls, faults: Iterable[Fault]) -> Self:
        """Build one error from many faults."""
        return cls(*faults)


class OutOfRangeError(InputError):
    """A value lies outside the validity range of an equation or table."""
