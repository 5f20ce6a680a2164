"""GRIB files of edition 2: scanned byte by byte, the needed messages decoded in a child process, and put together.

What no reader can see: one flipped bit in packed values that leaves a believable number, or in a header that turns a
message into another one that also fits. `sha256` of [[weather.feed]] holds the provider's checksum.
"""

import json
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

import xarray as xr

from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.grib.fields import as_json, rules
from transport.weather.feeds.grib.raw import Found, found_in
from transport.weather.feeds.grib.scan import Message, scan
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.feeds.raw import Raw, extracted

__all__ = ["MAGIC", "assembled", "read", "read_feed"]

MAGIC = b"GRIB"


def read_feed(path: Path, feed: Feed) -> xr.Dataset:
    """Read a GRIB file into the normal form, with what was read from it.

    Errors: as `read` and `normal_form`.      Source: WMO-No. 306 volume I.2, FM 92 GRIB edition 2 (read).
    """
    found = read(path)
    data = normal_form(found.raw, feed)
    told = {"read": [*found.read, *json.loads(data.attrs.get("read", "[]"))]}
    told["remarks"] = [*(f"{path.name}: {text}" for text in found.remarks), *json.loads(data.attrs["remarks"])]
    texts = {name: json.dumps(sentences, ensure_ascii=False) for name, sentences in told.items()}
    return data.assign_attrs(texts | {"source_kind": "GRIB2"})


def read(path: Path) -> Found:
    """Read the needed fields of a file, as CF variables.

    Errors: InputError if the library is missing, the structure is broken, a needed message is missing or stands twice,
    there is more data than allowed, or the decoder fails, crashes or takes too long.
    Source: WMO-No. 306 volume I.2, FM 92 GRIB edition 2 (read).
    """
    if find_spec("eccodes") is None:
        raise InputError(Fault(path.name, "", "is GRIB, for which a library is missing: pip install 'glasshaul[grib]'"))
    messages, known = scan(path), rules()
    keys = {rule.key for rule in known}
    needed = [message for message in messages if keys & {field.key for field in message.fields}]
    if not needed:
        raise InputError(Fault(path.name, "", f"holds no wind and no other needed field; it has {_listed(messages)}"))
    _check_size(path.name, needed, keys)
    with _only(path, needed, messages) as part:
        table = extracted(part, Path(__file__).with_name("extract.py"), json.dumps([*map(as_json, known)]))
    found = assembled(table, needed)
    kept = len(table.variables["facts"])
    return found._replace(
        read=(f"{len(messages)} messages with {_count(messages)} fields, {kept} of them needed", *found.read)
    )


def assembled(table: Raw, messages: Sequence[Message]) -> Found:
    """Put together what the decoder wrote of these messages.

    Errors: InputError if it found another number of fields than the scan, and as `found_in`.
    Source: house rule, a library that passes over a message is not believed (practice).
    """
    count, decoded = _count(messages), int(table.variables["fields"].values)
    if decoded != count:
        what = f"the library finds {decoded} fields in messages that hold {count}; fetch the file again"
        raise InputError(Fault(table.file, "", what))
    return found_in(table, rules())


def _count(messages: Sequence[Message]) -> int:
    return sum(len(message.fields) for message in messages)


def _listed(messages: Sequence[Message]) -> str:
    keys = sorted({field.key for message in messages for field in message.fields})
    shown = ", ".join("-".join(map(str, key)) for key in keys[:12])
    return f"fields {shown}{' and more' if len(keys) > 12 else ''} (discipline-category-number)"


def _check_size(name: str, messages: Sequence[Message], keys: set[tuple[int, int, int]]) -> None:
    """By the headers of all fields of these kinds; the decoder counts once more, only those at the needed level."""
    limit_bytes = 1e6 * figure("weather_feed_size_MB")
    largest_bytes = 4 * max(field.points for message in messages for field in message.fields if field.key in keys)
    if largest_bytes > limit_bytes:
        what = f"declares a field of {largest_bytes / 1e6:.0f} MB, allowed are {limit_bytes / 1e6:g} MB for all"
        raise InputError(Fault(name, "", f"{what}; cut it to the road and two grid cells around it"))


@contextmanager
def _only(path: Path, needed: Sequence[Message], messages: Sequence[Message]) -> Iterator[Path]:
    """The file itself, or a copy of the needed messages alone under its name."""
    if len(needed) == len(messages):
        yield path
        return
    with tempfile.TemporaryDirectory(prefix="glasshaul-") as folder:
        part = Path(folder) / path.name
        with path.open("rb") as whole, part.open("wb") as copy:
            for message in needed:
                whole.seek(message.offset)
                copy.write(whole.read(message.length))
        yield part
