"""Decode the wanted fields of a GRIB2 file. Runs by itself in a child process: imports nothing of ours.

Call: python -I extract.py FILE OUT SIZE_LIMIT_BYTES RULES, where RULES is JSON: [{"key": [discipline, category,
number], "centre": number or null, "surfaces": [...], "low_m": ..., "high_m": ..., "processes": [...]}, ...].
Exit status 0: OUT is a .npz as the reader of the parent takes it, with `values` (message, y, x), `facts` (message,
fact), `latitude` and `longitude` (y, x), and on rotated and projected grids the axes `x` and `y`; 3: refused, the
reason on stderr; anything else: broken. Wind components stay as the grid has them; rows and columns are put so that
the grid's own x and y rise.
"""

import contextlib
import json
import sys
from typing import Any

import numpy as np

__all__ = ["COMMON", "FACTS", "INSTANT", "Decoder", "RefusedError", "main"]

COMMON = (
    *("year", "month", "day", "hour", "minute", "second", "significanceOfReferenceTime"),
    *("productionStatusOfProcessedData", "productDefinitionTemplateNumber", "resolutionAndComponentFlags"),
    *("indicatorOfUnitOfTimeRange", "forecastTime", "typeOfFirstFixedSurface"),
)
MEMBER = ("typeOfEnsembleForecast", "perturbationNumber", "numberOfForecastsInEnsemble")
END = tuple(f"{part}OfEndOfOverallTimeInterval" for part in ("year", "month", "day", "hour", "minute", "second"))
RANGE = (
    *(*END, "numberOfTimeRange", "numberOfMissingInStatisticalProcess", "typeOfStatisticalProcessing"),
    *("typeOfTimeIncrement", "indicatorOfUnitForTimeRange", "lengthOfTimeRange"),
)
FACTS = ("rule", "height_mm", *COMMON, *MEMBER, *RANGE)
KEYS = {0: COMMON, 1: COMMON + MEMBER, 8: COMMON + RANGE, 11: COMMON + MEMBER + RANGE}
INSTANT, ABSENT, HEIGHT_ABOVE_GROUND, NO_SURFACE = -1, -1, 103, 255
FORECASTS = {0, 2, 3, 4, 11, 12, 13, 14, *range(192, 255)}  # code table 4.3: no errors, climate, probabilities
GRIDS = ("regular_ll", "regular_gg", "rotated_ll", "mercator", "lambert", "polar_stereographic")
PROJECTED = GRIDS[3:]
REGULAR = "ask for it on a regular latitude-longitude grid, winds turned to true north"
MISSING, FARTHEST = 1e36, 1e7


class RefusedError(Exception):
    """The file is refused, with a reason for the user."""


