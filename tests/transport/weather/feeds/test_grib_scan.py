"""The walk over messages and sections: whole files pass, every cut and every stray byte is refused by its offset."""

from pathlib import Path
from typing import Any

import eccodes
import numpy as np
import pytest

from shared.errors import InputError
from transport.weather.feeds.grib.scan import scan


def refused(tmp_path: Path, content: bytes) -> str:
    path = tmp_path / "forecast.grib2"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        scan(path)
    return str(caught.value).removeprefix("forecast.grib2: ")


@pytest.fixture
def two(make_message: Any) -> tuple[bytes, bytes]:
    return make_message("10u", np.ones((4, 5)), "1"), make_message("10v", np.ones((4, 5)), "1")


def test_real_file_against_the_library(data: Path) -> None:
    """Messages and fields as ecCodes counts them, without and with fields that share a message."""
    path = data / "cfgrib" / "nam_excerpt.grib2"
    found = scan(path)
    assert sum(message.length for message in found) == path.stat().st_size
    with path.open("rb") as file:
        assert len(found) == eccodes.codes_count_in_file(file)
    keys, points = [], []
    eccodes.codes_grib_multi_support_on()
    with path.open("rb") as file:
        eccodes.codes_grib_multi_support_reset_file(file)
        while (handle := eccodes.codes_grib_new_from_file(file)) is not None:
            names = ("discipline", "parameterCategory", "parameterNumber")
            keys.append(tuple(eccodes.codes_get_long(handle, name) for name in names))
            points.append(eccodes.codes_get_long(handle, "numberOfDataPoints"))
            eccodes.codes_release(handle)
    eccodes.codes_grib_multi_support_off()
    fields = [field for message in found for field in message.fields]
    assert [field.key for field in fields] == keys
    assert [field.points for field in fields] == points
    assert (len(found), len(fields)) == (9, 11)


def test_edition_1_is_refused(data: Path) -> None:
    with pytest.raises(InputError) as caught:
        scan(data / "earthkit-data" / "wind_20x20.grib")
    assert str(caught.value) == (
        "wind_20x20.grib: message 1 at byte 0 is of GRIB edition 1, allowed is 2; ask the provider for edition 2"
    )


def test_cut_file(tmp_path: Path, two: tuple[bytes, bytes]) -> None:
    first, second = two
    at, left = len(first), len(second) - 7
    assert refused(tmp_path, first + second[:-7]) == (
        f"message 2 at byte {at} needs {len(second)} bytes, {left} are left: the file was cut on its way; "
        "fetch the file again"
    )
    assert refused(tmp_path, first + second[:9]) == (
        f"message 2 at byte {at} has only 9 bytes: the file was cut on its way; fetch the file again"
    )
    assert "should begin, but the bytes are no GRIB" in refused(tmp_path, first + second[:3])


@pytest.mark.parametrize("stray", [b"\n", bytes(4), b"TTAAii CCCC", b"7777"])
def test_bytes_between_and_after_messages(tmp_path: Path, two: tuple[bytes, bytes], stray: bytes) -> None:
    first, second = two
    said = (
        f"at byte {len(first)} message 2 should begin, but the bytes are no GRIB: "
        "nothing may lie between messages or after them; fetch the file again"
    )
    assert refused(tmp_path, first + stray + second) == said
    assert refused(tmp_path, first + stray) == said


def test_cut_message_in_the_middle(tmp_path: Path, two: tuple[bytes, bytes]) -> None:
    first, second = two
    said = refused(tmp_path, first[:-20] + second)
    ends = f"does not end in 7777 after {len(first)} bytes: it was cut or changed; fetch the file again"
    assert said == f"message 1 at byte 0 {ends}"
    short = first[:8] + (10).to_bytes(8, "big") + first[16:]
    assert "says that it is 10 bytes long, which no message is" in refused(tmp_path, short)


def test_sections_must_fill_the_message(tmp_path: Path, two: tuple[bytes, bytes]) -> None:
    first = two[0]
    said = "message 1 at byte 0 has sections that do not fill it: it was changed on its way; fetch the file again"
    for at, value in ((16, 255), (19, 22), (20, 3), (37, 9)):
        assert refused(tmp_path, first[:at] + bytes([value]) + first[at + 1 :]) == said


def test_every_cut_of_a_real_file_is_seen(tmp_path: Path, data: Path) -> None:
    """But for the ends of messages, where a file is whole again; there the count of fields must tell."""
    whole = (data / "cfgrib" / "nam_excerpt.grib2").read_bytes()
    ends = {message.offset for message in scan(data / "cfgrib" / "nam_excerpt.grib2")}
    for cut in sorted({*range(1, len(whole), 997), *(end + 1 for end in ends), *(end - 1 for end in ends if end)}):
        assert refused(tmp_path, whole[:cut])
