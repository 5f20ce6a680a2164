"""The decoder, run here: nodes and values of every scanning mode, what it refuses, and what it says of itself."""

import itertools
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import eccodes
import numpy as np
import pytest
from pyproj import CRS, Proj, Transformer

from transport.weather.feeds import raw
from transport.weather.feeds.grib import extract as grib_extract
from transport.weather.feeds.grib import fields as grib_fields
from transport.weather.feeds.grib.extract import FACTS, Decoder, RefusedError

Save = Callable[..., Path]
RADIUS_M = 6371229.0
MODES = list(itertools.product((0, 1), repeat=4))
LAMBERT = {
    "gridType": "lambert",
    "Nx": 7,
    "Ny": 5,
    "shapeOfTheEarth": 6,
    "latitudeOfFirstGridPointInDegrees": 40.0,
    "longitudeOfFirstGridPointInDegrees": 10.0,
    "LaDInDegrees": 45.0,
    "LoVInDegrees": 15.0,
    "Latin1InDegrees": 45.0,
    "Latin2InDegrees": 45.0,
    "DxInMetres": 50000,
    "DyInMetres": 40000,
}
POLAR = {
    "gridType": "polar_stereographic",
    "Nx": 7,
    "Ny": 5,
    "shapeOfTheEarth": 6,
    "latitudeOfFirstGridPointInDegrees": 60.0,
    "longitudeOfFirstGridPointInDegrees": 300.0,
    "LaDInDegrees": 60.0,
    "orientationOfTheGridInDegrees": 320.0,
    "projectionCentreFlag": 0,
    "DxInMetres": 50000,
    "DyInMetres": 40000,
}
MERCATOR = {
    "gridType": "mercator",
    "Ni": 7,
    "Nj": 5,
    "shapeOfTheEarth": 6,
    "latitudeOfFirstGridPointInDegrees": 20.0,
    "longitudeOfFirstGridPointInDegrees": 10.0,
    "latitudeOfLastGridPointInDegrees": 21.45,
    "longitudeOfLastGridPointInDegrees": 12.87,
    "LaDInDegrees": 20.0,
    "orientationOfTheGridInDegrees": 0.0,
    "DiInMetres": 50000,
    "DjInMetres": 40000,
}
PROJ = {
    "lambert": "+proj=lcc +lat_1=45 +lat_2=45 +lat_0=45 +lon_0=15",
    "polar_stereographic": "+proj=stere +lat_0=90 +lat_ts=60 +lon_0=320",
    "mercator": "+proj=merc +lat_ts=20",
}


@pytest.fixture
def decoded(tmp_path: Path, decoded_file: Callable[..., Decoder]) -> Callable[..., Decoder]:
    """Decode messages in this process."""

    def read(*messages: bytes, limit_bytes: int = 10**9) -> Decoder:
        path = tmp_path / "a.grib2"
        path.write_bytes(b"".join(messages))
        return decoded_file(path, limit_bytes)

    return read


def gridded(values: np.ndarray, keys: dict[str, Any]) -> bytes:
    """A message of 10 m wind speed with its values in the order of the file."""
    handle = eccodes.codes_grib_new_from_samples("regular_ll_sfc_grib2")
    for key, value in {**keys, "shortName": "10si", "typeOfGeneratingProcess": 2, "bitsPerValue": 24}.items():
        eccodes.codes_set(handle, key, value)
    eccodes.codes_set_values(handle, values.astype(float))
    message = bytes(eccodes.codes_get_message(handle))
    eccodes.codes_release(handle)
    return message


