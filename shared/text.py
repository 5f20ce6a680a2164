"""Text of a user: shown as text, never as markup, never able to steer a terminal."""

import unicodedata

__all__ = ["clean"]

KEPT = {"\n", "\t"}
HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def clean(text: str) -> str:
    """Return the text without control, format (bidirectional marks included), private and unassigned characters."""
    return "".join(sign for sign in text if sign in KEPT or unicodedata.category(sign) not in HIDDEN)
