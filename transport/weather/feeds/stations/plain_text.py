"""Text files of a station: size checked before memory is taken, control characters made harmless."""

import unicodedata
from pathlib import Path

from shared.errors import Fault, InputError
from shared.tables import figure
from shared.text import HIDDEN, KEPT

__all__ = ["lines_of"]

MARK = b"\xef\xbb\xbf"


def lines_of(path: Path, encoding: str = "utf-8") -> list[str]:
    """Lines of a text file; a control or format character becomes a space, so that no two numbers are ever joined.

    Errors: InputError for a file too large, not readable, or not text of this encoding.
    Source: house rule on input (practice).
    """
    limit_bytes = round(figure("weather_station_file_MB") * 1e6)
    try:
        size_bytes = path.stat().st_size
        if size_bytes > limit_bytes:
            what = f"the file has {size_bytes / 1e6:.1f} MB, allowed are {limit_bytes / 1e6:.0f} MB"
            raise InputError(Fault(path.name, "", f"{what}; cut it to the time that matters"))
        text = path.read_bytes().removeprefix(MARK).decode(encoding)
    except UnicodeDecodeError as problem:
        what = f"the file is not {encoding} text (byte {problem.start + 1})"
        raise InputError(Fault(path.name, "", f"{what}; save it as UTF-8, or fetch it again")) from None
    except OSError as problem:
        raise InputError(Fault(path.name, "", f"cannot be read ({problem.strerror})")) from None
    text = text.replace("\r\r\n", "\n").replace("\r\n", "\n").replace("\r", "\n")
    hidden = {ord(sign): " " for sign in set(text) if sign not in KEPT and unicodedata.category(sign) in HIDDEN}
    return text.translate(hidden).split("\n")