def file_order(rows: int, columns: int, mode: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Row and column, counted along growing y and x, of each value of a file.

    Source: WMO-No. 306 volume I.2, flag table 3.4, github wmo-im/GRIB2 (read)."""
    west, up, columnwise, alternate = mode
    places = []
    for outer in range(columns if columnwise else rows):
        inner = range(rows if columnwise else columns)
        for place in reversed(inner) if alternate and outer % 2 else inner:
            row, column = (place, outer) if columnwise else (outer, place)
            places.append((row if up else rows - 1 - row, columns - 1 - column if west else column))
    return np.array([row for row, _ in places]), np.array([column for _, column in places])


def scanning(mode: tuple[int, ...]) -> int:
    return sum(bit << shift for bit, shift in zip(mode, (7, 6, 5, 4), strict=True))


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("kind", ["regular_ll", "rotated_ll"])
def test_scanning_modes_of_latitude_and_longitude_grids(
    decoded: Callable[..., Decoder], kind: str, mode: tuple[int, ...]
) -> None:
    """The value of each node is known by its place; places of the turned grid by PROJ."""
    rows, columns = 4, 6
    latitude, longitude = 10.0 + np.arange(rows), 20.0 + 2.0 * np.arange(columns)
    value = 100.0 * latitude[:, None] + longitude[None, :]
    row, column = file_order(rows, columns, mode)
    keys: dict[str, Any] = {"gridType": kind, "Ni": columns, "Nj": rows}
    for name, axis, first in (("latitude", latitude, not mode[1]), ("longitude", longitude, mode[0])):
        ends = axis[::-1] if first else axis
        keys |= {f"{name}OfFirstGridPointInDegrees": ends[0], f"{name}OfLastGridPointInDegrees": ends[-1]}
    keys |= {"iDirectionIncrementInDegrees": 2.0, "jDirectionIncrementInDegrees": 1.0}
    if kind == "rotated_ll":
        keys |= {"latitudeOfSouthernPoleInDegrees": -35.0, "longitudeOfSouthernPoleInDegrees": 12.0}
        keys |= {"angleOfRotationInDegrees": 0.0}
    found = decoded(gridded(value[row, column], keys | {"scanningMode": scanning(mode)}))
    np.testing.assert_allclose(found.values[0], value, atol=0.01)
    true = np.broadcast_arrays(latitude[:, None], longitude[None, :])
    if kind == "rotated_ll":
        pole = "+proj=ob_tran +o_proj=longlat +o_lon_p=0 +o_lat_p=35 +lon_0=12"
        turned = CRS(f"{pole} +R={RADIUS_M} +to_meter=0.0174532925199433")
        back = Transformer.from_crs(turned, CRS("+proj=longlat +R=6371229"), always_xy=True)
        east, north = back.transform(true[1], true[0])
        true = north, east
        np.testing.assert_allclose(np.diff(found.axes["x"][0]), 2.0)
        np.testing.assert_allclose(np.diff(found.axes["y"][0]), 1.0)
    assert found.place is not None
    np.testing.assert_allclose(found.place[0], true[0], atol=2e-6)
    np.testing.assert_allclose((found.place[1] - true[1] + 180.0) % 360.0 - 180.0, 0.0, atol=1e-5)


@pytest.mark.parametrize("mode", [mode for mode in MODES if mode[:2] == (0, 1)])
@pytest.mark.parametrize("keys", [LAMBERT, POLAR, MERCATOR], ids=lambda keys: str(keys["gridType"]))
def test_projected_grids_against_proj(
    decoded: Callable[..., Decoder], keys: dict[str, Any], mode: tuple[int, ...]
) -> None:
    rows, columns = 5, 7
    value = 100.0 * np.arange(rows)[:, None] + np.arange(columns)[None, :]
    row, column = file_order(rows, columns, mode)
    found = decoded(gridded(value[row, column], keys | {"scanningMode": scanning(mode)}))
    np.testing.assert_allclose(found.values[0], value, atol=0.01)
    plane = Proj(f"{PROJ[keys['gridType']]} +R={RADIUS_M}")
    x, y = plane(keys["longitudeOfFirstGridPointInDegrees"], keys["latitudeOfFirstGridPointInDegrees"])
    along = np.meshgrid(x + 50000.0 * np.arange(columns), y + 40000.0 * np.arange(rows))
    longitude, latitude = plane(*along, inverse=True)
    assert found.place is not None
    tolerance_deg = 6e-3 if keys is MERCATOR else 1e-5
    np.testing.assert_allclose(found.place[0], latitude, atol=tolerance_deg)
    np.testing.assert_allclose((found.place[1] - longitude + 180.0) % 360.0 - 180.0, 0.0, atol=tolerance_deg)


@pytest.mark.parametrize("mode", [mode for mode in MODES if mode[:2] != (0, 1)])
@pytest.mark.parametrize("keys", [LAMBERT, POLAR], ids=lambda keys: str(keys["gridType"]))
def test_projected_grids_that_the_library_places_wrongly(
    decoded: Callable[..., Decoder], keys: dict[str, Any], mode: tuple[int, ...]
) -> None:
    """Rows that run down or backwards: ecCodes 2.42 puts the nodes where rows would run up, without a word."""
    message = gridded(np.arange(35.0), keys | {"scanningMode": scanning(mode)})
    with pytest.raises(RefusedError, match=r"grid with scanning mode \d+, whose nodes cannot be placed; ask for it on"):
        decoded(message)


def test_offset_rows_are_refused(decoded: Callable[..., Decoder], make_message: Any) -> None:
    with pytest.raises(RefusedError, match="regular_ll grid with scanning mode 8, whose nodes cannot be placed"):
        decoded(make_message("10u", np.ones((4, 5)), "0", None, scanningMode=8))


def test_real_file_with_alternate_rows(decoded: Callable[..., Decoder], data: Path) -> None:
    """Temperature is smooth from row to row; taken straight it would jump at both ends of every second row."""
    message = (data / "cfgrib" / "alternate-scanning.grib").read_bytes()
    found = decoded(message)
    assert found.place is not None
    field, (latitude, longitude) = found.values[0], found.place
    assert (np.diff(latitude[:, 0]) > 0).all()
    assert (np.diff(longitude[0]) > 0).all()
    straight = field.copy()
    straight[::2] = straight[::2, ::-1]
    assert np.abs(np.diff(straight, axis=0)).mean() > 4.0 * np.abs(np.diff(field, axis=0)).mean()


def test_reduced_grid_is_refused_with_its_remedy(decoded: Callable[..., Decoder]) -> None:
    handle = eccodes.codes_grib_new_from_samples("reduced_gg_sfc_grib2")
    for key, value in {"shortName": "10u", "typeOfGeneratingProcess": 2}.items():
        eccodes.codes_set(handle, key, value)
    message = bytes(eccodes.codes_get_message(handle))
    eccodes.codes_release(handle)
    with pytest.raises(RefusedError) as caught:
        decoded(message)
    assert str(caught.value) == (
        "has a grid of kind reduced_gg, allowed are regular_ll, regular_gg, rotated_ll, mercator, lambert, "
        "polar_stereographic; ask for it on a regular latitude-longitude grid, winds turned to true north"
    )


def test_regular_gaussian_grid(decoded: Callable[..., Decoder]) -> None:
    handle = eccodes.codes_grib_new_from_samples("regular_gg_sfc_grib2")
    for key, value in {"shortName": "10u", "typeOfGeneratingProcess": 2}.items():
        eccodes.codes_set(handle, key, value)
    columns, rows = (eccodes.codes_get_long(handle, key) for key in ("Ni", "Nj"))
    message = bytes(eccodes.codes_get_message(handle))
    eccodes.codes_release(handle)
    found = decoded(message)
    assert found.place is not None
    assert found.values[0].shape == found.place[0].shape == (rows, columns)
    gauss = np.rad2deg(np.arcsin(np.polynomial.legendre.leggauss(rows)[0]))
    np.testing.assert_allclose(found.place[0][:, 0], gauss, atol=1e-5)
    assert not found.axes


def test_fields_on_two_grids(decoded: Callable[..., Decoder], make_message: Any) -> None:
    one = make_message("10u", np.ones((4, 5)), "0", None)
    shifted = make_message("10v", np.ones((4, 5)), "0", None, longitudeOfFirstGridPointInDegrees=338.46)
    with pytest.raises(RefusedError, match="holds its fields on more than one grid; ask for all of them on one"):
        decoded(one, shifted)
    with pytest.raises(RefusedError, match="more than one grid"):
        decoded(one, make_message("10v", np.ones((3, 5)), "0", None))


def test_one_grid_written_in_two_ways(decoded: Callable[..., Decoder], make_message: Any) -> None:
    """Same nodes, other flags and order: one grid."""
    ramp = np.arange(20.0).reshape(4, 5)
    first = make_message("10u", ramp, "0", None)
    ends = {"latitudeOfFirstGridPointInDegrees": -38.65, "latitudeOfLastGridPointInDegrees": -38.35}
    upward = make_message("10v", ramp[::-1], "0", None, scanningMode=64, **ends)
    found = decoded(first, upward)
    np.testing.assert_allclose(found.values[0], found.values[1], atol=1e-4)


def test_size_is_counted_before_values_are_taken(decoded: Callable[..., Decoder], make_message: Any) -> None:
    two = [make_message(name, np.ones((4, 5)), "0", None) for name in ("10u", "10v")]
    assert len(decoded(*two, limit_bytes=160).values) == 2
    with pytest.raises(RefusedError, match="holds more data than allowed; cut it to the road and two grid cells"):
        decoded(*two, limit_bytes=159)


def test_facts_are_those_of_the_library(decoded: Callable[..., Decoder], make_message: Any) -> None:
    found = decoded(make_message("10fg", np.ones((4, 5)), "3-6", 2))
    facts = dict(zip(FACTS, found.facts[0], strict=True))
    assert (facts["forecastTime"], facts["lengthOfTimeRange"], facts["typeOfStatisticalProcessing"]) == (3, 3, 2)
    assert (facts["perturbationNumber"], facts["numberOfForecastsInEnsemble"]) == (2, 5)
    assert (facts["height_mm"], facts["productDefinitionTemplateNumber"]) == (10000, 11)
    assert grib_fields.rules()[facts["rule"]].name == "gust"


def test_every_failure_is_an_exit_status(
    whole: Path, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(grib_extract, "_limit_memory", lambda limit_bytes: None)
    rules = json.dumps([grib_fields.as_json(rule) for rule in grib_fields.rules()])
    out = str(tmp_path / "out.npz")
    assert grib_extract.main([str(whole), out, "1000000000", rules]) == 0
    taken = raw.load(Path(out), "whole.grib2")
    assert taken.variables["values"].shape == (676, 4, 5)
    assert int(taken.variables["fields"].values) == 676
    assert grib_extract.main([str(whole), out, "1000", rules]) == raw.REFUSED
    assert capsys.readouterr().err.splitlines()[-1].startswith("holds more data than allowed")
    assert grib_extract.main([str(tmp_path / "none.grib2"), out, "1000", rules]) == 4
    eccodes.codes_grib_multi_support_off()


def test_it_imports_nothing_of_ours() -> None:
    text = Path(grib_extract.__file__).read_text(encoding="utf-8")
    assert "from shared" not in text
    assert "from transport" not in text
