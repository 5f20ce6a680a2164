"""Why fetching failed, and whether another try may help."""

from shared.text import clean

__all__ = ["FetchError"]


class FetchError(Exception):
    """Fetching failed; the reason, which a server may have written, is one clean line.

    `again`: another try may help; `wait_s`: the server asks for this pause before it.
    """

    def __init__(self, reason: str, *, again: bool = False, wait_s: float = 0.0) -> None:
        super().__init__(" ".join(clean(reason).split()))
        self.again = again
        self.wait_s = wait_s
