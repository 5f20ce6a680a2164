"""Zarr folders, of format 2 or 3: only with a list of their files, since a lost chunk reads as a number."""

from importlib.util import find_spec
from pathlib import Path

from shared.errors import Fault, InputError
from transport.weather.feeds.box import Box, box_text
from transport.weather.feeds.manifest import check_manifest
from transport.weather.feeds.netcdf import STANDARD_NAMES
from transport.weather.feeds.raw import Raw, extracted

__all__ = ["read"]

MARKS = {"zarr.json": "3", ".zgroup": "2"}


def read(path: Path, box: Box | None = None) -> Raw:
    """Read the wanted variables of a store around the box, undecoded, after every file of it was checked.

    Errors: InputError if it is no Zarr folder, its list is missing or does not fit, or the reader fails.
    Source: Zarr specification, versions 2 and 3 (memory); CF conventions (read).
    """
    version = _version(path)
    check_manifest(path)
    if find_spec("zarr") is None:
        what = "is a Zarr store, and the package that reads it is not installed"
        raise InputError(Fault(path.name, "", f"{what}; pip install 'glasshaul[zarr]'"))
    script = Path(__file__).with_name("zarr_extract.py")
    return extracted(path, script, box_text(box), version, *STANDARD_NAMES)


def _version(path: Path) -> str:
    found = [mark for mark in MARKS if (path / mark).is_file()]
    if not found:
        kinds = " nor ".join(MARKS)
        raise InputError(Fault(path.name, "", f"is a folder, but no Zarr store: it holds neither {kinds}"))
    if len(found) > 1:
        raise InputError(Fault(path.name, "", f"holds both {' and '.join(found)}; write it anew in one format"))
    return MARKS[found[0]]
