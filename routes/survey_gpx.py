"""Survey as GPX 1.1: the points of one unbroken track. Entities and document types are refused.

A new track segment means that reception was lost, so segments are never joined. A route (`rte`) holds planned
turn points, not a surveyed line. Source: GPX 1.1 schema, topografix.com/GPX/1/1 (read in a public copy).
"""

import io
from pathlib import Path
from typing import Never
from xml.sax import SAXException, SAXParseException
from xml.sax.handler import ContentHandler, feature_namespaces
from xml.sax.xmlreader import AttributesNSImpl, Locator

import numpy as np
from defusedxml.common import DefusedXmlException
from defusedxml.sax import make_parser
from pyproj import Geod

from routes.points import POINT_LIMIT_COUNT, Points, content, number
from shared.errors import Fault, InputError

__all__ = ["read"]

NAMESPACE = "http://www.topografix.com/GPX/1/1"
DEPTH_LIMIT_COUNT = 50
LONGEST_NUMBER = 60

Fix = tuple[int, float, float, float]


def read(path: Path) -> Points:
    """Read the track; every fault is named with file and line."""
    track = _Track(path.name)
    parser = make_parser()
    parser.forbid_dtd = True
    parser.setFeature(feature_namespaces, True)
    parser.setContentHandler(track)
    try:
        parser.parse(io.BytesIO(content(path)))
    except DefusedXmlException:
        raise InputError(
            Fault(
                path.name,
                "",
                "holds a document type or an entity; delete the lines <!DOCTYPE ...> and <!ENTITY ...>",
            )
        ) from None
    except SAXParseException as problem:
        fault = Fault(
            f"{path.name}:{problem.getLineNumber()}", "", f"not well-formed XML: {problem.getMessage()}"
        )
        raise InputError(fault) from None
    except (SAXException, LookupError, ValueError) as problem:
        raise InputError(f"{path.name}: cannot be read as XML ({problem})") from None
    return _points(path.name, track)


class _Track(ContentHandler):
    """Collects the track points, with the line on which each stands."""

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file
        self.tracks_count = 0
        self.routes_count = 0
        self.segments: list[list[Fix]] = []
        self.geoid_lines: list[int] = []
        self._open: list[str] = []
        self._text: list[str] | None = None
        self._fix: dict[str, float] = {}
        self._fix_line = 0
        self._locator: Locator | None = None

    def setDocumentLocator(self, locator: Locator) -> None:  # noqa: N802 - name given by the SAX interface
        self._locator = locator

    def startElementNS(  # noqa: N802 - name given by the SAX interface
        self, name: tuple[str | None, str], qname: str | None, attrs: AttributesNSImpl
    ) -> None:
        space, tag = name
        self._open.append(tag if space == NAMESPACE else "")
        if len(self._open) > DEPTH_LIMIT_COUNT:
            self._stop("", f"elements are nested deeper than {DEPTH_LIMIT_COUNT}")
        path = "/".join(self._open)
        if len(self._open) == 1:
            self._root(space, tag, attrs)
        elif path == "gpx/rte":
            self.routes_count += 1
        elif path == "gpx/trk":
            self.tracks_count += 1
        elif path == "gpx/trk/trkseg":
            self.segments.append([])
        elif path == "gpx/trk/trkseg/trkpt":
            self._begin_point(attrs)
        elif path in ("gpx/trk/trkseg/trkpt/ele", "gpx/trk/trkseg/trkpt/geoidheight"):
            self._text = []

    def characters(self, content: str) -> None:
        if self._text is not None:
            self._text.append(content[:LONGEST_NUMBER])

    def endElementNS(self, name: tuple[str | None, str], qname: str | None) -> None:  # noqa: N802
        path = "/".join(self._open)
        self._open.pop()
        if path == "gpx/trk/trkseg/trkpt/ele":
            self._fix["ele"] = self._number("ele", self._taken_text(), -450.0, 7000.0)
        elif path == "gpx/trk/trkseg/trkpt/geoidheight":
            self._number("geoidheight", self._taken_text(), -200.0, 200.0)
            self.geoid_lines.append(self._fix_line)
        elif path == "gpx/trk/trkseg/trkpt":
            self._end_point()

    def _root(self, space: str | None, tag: str, attrs: AttributesNSImpl) -> None:
        if (space, tag) != (NAMESPACE, "gpx") or attrs.get((None, "version")) != "1.1":
            self._stop(
                "", f'is not GPX 1.1: the file must begin with <gpx version="1.1" xmlns="{NAMESPACE}">'
            )

    def _begin_point(self, attrs: AttributesNSImpl) -> None:
        self._fix_line = self._line()
        self._fix = {
            "lat": self._number("lat", attrs.get((None, "lat")), -85.0, 85.0),
            "lon": self._number("lon", attrs.get((None, "lon")), -180.0, 180.0),
        }
        if self._fix["lon"] == 180.0:
            self._stop("lon", "is 180, allowed -180 up to but not including 180; write -180")

    def _end_point(self) -> None:
        if "ele" not in self._fix:
            self._stop(
                "ele", "is missing; an elevation is never taken as 0, survey the point again", self._fix_line
            )
        if sum(map(len, self.segments)) >= POINT_LIMIT_COUNT:
            self._stop("", f"more than {POINT_LIMIT_COUNT} points; thin the survey out to metres")
        self.segments[-1].append((self._fix_line, self._fix["lon"], self._fix["lat"], self._fix["ele"]))

    def _taken_text(self) -> str:
        text, self._text = "".join(self._text or []).strip(), None
        return text

    def _number(self, field: str, text: str | None, low: float, high: float) -> float:
        try:
            return number(text or "", low, high)
        except ValueError as problem:
            self._stop(field, str(problem))

    def _line(self) -> int:
        return int(self._locator.getLineNumber() or 0) if self._locator else 0

    def _stop(self, field: str, message: str, line: int = 0) -> Never:
        raise InputError(Fault(f"{self.file}:{line or self._line()}", field, message))


