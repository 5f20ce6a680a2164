"""OPeNDAP: a child process fetches the surroundings of the road, and is ended with all that it started at the deadline.

The NetCDF library's own client is never used: when a server dies it gives zeros without an error.
"""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from shared.folder import sha256_of
from shared.text import clean
from transport.weather.feeds.box import Box
from transport.weather.fetching.dap import child
from transport.weather.fetching.failure import FetchError
from transport.weather.fetching.limits import Deadline, Limits
from transport.weather.fetching.record import Arrival

__all__ = ["surroundings"]

ROOT = Path(__file__).resolve().parents[3]
START = (
    "import sys; sys.path.insert(0, sys.argv[1]); from transport.weather.fetching.dap.child import main; "
    "raise SystemExit(main(sys.argv[2:]))"
)
SINGLE = {"HDF5_USE_FILE_LOCKING": "FALSE", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


def surroundings(url: str, draft: Path, box: Box, names: Sequence[str], limits: Limits, deadline: Deadline) -> Arrival:
    """Bring the variables of the standard names around the road into the draft, a NetCDF4 file.

    Errors: FetchError with the reason and whether another try may help.
    Source: house rule, readers that can crash or hang run in a process of their own (practice).
    """
    bounded = limits._replace(total_s=deadline.left_s)
    numbers = (json.dumps(box), json.dumps(bounded))
    said = _run([str(ROOT), url, str(draft), *numbers, *names], deadline)
    sha256 = sha256_of(draft)
    if said != sha256:
        raise FetchError("the file that came is not the one that was written; is the disk full?", again=True)
    return Arrival(draft.stat().st_size, sha256)


def _run(arguments: Sequence[str], deadline: Deadline) -> str:
    with subprocess.Popen(  # noqa: S603 - our own code, the address is an argument and never a command
        [sys.executable, "-I", "-c", START, *arguments],
        env=os.environ | SINGLE,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as process:
        try:
            said, problem = process.communicate(timeout=deadline.left_s)
        except BaseException as interruption:
            _end(process)
            if isinstance(interruption, subprocess.TimeoutExpired):
                raise FetchError(f"not complete after {deadline.given_s:.3g} s") from None
            raise
    if process.returncode != 0:
        raise _failure(process.returncode, problem)
    return said.decode(errors="replace").strip()


def _end(process: "subprocess.Popen[bytes]") -> None:
    """Stop the child and all that it started."""
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(process.pid, signal.SIGKILL)


def _failure(status: int, problem: bytes) -> FetchError:
    lines = clean(problem.decode(errors="replace")).strip().splitlines()
    if status in (child.REFUSED, child.AGAIN) and lines:
        return FetchError(lines[-1], again=status == child.AGAIN)
    if status < 0:
        return FetchError(f"the reader of the answer crashed with signal {-status}", again=True)
    return FetchError("the reader of the answer crashed", again=True)
