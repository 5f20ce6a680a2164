"""Bulletins cut into reports; a line that belongs to none is never passed over."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds.stations.reports import cut

BULLETIN = """045
FTXX31 YUZZ 121100
2026-03-12T11:20Z
TAF
YUDO 121100Z 1212/1318 24012KT 9999
  SCT020=
YUDD 121100Z 1212/1318 24014KT CAVOK=
TAF AMD YUDO 121300Z 1213/1318 24020KT 9999 SCT020
202603121430 METAR YUDO 121420Z 24012KT 9999 12/05 Q1010= SPECI COR YUDO 121425Z 24015KT 9999 12/05 Q1010
NNNN"""


def test_bulletins() -> None:
    """Headings, the end sign, a leading name for several forecasts: forms of bulletins (memory)."""
    found = cut(BULLETIN.splitlines(), "s.txt")
    assert [(r.line, r.kind, r.identifier, sorted(r.status), r.groups[0]) for r in found] == [
        (4, "TAF", "YUDO", [], "121100Z"),
        (7, "", "YUDD", [], "121100Z"),
        (8, "TAF", "YUDO", ["AMD"], "121300Z"),
        (9, "METAR", "YUDO", [], "121420Z"),
        (9, "SPECI", "YUDO", ["COR"], "121425Z"),
    ]
    assert found[0].text == "YUDO 121100Z 1212/1318 24012KT 9999 SCT020"
    assert [r.stamp.text for r in found if r.stamp] == ["2026-03-12T11:20Z"] * 3 + ["202603121430"] * 2


@pytest.mark.parametrize("line", ["TA YUDO 121100Z 1212/1318 24045KT", "24045KT 9999", "YUDO 12110Z 24045KT"])
def test_a_damaged_beginning_is_refused(line: str) -> None:
    with pytest.raises(InputError) as caught:
        cut(["2026-03-12", line], "s.txt")
    assert str(caught.value) == f"s.txt:2: '{line}' belongs to no report; remove the line, or fetch the file again"


@given(st.text(max_size=80), st.text(alphabet="TAFMER YUDO=0123456789Z/\n-", max_size=80))
def test_nothing_else_is_ever_raised(first: str, second: str) -> None:
    for text in (first, second):
        try:
            reports = cut(text.split("\n"), "s.txt")
        except InputError:
            continue
        kept = "".join(word for report in reports for word in (report.identifier, *report.groups))
        assert len(kept) <= len(text)
