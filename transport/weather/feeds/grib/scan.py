"""The structure of a GRIB file, walked before anything is decoded: whole messages of edition 2, and nothing else.

The library that decodes is silent where a file was cut at the end of a message, where bytes lie between messages, and
where a message is given twice; it may crash on a broken one. So the file is walked first, byte by byte where it counts.
"""

import mmap
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple, NoReturn

from shared.errors import Fault, InputError

__all__ = ["Field", "Message", "scan"]

HEAD_BYTES, TAIL = 16, b"7777"
LEAST_BYTES = {1: 21, 2: 5, 3: 14, 4: 11, 5: 11, 6: 6, 7: 5}
FOLLOWS = {0: (1,), 1: (2, 3), 2: (3,), 3: (4,), 4: (5,), 5: (6,), 6: (7,), 7: (2, 3, 4)}
AGAIN = "fetch the file again"


class Field(NamedTuple):
    """One field of a message: what it is, by discipline, category and number, and how many points it has."""

    key: tuple[int, int, int]
    points: int


class Message(NamedTuple):
    """One message of the file; wind components often come as two fields of one message."""

    offset: int
    length: int
    fields: tuple[Field, ...]


def scan(path: Path) -> tuple[Message, ...]:
    """Walk all messages and their sections.

    Errors: InputError with message number and byte offset for edition 1, a cut file, bytes that belong to no message,
    a message that does not end as it must, and sections that do not fill their message.
    Source: WMO-No. 306 volume I.2, FM 92 GRIB edition 2, sections 0 to 8 (memory, checked with ecCodes).
    """
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
        return tuple(_messages(path.name, data))


def _messages(name: str, data: mmap.mmap) -> Iterator[Message]:
    offset, number, end = 0, 0, len(data)
    while offset < end:
        number += 1
        length = _length(name, data, offset, number)
        yield Message(offset, length, _fields(name, data, offset, length, number))
        offset += length


def _length(name: str, data: mmap.mmap, offset: int, number: int) -> int:
    head, left = data[offset : offset + HEAD_BYTES], len(data) - offset
    if not head.startswith(b"GRIB"):
        what = "should begin, but the bytes are no GRIB: nothing may lie between messages or after them"
        raise InputError(Fault(name, "", f"at byte {offset} message {number} {what}; {AGAIN}"))
    if left < HEAD_BYTES:
        _refuse(name, offset, number, f"has only {left} bytes: the file was cut on its way; {AGAIN}")
    if head[7] != 2:
        _refuse(name, offset, number, f"is of GRIB edition {head[7]}, allowed is 2; ask the provider for edition 2")
    length = int.from_bytes(head[8:16], "big")
    if length < HEAD_BYTES + len(TAIL):
        _refuse(name, offset, number, f"says that it is {length} bytes long, which no message is; {AGAIN}")
    if length > left:
        _refuse(name, offset, number, f"needs {length} bytes, {left} are left: the file was cut on its way; {AGAIN}")
    if data[offset + length - len(TAIL) : offset + length] != TAIL:
        _refuse(name, offset, number, f"does not end in 7777 after {length} bytes: it was cut or changed; {AGAIN}")
    return length


def _fields(name: str, data: mmap.mmap, offset: int, length: int, number: int) -> tuple[Field, ...]:
    """Sections run 1 to 7, and again from 2, 3 or 4 for the next field of the same message."""
    at, last, before, points = offset + HEAD_BYTES, offset + length - len(TAIL), 0, 0
    key, found = (0, 0, 0), []
    while at < last:
        size, section = int.from_bytes(data[at : at + 4], "big"), data[at + 4]
        if section not in FOLLOWS[before] or not LEAST_BYTES[section] <= size <= last - at:
            break
        if section == 3:
            points = int.from_bytes(data[at + 6 : at + 10], "big")
        elif section == 4:
            key = data[offset + 6], data[at + 9], data[at + 10]
        elif section == 7:
            found.append(Field(key, points))
        at, before = at + size, section
    if at != last or before != 7:
        _refuse(name, offset, number, f"has sections that do not fill it: it was changed on its way; {AGAIN}")
    return tuple(found)


def _refuse(name: str, offset: int, number: int, message: str) -> NoReturn:
    raise InputError(Fault(name, "", f"message {number} at byte {offset} {message}"))
