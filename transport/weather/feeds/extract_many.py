"""Run a reading script of ours on many files, each in a fork of its own: the libraries are loaded once.

Runs by itself in a child process and imports nothing of ours.
Call: python -I extract_many.py SCRIPT LIMIT_S, with the jobs on stdin: JSON, one list of arguments of SCRIPT for each.
SCRIPT has `main`, and `prepare`, which loads what the forks share. Of each job stderr goes to OUT.err. On stdout JSON,
one exit status for each job; below zero: the signal that ended it. A job longer than LIMIT_S is ended by SIGALRM.
"""

import importlib.util
import json
import os
import signal
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

__all__ = ["main", "run"]

Main = Callable[[list[str]], int]


def run(read: Main, jobs: Sequence[list[str]], limit_s: float) -> list[int]:
    """Exit status of each job, one after the other."""
    return [_forked(read, job, limit_s) for job in jobs]


def _forked(read: Main, job: list[str], limit_s: float) -> int:
    child = os.fork()
    if child == 0:
        signal.setitimer(signal.ITIMER_REAL, limit_s)
        os.dup2(os.open(f"{job[1]}.err", os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), 2)
        status = read(job)
        sys.stderr.flush()
        os._exit(status)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


def main(arguments: list[str]) -> int:
    """Load the script, run the jobs, tell their statuses."""
    script, limit_s = arguments
    spec = importlib.util.spec_from_file_location(Path(script).stem, script)
    if spec is None or spec.loader is None:
        return 4
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.prepare()
    jobs = json.load(sys.stdin)
    sys.stdout.write(json.dumps(run(module.main, jobs, float(limit_s))))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
