"""The first bytes of what a server sends: is it weather at all, and could it prove by itself that it is whole?"""

from collections.abc import Collection

from transport.weather.fetching.failure import FetchError

__all__ = ["ENOUGH", "check_start", "says_its_length"]

ENOUGH = 16
NETCDF = (b"\x89HDF\r\n\x1a\n", b"CDF\x01", b"CDF\x02")


def check_start(head: bytes, format: str, kinds: Collection[bytes]) -> None:
    """Refuse an answer that is no weather before the rest of it is fetched; kinds: first bytes of readable files.

    Errors: FetchError, above all for the web page of a login that comes with status 200.
    Source: first bytes of NetCDF, HDF5 and GRIB (memory).
    """
    plain = head.lstrip(b"\xef\xbb\xbf \t\r\n")
    if not plain:
        raise FetchError("the server sent nothing")
    if plain.startswith(b"<"):
        raise FetchError("the server sent a web page instead, perhaps a login page; open the address in a browser")
    if format == "gridded" and not head.startswith(tuple(kinds)):
        raise FetchError(f"the server sent something else than a weather file (it begins with {head[:8]!r})")
    if format != "gridded" and b"\0" in head:
        raise FetchError("the server sent something else than text")


def says_its_length(head: bytes) -> bool:
    """Whether a cut file of this kind is always refused by its reader, because its header says how long it is.

    True for HDF5 (its superblock holds the address of the end of the file) and classic NetCDF (length and place of
    every variable). Not for GRIB, which cut between two messages is only a smaller ensemble, and not for text.
    Source: HDF5 file format specification, NetCDF classic format specification (memory).
    """
    return head.startswith(NETCDF)
