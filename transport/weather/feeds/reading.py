"""One file while it is being brought to the normal form: its clock, its grid, its members, and fields on request."""

from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np

from shared.errors import Fault, InputError
from transport.weather.feeds import cf
from transport.weather.feeds.clock import Clock, clock_of, decoded, one_of
from transport.weather.feeds.grids.grid import Grid
from transport.weather.feeds.grids.nodes import grid_of
from transport.weather.feeds.raw import Raw
from transport.weather.fields import Instants, Values

__all__ = ["Reading", "reading_of"]


@dataclass(frozen=True)
class Reading:
    """A file, what its axes mean, and what is noted on the way: remarks, what was read, derived from it, or absent."""

    raw: Raw
    clock: Clock
    grid: Grid
    member: str | None
    labels: np.ndarray
    remarks: list[str] = field(default_factory=list)
    read: list[str] = field(default_factory=list)
    derived: list[str] = field(default_factory=list)
    absent: list[str] = field(default_factory=list)

    @property
    def shape(self) -> tuple[int, int, int, int]:
        """Size of a field: members, times, rows, columns."""
        return len(self.labels), len(self.clock.time), len(self.grid.rows), len(self.grid.columns)

    def refuse(self, name: str, message: str) -> InputError:
        """An error that names the file and the variable."""
        return InputError(Fault(self.raw.file, name, message))

    def remark(self, text: str) -> None:
        """Note something that the reader of the result should know."""
        self.remarks.append(f"{self.raw.file}: {text}")

    def derive(self, text: str) -> None:
        """Note what was derived from what."""
        self.derived.append(text)

    def _note_read(self, standard_name: str, name: str, method: str) -> None:
        height_m = cf.height_m(self.raw, name)
        parts = [
            str(self.raw.variables[name].attrs.get("units")),
            *([] if height_m is None else [f"at {height_m:g} m"]),
            *([f"time: {method}"] if method else []),
        ]
        self.read.append(f"{standard_name} from {name} ({', '.join(parts)})")

    def method(self, standard_name: str) -> str:
        """How a field of this name sums up time; "" if the file lacks it."""
        name = cf.field_name(self.raw, standard_name)
        return "" if name is None else cf.time_method(self.raw, name, self.clock)

    def values(self, standard_name: str, methods: Collection[str]) -> Values | None:
        """A field over members and time that sums up time in one of these ways; None if the file lacks it."""
        name = cf.field_name(self.raw, standard_name)
        if name is None:
            return None
        if (method := self.method(standard_name)) not in methods:
            allowed = ", ".join(methods)
            raise self.refuse(name, f"cell_methods says 'time: {method}' for {standard_name}, allowed is {allowed}")
        self._check_members(name)
        if self.clock.dimension not in self.raw.variables[name].dims:
            raise self.refuse(name, "lacks the time axis")
        self._note_read(standard_name, name, method)
        return np.broadcast_to(cf.field(self.raw, name, self.clock, self.grid, self.member), self.shape)

    def _check_members(self, name: str) -> None:
        """A mean over the members hides the strong ones, and no gate could see it afterwards."""
        methods = cf.axis_methods(self.raw, name)
        for axis in ("realization", *((self.member,) if self.member else ())):
            if (method := methods.get(axis, "point")) != "point":
                what = f"cell_methods says '{axis}: {method}', which hides what single members say"
                raise self.refuse(name, f"{what}; fetch the members themselves")

    def fixed(self, standard_name: str) -> Values | None:
        """A field that does not change, (latitude, longitude); None if the file lacks it."""
        name = cf.field_name(self.raw, standard_name)
        if name is None:
            return None
        if set(self.raw.variables[name].dims) != {self.grid.row, self.grid.column}:
            raise self.refuse(name, "must be fixed: latitude and longitude are its only axes")
        self._note_read(standard_name, name, "")
        return np.asarray(cf.field(self.raw, name, self.clock, self.grid, self.member)[0], dtype=np.float64)

    def bounds(self, standard_name: str) -> tuple[Instants, Instants] | None:
        """Start and end of each interval of a field: its own, else those of the time axis; None if none are stated.

        A field of longer intervals than the steps of the clock has one interval at several times.
        """
        axis = self.raw.variables[str(one_of(self.raw, "time"))]
        field = self.raw.variables[str(cf.field_name(self.raw, standard_name))]
        own = field.attrs.get("intervals")
        if (name := own or axis.attrs.get("bounds")) is None:
            return None
        if (variable := self.raw.variables.get(name)) is None:
            raise self.refuse(name, "is named as the bounds of time, but is not in the file")
        units, calendar = (variable.attrs.get(key, axis.attrs.get(key)) for key in ("units", "calendar"))
        times = decoded(variable, units, calendar, self.raw.file, name)
        if times.shape != (len(self.clock.time), 2):
            raise self.refuse(name, f"has shape {times.shape}, allowed is one pair for each time")
        start, end = times[:, 0], times[:, 1]
        whole = not np.isnat(times).any() and bool(((start <= self.clock.time) & (self.clock.time <= end)).all())
        zero = np.timedelta64(0, "s")
        rising = np.diff(end) >= zero if own else np.diff(end) > zero
        if not (whole and (np.diff(start) >= zero).all() and rising.all()):
            raise self.refuse(name, "intervals must rise, be complete and hold their own time; correct the file")
        return start, end


def reading_of(raw: Raw) -> Reading:
    """Find out what the axes of a file mean.

    Errors: InputError for a clock, grid or ensemble axis that is not understood.      Source: CF conventions (read).
    """
    return Reading(raw, clock_of(raw), grid_of(raw), *cf.members_of(raw))
