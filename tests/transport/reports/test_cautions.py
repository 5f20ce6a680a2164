"""The caution."""

from transport.reports.cautions import CAUTION, caution


def test_it_defers_and_never_says_safe() -> None:
    text = caution()
    assert all(word in text for word in ("law of the place", "rating plates", "licensed engineers", "people decide"))
    assert "safe" not in text.lower()
    assert len(CAUTION) == 4
