"""Survey as CSV: what is read, and every refusal word for word."""

from pathlib import Path

import numpy as np
import pytest

from routes import survey_csv
from routes.points import Points
from shared.errors import InputError

HEADER = "easting_m,northing_m,elevation_m,crossfall_ratio,width_left_m,width_right_m,surface"
GOOD = "\n".join(
    [HEADER, *(f"{500000 + 5 * i},5738000,{100 + 0.3 * i:.1f},0.02,3.5,,gravel" for i in range(6))]
)


def read(tmp_path: Path, text: str | bytes) -> Points:
    path = tmp_path / "road.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return survey_csv.read(path)


def refused(tmp_path: Path, text: str | bytes) -> str:
    with pytest.raises(InputError) as refusal:
        read(tmp_path, text)
    return str(refusal.value)


def test_a_good_file_is_read_and_an_empty_cell_is_unknown(tmp_path: Path) -> None:
    points = read(tmp_path, GOOD)
    assert points.line == (2, 3, 4, 5, 6, 7)
    assert points.first_axis[-1] == 500025.0
    assert np.isnan(points.width_right_m).all()
    assert points.surface == ("gravel",) * 6
    assert not points.is_geographic


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD + "\n\n",
        GOOD.replace(",gravel", ', "gravel" ').replace(', "', ',"').replace('" \n', '"\n').strip() + "\n",
    ],
    ids=["byte order mark", "carriage returns", "empty lines at the end", "quotes"],
)
def test_harmless_differences_change_nothing(tmp_path: Path, text: str) -> None:
    points = read(tmp_path, text)
    assert points.elevation_m.tolist() == pytest.approx([100.0, 100.3, 100.6, 100.9, 101.2, 101.5])
    assert set(points.surface) == {"gravel"}


def test_the_last_four_columns_are_optional(tmp_path: Path) -> None:
    text = "\n".join(line.rsplit(",", 4)[0] for line in GOOD.splitlines())
    points = read(tmp_path, text)
    assert np.isnan(points.crossfall_ratio).all()
    assert points.surface == ("",) * 6


def test_longitude_and_latitude_may_stand_for_easting_and_northing(tmp_path: Path) -> None:
    points = read(tmp_path, "latitude_deg,longitude_deg,elevation_m\n-38.5,-21.3,100\n")
    assert points.is_geographic
    assert (points.first_axis[0], points.second_axis[0]) == (-21.3, -38.5)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (b"\xff\xfe\x00", "road.csv: the file is not UTF-8 text; save it as UTF-8"),
        ("", f"road.csv:1: the file is empty; the header is {HEADER}"),
        (
            GOOD.replace(",", ";"),
            "road.csv:1: fields are separated by ';'; save the file with ',' and with decimal points",
        ),
        ("easting_m," + GOOD, "road.csv:1: column 'easting_m' stands there twice; keep one"),
        (GOOD.replace("surface", "colour"), f"road.csv:1: unknown column 'colour'; the header is {HEADER}"),
        (
            "easting_m,northing_m\n1,2",
            f"road.csv:1: column 'elevation_m' is missing; the header is {HEADER}",
        ),
        (
            "longitude_deg,elevation_m\n1,2",
            f"road.csv:1: column 'latitude_deg' is missing; the header is {HEADER}",
        ),
        (
            "longitude_deg,latitude_deg,easting_m,elevation_m\n1,2,3,4",
            "road.csv:1: give easting_m and northing_m, or longitude_deg and latitude_deg, not both",
        ),
        (GOOD + f"\n{HEADER}", "road.csv:8: the header stands here again; delete this line"),
        (
            GOOD + "\n500030,5738000,101,8,0.02,3.5,3.5,gravel",
            "road.csv:8: has 8 fields, the header has 7; a decimal comma, or a field missing?",
        ),
        (
            GOOD + '\n500030,5738000,"101,8",0.02,3.5,3.5,gravel',
            "road.csv:8: elevation_m: is '101,8', a decimal comma; write a decimal point",
        ),
        (
            GOOD + "\n500030,x,nan,0.02,3.5,3.5,gravel",
            (
                "road.csv:8: northing_m: is 'x', not a number; write digits and a decimal point\n"
                "road.csv:8: elevation_m: is 'nan', not a finite number; "
                "survey the point again or delete the line"
            ),
        ),
        (
            GOOD + "\n500030,5738000,,0.02,3.5,3.5,gravel",
            "road.csv:8: elevation_m: is empty; survey the point again or delete the line",
        ),
        (
            GOOD + "\n500030,5738000,101,2.5,3.5,-1,gravel",
            (
                "road.csv:8: crossfall_ratio: is 2.5, allowed -0.2 to 0.2; a ratio: write 0.025 for 2.5 %, "
                "positive where the road falls to the right\n"
                "road.csv:8: width_right_m: is -1, allowed 0 to 50; "
                "metres from the centreline to the right edge"
            ),
        ),
        (
            "longitude_deg,latitude_deg,elevation_m\n-38.5,-121.3,100",
            (
                "road.csv:2: latitude_deg: is -121.3, allowed -85 to 85; decimal degrees, south is negative; "
                "are the two columns swapped?"
            ),
        ),
        (
            GOOD + '\n500030,5738000,101,0.02,3.5,3.5,"gravel',
            "road.csv:8: not valid CSV: unexpected end of data",
        ),
    ],
)
def test_every_refusal_names_file_and_line(tmp_path: Path, text: str | bytes, message: str) -> None:
    assert refused(tmp_path, text) == message


def test_more_points_than_allowed_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(survey_csv, "POINT_LIMIT_COUNT", 5)
    assert refused(tmp_path, GOOD) == "road.csv: more than 5 points; thin the survey out to metres"


def test_a_surface_keeps_no_control_characters(tmp_path: Path) -> None:
    points = read(tmp_path, GOOD.replace("gravel", "gra\x1b[31mvel"))
    assert points.surface[0] == "gra[31mvel"


@pytest.mark.parametrize("seed", range(40))
def test_a_damaged_file_is_refused_or_read_but_never_breaks(tmp_path: Path, seed: int) -> None:
    rng = np.random.default_rng(seed)
    data = bytearray(GOOD.encode())
    for place in rng.integers(0, len(data), 1 + seed % 5):
        data[place] ^= 1 << int(rng.integers(0, 8))
    try:
        points = read(tmp_path, bytes(data))
    except InputError:
        return
    assert np.isfinite(points.elevation_m).all()