def _points(file: str, track: _Track) -> Points:
    segments = [segment for segment in track.segments if segment]
    _refuse_gaps(file, track, segments)
    line, longitude_deg, latitude_deg, elevation_m = zip(*segments[0], strict=True)
    _refuse_mixed_heights(file, track, line)
    unknown = np.full(len(line), np.nan)
    return Points(
        file=file,
        line=line,
        first_axis=np.array(longitude_deg),
        second_axis=np.array(latitude_deg),
        is_geographic=True,
        elevation_m=np.array(elevation_m),
        crossfall_ratio=unknown,
        width_left_m=unknown,
        width_right_m=unknown,
        surface=("",) * len(line),
    )


def _refuse_gaps(file: str, track: _Track, segments: list[list[Fix]]) -> None:
    if not segments and track.routes_count:
        raise InputError(
            f"{file}: holds a route (rte) and no track (trk); a route is a list of planned turn points, "
            "not a surveyed line: export the recorded track"
        )
    if not segments:
        raise InputError(f"{file}: holds no track point; export the surveyed line as one track")
    if len(segments) > 1:
        gap_m = _distance_m(segments[0][-1], segments[1][0])
        kind = "tracks" if track.tracks_count > 1 else "track segments"
        message = (
            f"a second of {len(segments)} {kind} begins {gap_m:.1f} m after the end of the first; "
            "reception was lost there: survey the gap and join the parts into one segment"
        )
        raise InputError(Fault(f"{file}:{segments[1][0][0]}", "", message))


def _refuse_mixed_heights(file: str, track: _Track, line: tuple[int, ...]) -> None:
    given = set(track.geoid_lines)
    if given and (bare := sorted(set(line) - given)):
        message = "some points carry geoidheight and this one does not: heights of two types may be mixed"
        raise InputError(Fault(f"{file}:{bare[0]}", "geoidheight", f"{message}; export all points alike"))


def _distance_m(begin: Fix, end: Fix) -> float:
    return float(Geod(ellps="WGS84").inv(begin[1], begin[2], end[1], end[2])[2])
