"""Survey as GPX 1.1: what is read, what is refused in which words, and damage that never breaks it."""

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from routes import survey_gpx
from routes.points import Points
from shared.errors import InputError

HEAD = '<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">\n'


def point(index: int, inside: str = "<ele>100.5</ele>") -> str:
    return f'<trkpt lat="{-38.5 - 1e-5 * index:.5f}" lon="-21.3">{inside}</trkpt>\n'


def track(*segments: str) -> str:
    return (
        HEAD
        + "<trk>\n"
        + "".join(f"<trkseg>\n{segment}</trkseg>\n" for segment in segments)
        + "</trk>\n</gpx>\n"
    )


GOOD = track("".join(point(index) for index in range(6)))

WAYPOINT = '<wpt lat="1" lon="2"/><metadata><time>2026-03-09T00:00:00Z</time></metadata>'
PREFIXED = re.sub(r"<(/?)(?=\w)", r"<\1g:", GOOD).replace("xmlns=", "xmlns:g=")


def read(tmp_path: Path, text: str | bytes) -> Points:
    path = tmp_path / "road.gpx"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return survey_gpx.read(path)


def refused(tmp_path: Path, text: str | bytes) -> str:
    with pytest.raises(InputError) as refusal:
        read(tmp_path, text)
    return str(refusal.value)


def test_a_track_is_read_with_its_lines(tmp_path: Path) -> None:
    points = read(tmp_path, GOOD)
    assert points.line == (4, 5, 6, 7, 8, 9)
    assert points.second_axis[1] == -38.50001
    assert points.first_axis[0] == -21.3
    assert points.is_geographic
    assert np.isnan(points.width_left_m).all()
    assert np.isnan(points.crossfall_ratio).all()


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace("<trk>", f"{WAYPOINT}<trk>"),
        GOOD.replace("<trk>", '<rte><rtept lat="1" lon="2"/></rte><trk>'),
        GOOD.replace("<ele>", "<!-- surveyed --><ele>"),
        GOOD.replace("</ele>", '</ele><extensions><x:ele xmlns:x="urn:other">9</x:ele></extensions>'),
        GOOD.replace("<trk>\n", "<trk>\n<trkseg/>\n"),
        GOOD.replace("</ele>", "</ele><geoidheight>20.0</geoidheight>"),
        PREFIXED,
    ],
    ids=["waypoint", "route beside the track", "comment", "extension", "empty segment", "geoid", "prefix"],
)
def test_what_is_not_the_track_changes_nothing(tmp_path: Path, text: str) -> None:
    points = read(tmp_path, text)
    assert points.elevation_m.tolist() == [100.5] * 6


