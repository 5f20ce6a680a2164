"""The child process: `main URL OUT BOX LIMITS STANDARD_NAME...`, BOX and LIMITS as JSON lists.

Exit status 0: OUT is written, its SHA-256 on stdout; 3: refused; 5: another try may help; the reason on stderr.
"""

import contextlib
import json
import math
import sys
from collections.abc import Sequence
from pathlib import Path

from transport.weather.feeds.box import Box
from transport.weather.fetching.dap.netcdf_copy import write_copy
from transport.weather.fetching.dap.server import clocks, declared
from transport.weather.fetching.dap.surroundings import part_of
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Limits

__all__ = ["AGAIN", "REFUSED", "main"]

REFUSED, AGAIN = 3, 5


def main(arguments: Sequence[str]) -> int:
    """Fetch as asked; every failure is a reason in one line on stderr."""
    url, out, box, limits, *names = arguments
    try:
        sys.stdout.write(_fetched(url, Path(out), Box(*json.loads(box)), Limits(*json.loads(limits)), names))
    except FetchError as problem:
        sys.stderr.write(str(problem))
        return AGAIN if problem.again else REFUSED
    except Exception as problem:  # an answer that is not DAP may raise anything, and all of it means: cannot be read
        sys.stderr.write(f"the answer cannot be understood as OPeNDAP ({type(problem).__name__}: {problem})")
        return REFUSED
    return 0


def _fetched(url: str, out: Path, box: Box, limits: Limits, names: Sequence[str]) -> str:
    """A server may go on to its next forecast between two answers: the clocks are asked for once more at the end."""
    _limit_process(limits)
    part = part_of(declared(url, limits), box, limits.size_MB, names)
    before = clocks(part.variables)
    sha256 = write_copy(out, part)
    after = declared(url, limits)
    if clocks({name: after[name] for name in part.variables if name in after}) != before:
        raise FetchError("the server went on to another forecast while this one was fetched", again=True)
    return sha256


def _limit_process(limits: Limits) -> None:
    """End by itself even if nobody is left to stop it, and take only so much memory."""
    with contextlib.suppress(ImportError, ValueError, OSError, AttributeError):
        import resource
        import signal

        signal.alarm(math.ceil(limits.total_s) + 1)
        limit_bytes = round(4e6 * limits.size_MB) + 3_000_000_000
        resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, limit_bytes))