class Decoder:
    """Takes the messages of one file, one after the other."""

    def __init__(self, library: Any, rules: list[dict[str, Any]], size_limit_bytes: int) -> None:
        """Set up for one file; `library` is eccodes."""
        self.library, self.rules, self.left_bytes = library, rules, size_limit_bytes
        self.values: list[np.ndarray] = []
        self.facts: list[list[int]] = []
        self.other: dict[str, int] = {}
        self.grids: dict[str, None] = {}
        self.place: tuple[np.ndarray, np.ndarray] | None = None
        self.axes: dict[str, tuple[np.ndarray, dict[str, str]]] = {}
        self.fields = 0

    def read(self, file: str) -> None:
        """Decode all wanted fields of a file; wind components that share a message are two fields."""
        self.library.codes_grib_multi_support_on()
        with open(file, "rb") as stream:  # noqa: PTH123 - the library needs a plain file
            self.library.codes_grib_multi_support_reset_file(stream)  # else a file left half read may be taken for it
            while (handle := self.library.codes_grib_new_from_file(stream)) is not None:
                try:
                    self._take(handle)
                finally:
                    self.library.codes_release(handle)

    def _take(self, handle: Any) -> None:
        self.fields += 1
        rule, height_m = self._rule(handle)
        if rule is None:
            parts = (self.library.codes_get(handle, key) for key in ("shortName", "typeOfLevel", "level", "stepType"))
            template = self._long(handle, "productDefinitionTemplateNumber")
            name = "{} ({} {}, {}, template {})".format(*parts, template)
            self.other[name] = self.other.get(name, 0) + 1
            return
        self._check_size(handle)
        self._check_grid(handle)
        template = self._long(handle, "productDefinitionTemplateNumber")
        found = {key: self._long(handle, key) for key in KEYS[template]}
        found |= {"rule": rule, "height_mm": round(1000.0 * height_m)}
        self.facts.append([found.get(fact, ABSENT) for fact in FACTS])
        self.values.append(self._values(handle))

    def _long(self, handle: Any, key: str) -> int:
        return int(self.library.codes_get_long(handle, key))

    def _rule(self, handle: Any) -> tuple[int | None, float]:
        """Number of the rule that a message fits, None if it is not needed, and its height above ground."""
        key = [self._long(handle, name) for name in ("discipline", "parameterCategory", "parameterNumber")]
        template, rules = self._long(handle, "productDefinitionTemplateNumber"), list(enumerate(self.rules))
        rules = [(number, rule) for number, rule in rules if rule["key"] == key and template in KEYS]
        if not rules or self._long(handle, "typeOfGeneratingProcess") not in FORECASTS:
            return None, 0.0
        held = RANGE[-1] in KEYS[template]
        process = self._long(handle, "typeOfStatisticalProcessing") if held else INSTANT
        surfaces = [self._long(handle, f"typeOf{which}FixedSurface") for which in ("First", "Second")]
        height_m = self._height_m(handle) if surfaces[0] == HEIGHT_ABOVE_GROUND else 0.0
        for number, rule in rules:
            local = rule["centre"] not in (None, self._long(handle, "centre"))
            level = surfaces[0] in rule["surfaces"] and rule["second"] in (None, surfaces[1])
            if surfaces[0] == HEIGHT_ABOVE_GROUND:
                level &= rule["low_m"] - 0.01 <= height_m <= rule["high_m"] + 0.01
            if level and process in rule["processes"] and not local:
                return number, height_m
        return None, 0.0

    def _height_m(self, handle: Any) -> float:
        scale = self._long(handle, "scaleFactorOfFirstFixedSurface")
        value = self._long(handle, "scaledValueOfFirstFixedSurface")
        layer = self._long(handle, "typeOfSecondFixedSurface") != NO_SURFACE
        return float("nan") if layer or abs(scale) >= 10 else float(value) / 10.0**scale

    def _check_size(self, handle: Any) -> None:
        self.left_bytes -= 4 * self._long(handle, "numberOfDataPoints")
        if self.left_bytes < 0:
            raise RefusedError("holds more data than allowed; cut it to the road and two grid cells around it")

    def _check_grid(self, handle: Any) -> None:
        if (sign := str(self.library.codes_get(handle, "md5GridSection"))) in self.grids:
            return
        place = self._place(handle)
        if self.place is None:
            self.place, self.axes = place, self._axes(handle)
        elif place[0].shape != self.place[0].shape or not np.allclose(place, self.place, rtol=0.0, atol=1e-6):
            raise RefusedError("holds its fields on more than one grid; ask for all of them on one")
        self.grids[sign] = None

    def _place(self, handle: Any) -> tuple[np.ndarray, np.ndarray]:
        """Latitude and longitude of the nodes. The library forgets the scanning mode on projected grids, and the
        alternate direction of rows on every grid, so it is asked only for what it places rightly."""
        kind, mode = str(self.library.codes_get(handle, "gridType")), self._long(handle, "scanningMode")
        if kind not in GRIDS:
            raise RefusedError(f"has a grid of kind {kind}, allowed are {', '.join(GRIDS)}; {REGULAR}")
        if mode & 0x0F or (kind in PROJECTED and mode & 0xC0 != 0x40):
            raise RefusedError(f"has a {kind} grid with scanning mode {mode}, whose nodes cannot be placed; {REGULAR}")
        plain = self.library.codes_clone(handle)
        try:
            self.library.codes_set_long(plain, "scanningMode", mode & 0xC0)
            names = ("latitudes", "longitudes")
            found = [np.asarray(self.library.codes_get_array(plain, name), dtype=np.float64) for name in names]
        finally:
            self.library.codes_release(plain)
        columns, rows = self._long(handle, "Nx"), self._long(handle, "Ny")
        latitude, longitude = (self._rising(values.reshape(rows, columns), mode) for values in found)
        return latitude, longitude

    def _axes(self, handle: Any) -> dict[str, tuple[np.ndarray, dict[str, str]]]:
        """The grid's own axes, rising, from its first node, which is the least where x and y rise."""
        kind, sizes = str(self.library.codes_get(handle, "gridType")), ("Nx", "Ny")
        if kind in PROJECTED:
            steps = [float(self.library.codes_get_double(handle, f"D{axis}InMetres")) for axis in "xy"]
            named = [{"standard_name": f"projection_{axis}_coordinate", "units": "m"} for axis in "xy"]
        elif kind == "rotated_ll":
            steps = [
                float(self.library.codes_get_double(handle, f"{axis}DirectionIncrementInDegrees")) for axis in "ij"
            ]
            named = [{"standard_name": f"grid_{name}", "units": "degree"} for name in ("longitude", "latitude")]
        else:
            return {}
        if not all(0.0 < step < FARTHEST for step in steps):
            raise RefusedError(f"has a {kind} grid that does not tell how far its nodes lie apart; {REGULAR}")
        along = [np.arange(self._long(handle, size)) * step for size, step in zip(sizes, steps, strict=True)]
        return {axis: (values, attrs) for axis, values, attrs in zip("xy", along, named, strict=True)}

    def _rising(self, rows: np.ndarray, mode: int) -> np.ndarray:
        rows = rows[:, ::-1] if mode & 0x80 else rows
        return rows if mode & 0x40 else rows[::-1]

    def _values(self, handle: Any) -> np.ndarray:
        """Values as (y, x), x and y rising, NaN where missing.      Source: flag table 3.4 (read)."""
        self.library.codes_set_double(handle, "missingValue", MISSING)
        values = np.asarray(self.library.codes_get_values(handle), dtype=np.float64)
        values[values == MISSING] = np.nan
        columns, rows, mode = self._long(handle, "Nx"), self._long(handle, "Ny"), self._long(handle, "scanningMode")
        shaped = values.reshape((columns, rows) if mode & 0x20 else (rows, columns))
        if mode & 0x10:
            shaped[1::2] = shaped[1::2, ::-1].copy()
        return self._rising(shaped.T if mode & 0x20 else shaped, mode).astype(np.float32)


