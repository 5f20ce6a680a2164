"""Log files of NMEA 0183 sentences: wind of MWV or MDA, each with its checksum and its time, summed up to 10 minutes.

A line is either dated by the logger (ISO 8601 with Z) or by the clock sentences (ZDA) around it. What no reader can
see: whether "theoretical" wind of a moving vehicle was worked out rightly.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations.mast_checks import believed
from transport.weather.feeds.stations.nmea_sentence import Clock, Gate, Sample, sentence
from transport.weather.feeds.stations.nmea_summary import Summary, summary
from transport.weather.feeds.stations.plain_text import lines_of
from transport.weather.feeds.stations.point import Series, point
from transport.weather.fields import bounds_of

__all__ = ["read"]

MEANINGS = {"MWV T": "MWV, theoretical (true) speed", "MWV R": "MWV, relative, instrument at rest", "MDA": "MDA"}


def read(path: Path, feed: Feed) -> xr.Dataset:
    """Read a log of NMEA 0183 sentences into the normal form.

    Errors: InputError if the file holds no dated wind, or only wind relative to an instrument that may move.
    Source: NMEA 0183, MWV fields as printed at docs.vaisala.com (read); MDA and ZDA as fields of pynmea2 (read).
    """
    refused: Counter[str] = Counter()
    gate = Gate(bounds_of("gust_mps").high, refused)
    samples = list(_dated(_sentences(lines_of(path), path.name, gate), refused))
    kind = _chosen(samples, feed, path.name, refused)
    used = [sample for sample in samples if sample.kind in (kind, "")]
    found = summary(used, feed.zero_points_deg if kind.startswith("MWV") else 0.0, path.name)
    return point(path.name, feed, _series(found, kind, feed, _refused(refused)))


def _sentences(lines: Sequence[str], file: str, gate: Gate) -> Iterator[Sample | Clock]:
    for number, line in enumerate(lines, start=1):
        if line.strip():
            yield from sentence(line, f"{file}:{number}", gate)


def _dated(found: Iterator[Sample | Clock], refused: Counter[str]) -> Iterator[Sample]:
    """Give samples without a time of their own one between the two clock sentences around them."""
    stale_s, clock, waiting = figure("weather_clock_stale_s"), float("nan"), list[Sample]()
    for item in found:
        if isinstance(item, Sample) and item.at_s == item.at_s:
            yield item
        elif isinstance(item, Sample):
            waiting.append(item)
        else:
            if item.at_s < clock:
                raise InputError(
                    Fault(item.where, "ZDA", "lies before the clock sentence above it; was the clock set?")
                )
            fresh = item.at_s - clock <= stale_s
            for place, sample in enumerate(waiting if fresh else ()):
                yield sample._replace(at_s=clock + (item.at_s - clock) * place / len(waiting))
            refused["without a time"] += 0 if fresh else len(waiting)
            clock, waiting = item.at_s, []
    refused["without a time"] += len(waiting)


def _chosen(samples: Sequence[Sample], feed: Feed, file: str, refused: Counter[str]) -> str:
    kinds = {sample.kind for sample in samples if sample.speed_mps == sample.speed_mps}
    allowed = ("MWV T", "MWV R", "MDA") if feed.standing else ("MWV T",)
    chosen = next((kind for kind in allowed if kind in kinds), None)
    if chosen is not None:
        return chosen
    if kinds:
        what = f"holds only wind relative to the instrument ({', '.join(sorted(kinds))}), which may move"
        raise InputError(Fault(file, "standing", f"{what}; if it stands still, set standing = true"))
    told = "; ".join(_refused(refused)) or "no MWV or MDA sentence"
    raise InputError(Fault(file, "", f"holds no dated wind that can be used: {told}"))


def _refused(refused: Counter[str]) -> list[str]:
    named = ", ".join(f"{count} {why}" for why, count in sorted(refused.items()) if count)
    return [f"lines left out: {named}"] if named else []


def _series(found: Summary, kind: str, feed: Feed, remarks: list[str]) -> Series:
    minutes = figure("weather_summary_min")
    fields = {"wind_from_deg": found.from_deg}
    said = [*remarks, *found.remarks]
    for name, values in (("mean_wind_mps", found.mean_mps), ("gust_mps", found.gust_mps)):
        fields[name], lost = believed(values, name, name, minutes / 60.0)
        said += lost
    start = found.end - np.timedelta64(round(60 * minutes), "s")
    derived = [f"mean: scalar mean of the samples of {minutes:g} min; direction: mean of the vectors", found.gust_words]
    if feed.zero_points_deg is None and kind.startswith("MWV"):
        derived.append("angles count from the instrument's own zero, so the wind may come from anywhere")
    return Series("NMEA 0183", found.end, start, found.end, fields, [f"wind from {MEANINGS[kind]}"], derived, said)
