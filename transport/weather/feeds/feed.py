"""Weather files by their first bytes, those of a station by their declared format: all end in the normal form."""

from collections.abc import Callable, Sequence
from pathlib import Path

import xarray as xr

from shared.errors import Fault, InputError
from shared.folder import sha256_of
from transport.weather.feeds import netcdf, zarr_store
from transport.weather.feeds.box import Box
from transport.weather.feeds.grib import read as grib
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.manifest import manifest_of
from transport.weather.feeds.normal_form import normal_form
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.stations import mast, metar, nmea, taf

__all__ = ["READERS", "STATIONS", "read", "read_many"]

Reader = Callable[[Path, Feed, Box | None], xr.Dataset]


def _netcdf(engine: str) -> Reader:
    return lambda path, feed, box: normal_form(netcdf.read(path, engine, box), feed)


READERS: dict[bytes, Reader] = {magic: _netcdf(engine) for magic, engine in netcdf.ENGINES.items()}
READERS[grib.MAGIC] = lambda path, feed, box: grib.read_feed(path, feed)

STATIONS: dict[str, Callable[[Path, Feed], xr.Dataset]] = {
    "taf": taf.read,
    "metar": metar.read,
    "mast": mast.read,
    "nmea": nmea.read,
}

UNREADABLE = {
    b"CDF\x05": "classic NetCDF with 64-bit data is not read; convert it to NetCDF4",
    b"BUFR": "BUFR is not read; convert it to CF NetCDF4",
    b"\x1f\x8b": "the file is compressed as a whole; unpack it first",
    b"PK\x03\x04": "the file is an archive; unpack it first",
    b"<": "the file is a web page, perhaps a login page; fetch the forecast again",
}


def read(path: Path, feed: Feed, box: Box | None = None) -> xr.Dataset:
    """Read a weather file into the normal form; of NetCDF and Zarr only what lies around the box, if one is given.

    A Zarr store is a folder; its SHA-256 in the move is that of the list of its files.

    Errors: InputError if the file is missing, of an unknown kind, broken, or structurally wrong.
    Source: CF conventions (read); first bytes of NetCDF, HDF5, GRIB and BUFR (memory).
    """
    if "://" in str(path) or ":/" in str(path)[2:]:
        raise InputError(Fault(str(path), "", "is an address; weather is read from files only, fetch it first"))
    store = feed.format == "gridded" and path.is_dir()
    head, checked = (b"", manifest_of(path)) if store else (_head(path), path)
    if feed.sha256 is not None and not (checked.is_file() and sha256_of(checked) == feed.sha256.lower()):
        raise InputError(
            Fault(checked.name, "sha256", "does not fit the file: it was changed or cut on its way, fetch it again")
        )
    if store:
        return normal_form(zarr_store.read(path, box), feed, "Zarr")
    if feed.format in STATIONS and not any(head.lstrip().startswith(magic) for magic in (*READERS, *UNREADABLE)):
        return STATIONS[feed.format](path, feed)
    for magic, reader in READERS.items() if feed.format not in STATIONS else ():
        if head.startswith(magic):
            return reader(path, feed, box)
    kinds = [text for magic, text in UNREADABLE.items() if head.lstrip().startswith(magic)]
    gridded, text = "are CF NetCDF, GRIB2 and Zarr folders", f"is text, as format '{feed.format}' says"
    allowed = text if feed.format in STATIONS else gridded
    other = f"is no weather file that can be read; allowed {allowed}"
    raise InputError(Fault(path.name, "", kinds[0] if kinds else other))


def read_many(paths: Sequence[Path], alike: Sequence[Feed], box: Box | None = None) -> list[xr.Dataset | InputError]:
    """As `read` for many files, in their order, with the fault in place of a file that is refused.

    NetCDF files are read together, the others one after the other.
    """
    engines = [_engine(path) for path in paths]
    together = [(path, engine) for path, engine in zip(paths, engines, strict=True) if engine]
    raws = iter(netcdf.read_many(together, box))
    found: list[xr.Dataset | InputError] = []
    for path, engine, feed in zip(paths, engines, alike, strict=True):
        try:
            found.append(_formed(next(raws), feed) if engine else read(path, feed, box))
        except InputError as problem:
            found.append(problem)
    return found


def _engine(path: Path) -> str:
    """The engine of a NetCDF file, "" for anything else."""
    try:
        head = b"" if path.is_dir() else _head(path)
    except InputError:
        return ""
    return next((engine for magic, engine in netcdf.ENGINES.items() if head.startswith(magic)), "")


def _formed(raw: Raw | InputError, feed: Feed) -> xr.Dataset:
    if isinstance(raw, InputError):
        raise raw
    return normal_form(raw, feed)


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