def _write(out: str, decoder: Decoder) -> None:
    place = decoder.place if decoder.place is not None else (np.zeros((0, 0)), np.zeros((0, 0)))
    arrays = {
        "values": (("message", "y", "x"), np.stack(decoder.values) if decoder.values else np.zeros((0, 0, 0))),
        "facts": (("message", "fact"), np.array(decoder.facts, dtype=np.int64).reshape(-1, len(FACTS))),
        "latitude": (("y", "x"), place[0]),
        "longitude": (("y", "x"), place[1]),
        "fields": ((), np.array(decoder.fields)),
    }
    arrays |= {axis: ((axis,), values) for axis, (values, _) in decoder.axes.items()}
    attrs = {axis: attrs for axis, (_, attrs) in decoder.axes.items()}
    listed = [{"name": name, "dims": dims, "attrs": attrs.get(name, {})} for name, (dims, _) in arrays.items()]
    header = json.dumps({"names": [f"{name}: {count}" for name, count in decoder.other.items()], "variables": listed})
    data = {f"v{number}": values for number, (_, values) in enumerate(arrays.values())}
    np.savez(out, allow_pickle=False, header=np.frombuffer(header.encode(), dtype=np.uint8), **data)


def _limit_memory(size_limit_bytes: int) -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        limit_bytes = 3 * size_limit_bytes + 3_000_000_000
        resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, limit_bytes))


def main(arguments: list[str]) -> int:
    """Read as asked on the command line; every failure is a reason in one line on stderr."""
    file, out, limit_bytes, rules = arguments
    _limit_memory(int(limit_bytes))
    try:
        import eccodes

        decoder = Decoder(eccodes, json.loads(rules), int(limit_bytes))
        decoder.read(file)
        _write(out, decoder)
    except RefusedError as refused:
        sys.stderr.write(f"\n{refused}")
        return 3
    except Exception as problem:  # a broken file may raise anything, and all of it means: cannot be read
        sys.stderr.write(repr(problem))
        return 4
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
