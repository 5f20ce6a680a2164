"""Start times."""

from itertools import pairwise

import numpy as np

from shared.assessment import Assessment
from transport.reports.starts import first_shown, starts


def test_all_starts_in_order(result: Assessment) -> None:
    rows = starts(result)
    assert [row.verdict for row in rows] == result.window["verdict"].values.tolist()
    assert all(a.start < b.start for a, b in pairwise(rows))


def test_no_time_is_none_and_no_number_is_nan(undecided: Assessment) -> None:
    row = starts(undecided)[0]
    assert row.time is None
    assert np.isnan(row.utilisation_ratio)
    assert np.isnan(row.station_m)


def test_first_shown_is_go_where_there_is_one(result: Assessment, closed: Assessment, undecided: Assessment) -> None:
    assert starts(result)[first_shown(result)].verdict == "go"
    assert starts(closed)[first_shown(closed)].verdict == "no-go"
    assert first_shown(undecided) == 0
