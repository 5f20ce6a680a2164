"""Run the reader's child code on many files, each in its own fork with a time limit. Call: EXTRACT.py ENGINE FILE..."""

import importlib.util
import os
import signal
import sys

LIMIT_S = 5


def run(script: str, engine: str, files: list[str]) -> None:
    spec = importlib.util.spec_from_file_location("extract", script)
    assert spec is not None and spec.loader is not None
    extract = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(extract)
    names = os.environ["NAMES"].split()
    for file in files:
        if (child := os.fork()) == 0:
            signal.alarm(LIMIT_S)
            os.dup2(os.open(f"{file}.err", os.O_WRONLY | os.O_CREAT), 2)
            os._exit(extract.main([file, f"{file}.npz", "1000000000", "all", engine, *names]))
        _, status = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")


if __name__ == "__main__":
    run(sys.argv[1], sys.argv[2], sys.argv[3:])
