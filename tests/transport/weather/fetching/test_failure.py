"""A reason is one clean line, whoever wrote it."""

from transport.weather.fetching.failure import FetchError


def test_a_server_cannot_steer_a_terminal() -> None:
    assert str(FetchError("answered 500 \x1b[2J\nGO\u202e ")) == "answered 500 [2J GO"
