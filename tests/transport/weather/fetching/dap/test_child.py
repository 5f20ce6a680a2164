"""The child process, run here: exit status and reasons; and it takes nothing along from the rest of the project."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import xarray as xr

from shared.folder import sha256_of
from transport.weather.feeds.box import Box
from transport.weather.fetching.dap import child
from transport.weather.fetching.limits import Limits

BOX = json.dumps(Box(-21.40, -21.34, -38.56, -38.47))
LIMITS = Limits(2.0, 5.0, 20.0, 1, 0.01, 0.1, 0, 10.0)
ROOT = Path(child.__file__).parents[4]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., int]:
    monkeypatch.setattr(child, "_limit_process", lambda limits: None)
    names = ("eastward_wind", "time", "forecast_reference_time", "latitude", "longitude")
    return lambda url, limits=LIMITS: child.main([url, str(tmp_path / "out.nc"), BOX, json.dumps(limits), *names])


def test_a_good_end(
    run: Any, serve_dap: Any, content: xr.Dataset, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(serve_dap(content).url) == 0
    assert capsys.readouterr().out == sha256_of(tmp_path / "out.nc")


def test_refused_and_again(run: Any, serve_dap: Any, content: xr.Dataset, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(serve_dap(content).url, LIMITS._replace(size_MB=0.01)) == child.REFUSED
    assert "the surroundings of the road take" in capsys.readouterr().err
    assert run("http://127.0.0.1:1/forecast.nc") == child.AGAIN
    assert "no connection" in capsys.readouterr().err


def test_an_answer_that_nobody_understands(
    run: Any, serve_dap: Any, content: xr.Dataset, capsys: pytest.CaptureFixture[str]
) -> None:
    server = serve_dap(content, lambda part, body: b"Dataset { Float32 } ;" if part == "dds" else body)
    assert run(server.url) == child.REFUSED
    assert "the answer cannot be understood as OPeNDAP (" in capsys.readouterr().err


def test_a_server_that_goes_on_to_the_next_forecast(
    run: Any, serve_dap: Any, content: xr.Dataset, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wind of one run under the clock of another would be a forecast that nobody made."""
    asked: list[str] = []

    def rolling(part: str, body: bytes) -> bytes:
        asked.append(part)
        if part == "das" and asked.count("das") > 1:
            return body.replace(b"since 2026-03-10 00", b"since 2026-03-10 06")
        return body

    assert run(serve_dap(content, rolling).url) == child.AGAIN
    assert "the server went on to another forecast while this one was fetched" in capsys.readouterr().err


def test_it_is_light() -> None:
    """It must start quickly, and in the isolated mode of the interpreter."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "import transport.weather.fetching.dap.child\n"
        "print([name for name in ('pydantic', 'xarray', 'scipy', 'pandas', 'click') if name in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-I", "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
