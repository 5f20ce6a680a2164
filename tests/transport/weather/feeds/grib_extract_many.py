"""Run the decoder on many files, each in its own fork with a time limit. Call: GRIB_EXTRACT.py RULES FILE..."""

import importlib.util
import os
import signal
import sys

import eccodes  # noqa: F401 - loaded once, before the forks

LIMIT_S = 20


def run(script: str, rules: str, files: list[str]) -> None:
    spec = importlib.util.spec_from_file_location("grib_extract", script)
    assert spec is not None and spec.loader is not None
    extract = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(extract)
    for file in files:
        if (child := os.fork()) == 0:
            signal.alarm(LIMIT_S)
            os.dup2(os.open(f"{file}.err", os.O_WRONLY | os.O_CREAT), 2)
            os._exit(extract.main([file, f"{file}.npz", "1000000000", rules]))
        _, status = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")


if __name__ == "__main__":
    run(sys.argv[1], sys.argv[2], sys.argv[3:])
