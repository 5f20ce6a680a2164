"""Weather files by their first bytes, those of a station by their declared format: all end in the normal form."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import xarray as xr

from shared.errors import Fault, InputError
from transport.weather.feeds import grib, mast, metar, netcdf, nmea, taf
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form

__all__ = ["READERS", "STATIONS", "read"]

Reader = Callable[[Path, Feed], xr.Dataset]


def _netcdf(engine: str) -> Reader:
    return lambda path, feed: normal_form(netcdf.read(path, engine), feed)


READERS: dict[bytes, Reader] = {magic: _netcdf(engine) for magic, engine in netcdf.ENGINES.items()}
READERS[grib.MAGIC] = grib.read_feed

STATIONS: dict[str, Reader] = {"taf": taf.read, "metar": metar.read, "mast": mast.read, "nmea": nmea.read}

UNREADABLE = {
    b"CDF\x05": "classic NetCDF with 64-bit data is not read; convert it to NetCDF4",
    b"BUFR": "BUFR is not read; convert it to CF NetCDF4",
    b"\x1f\x8b": "the file is compressed as a whole; unpack it first",
    b"PK\x03\x04": "the file is an archive; unpack it first",
    b"<": "the file is a web page, perhaps a login page; fetch the forecast again",
}


def read(path: Path, feed: Feed) -> xr.Dataset:
    """Read a weather file into the normal form.

    Errors: InputError if the file is missing, of an unknown kind, broken, or structurally wrong.
    Source: CF conventions (read); first bytes of NetCDF, HDF5, GRIB and BUFR (memory).
    """
    if "://" in str(path) or ":/" in str(path)[2:]:
        raise InputError(Fault(str(path), "", "is an address; weather is read from files only, fetch it first"))
    head = _head(path)
    if feed.sha256 is not None and _sha256(path) != feed.sha256.lower():
        raise InputError(
            Fault(path.name, "sha256", "does not fit the file: it was changed or cut on its way, fetch it again")
        )
    if feed.format in STATIONS and not any(head.lstrip().startswith(magic) for magic in (*READERS, *UNREADABLE)):
        return STATIONS[feed.format](path, feed)
    for magic, reader in READERS.items() if feed.format not in STATIONS else ():
        if head.startswith(magic):
            return reader(path, feed)
    kinds = [text for magic, text in UNREADABLE.items() if head.lstrip().startswith(magic)]
    allowed = "are CF NetCDF and GRIB2" if feed.format not in STATIONS else f"is text, as format '{feed.format}' says"
    other = f"is no weather file that can be read; allowed {allowed}"
    raise InputError(Fault(path.name, "", kinds[0] if kinds else other))


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _head(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise InputError(Fault(path.name, "", f"there is no such file in {path.parent.name or '.'}"))
        with path.open("rb") as file:
            head = file.read(16)
    except OSError as problem:
        raise InputError(Fault(path.name, "", f"cannot be read ({problem.strerror})")) from None
    if not head:
        raise InputError(Fault(path.name, "", "the file is empty; fetch it again"))
    return head