BOMB = (
    '<?xml version="1.0"?>\n<!DOCTYPE gpx [\n<!ENTITY a "aaaaaaaaaa">\n'
    + "".join(
        f'<!ENTITY {name} "{f"&{before};" * 10}">\n'
        for before, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + "]>\n"
    + GOOD.replace("100.5", "&i;")
)
ENTITY = "road.gpx: holds a document type or an entity; delete the lines <!DOCTYPE ...> and <!ENTITY ...>"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (BOMB, ENTITY),
        ('<!DOCTYPE gpx SYSTEM "file:///etc/passwd">\n' + GOOD, ENTITY),
        ("", "road.gpx:1: not well-formed XML: no element found"),
        (GOOD.replace("</trk>", ""), "road.gpx:12: not well-formed XML: mismatched tag"),
        (
            '<?xml version="1.0" encoding="nothing"?>' + GOOD,
            "road.gpx: cannot be read as XML (unknown encoding: nothing)",
        ),
        (
            GOOD.replace('version="1.1"', 'version="1.0"'),
            (
                'road.gpx:1: is not GPX 1.1: the file must begin with <gpx version="1.1" '
                'xmlns="http://www.topografix.com/GPX/1/1">'
            ),
        ),
        (
            "<html/>",
            (
                'road.gpx:1: is not GPX 1.1: the file must begin with <gpx version="1.1" '
                'xmlns="http://www.topografix.com/GPX/1/1">'
            ),
        ),
        (track(point(0) + '<trkpt lat="95" lon="0"/>'), "road.gpx:5: lat: is 95, allowed -85 to 85"),
        (track(point(0) + '<trkpt lat="1" lon="290"/>'), "road.gpx:5: lon: is 290, allowed -180 to 180"),
        (
            track(point(0) + '<trkpt lat="1" lon="180"/>'),
            "road.gpx:5: lon: is 180, allowed -180 up to but not including 180; write -180",
        ),
        (
            track(point(0) + '<trkpt lon="1"/>'),
            "road.gpx:5: lat: is '', not a number; write digits and a decimal point",
        ),
        (
            track(point(0) + point(1, "") + point(2)),
            "road.gpx:5: ele: is missing; an elevation is never taken as 0, survey the point again",
        ),
        (
            track(point(0, "<ele>12,5</ele>")),
            "road.gpx:4: ele: is '12,5', a decimal comma; write a decimal point",
        ),
        (
            track(point(0, "<ele/>")),
            "road.gpx:4: ele: is '', not a number; write digits and a decimal point",
        ),
        (
            track(point(0, "<ele>1</ele><geoidheight>2</geoidheight>") + point(1)),
            (
                "road.gpx:5: geoidheight: some points carry geoidheight and this one does not: heights "
                "of two types may be mixed; export all points alike"
            ),
        ),
        (
            track(point(0) + point(1), point(21) + point(22)),
            (
                "road.gpx:8: a second of 2 track segments begins 22.2 m after the end of the first; "
                "reception was lost there: survey the gap and join the parts into one segment"
            ),
        ),
        (
            HEAD + f"<trk><trkseg>{point(0)}</trkseg></trk><trk><trkseg>{point(9)}</trkseg></trk></gpx>",
            (
                "road.gpx:3: a second of 2 tracks begins 10.0 m after the end of the first; "
                "reception was lost there: survey the gap and join the parts into one segment"
            ),
        ),
        (
            HEAD + '<rte><rtept lat="1" lon="2"/></rte></gpx>',
            (
                "road.gpx: holds a route (rte) and no track (trk); a route is a list of planned turn points, "
                "not a surveyed line: export the recorded track"
            ),
        ),
        (HEAD + "</gpx>", "road.gpx: holds no track point; export the surveyed line as one track"),
        (HEAD + "<a>" * 60, "road.gpx:2: elements are nested deeper than 50"),
    ],
)
def test_every_refusal_in_its_words(tmp_path: Path, text: str, message: str) -> None:
    assert refused(tmp_path, text) == message


def test_a_missing_elevation_is_never_zero(tmp_path: Path) -> None:
    assert "never taken as 0" in refused(tmp_path, GOOD.replace("<ele>100.5</ele>", ""))


def test_more_points_than_allowed_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(survey_gpx, "POINT_LIMIT_COUNT", 5)
    assert refused(tmp_path, GOOD) == "road.gpx:9: more than 5 points; thin the survey out to metres"


def test_an_encoding_that_cannot_be_decoded_is_refused(tmp_path: Path) -> None:
    text = '<?xml version="1.0" encoding="utf-7"?>' + GOOD
    assert refused(tmp_path, text).startswith("road.gpx")


@pytest.mark.parametrize("seed", range(120))
def test_a_damaged_file_is_refused_or_read_but_never_breaks(
    tmp_path: Path, seed: int, switchback: Callable[..., object], gpx_text: Callable[..., str]
) -> None:
    road = switchback(20.0)
    rng = np.random.default_rng(seed)
    data = bytearray(gpx_text(road.plan_m, road.elevation_m).encode())  # type: ignore[attr-defined]
    if seed % 10 == 0:
        del data[int(rng.integers(0, len(data))) :]
    for place in rng.integers(0, max(len(data), 1), 1 + seed % 4):
        data[place] ^= 1 << int(rng.integers(0, 8))
    try:
        points = read(tmp_path, bytes(data))
    except InputError as refusal:
        assert str(refusal).startswith("road.gpx")
        return
    assert np.isfinite(points.elevation_m).all()
    assert (np.abs(points.second_axis) <= 85.0).all()
    assert len(points.line) <= 8
