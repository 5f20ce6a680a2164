"""What is told from the first bytes.

Source of the values: the first 8 bytes of a real NetCDF4 and of a real classic file, made by the NetCDF library and by
scipy in the test; login pages from memory of the web.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
import xarray as xr

from transport.weather.feeds.feed import READERS
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.first_bytes import check_start, says_its_length


@pytest.mark.parametrize("engine", ["netcdf4", "scipy"])
def test_real_files_pass_and_say_their_length(content: xr.Dataset, write: Callable[..., Path], engine: str) -> None:
    head = write(content, engine=engine).read_bytes()[:16]
    check_start(head, "gridded", READERS)
    assert says_its_length(head)


@pytest.mark.parametrize(
    ("head", "format", "said"),
    [
        (b"<!DOCTYPE html>", "gridded", "a web page instead, perhaps a login page"),
        (b"\xef\xbb\xbf \r\n<html>", "gridded", "a web page instead"),
        (b"  <html lang=", "taf", "a web page instead"),
        (b"", "gridded", "sent nothing"),
        (b" \r\n ", "taf", "sent nothing"),
        (b'{"error": "key"}', "gridded", "something else than a weather file"),
        (b"TAF\0\0", "taf", "something else than text"),
    ],
)
def test_others_are_refused(head: bytes, format: str, said: str) -> None:
    with pytest.raises(FetchError, match=said) as caught:
        check_start(head, format, READERS)
    assert not caught.value.again


def test_text_and_messages_do_not_say_their_length() -> None:
    check_start(b"TAF BRNK 090500Z", "taf", READERS)
    for head in (b"TAF BRNK 090500Z", b"GRIB\0\0\0\2", b"BUFR"):
        assert not says_its_length(head)
