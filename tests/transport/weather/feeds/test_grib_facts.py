"""Headers of GRIB messages: times, runs and members, and every contradiction in them."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from shared.errors import InputError
from transport.weather.feeds.grib.extract import FACTS, INSTANT
from transport.weather.feeds.grib.facts import SINGLE, Facts, facts_of

RUN = {"year": 2026, "month": 3, "day": 10, "hour": 6, "minute": 0, "second": 0, "significanceOfReferenceTime": 1}
POINT = RUN | {"productDefinitionTemplateNumber": 1, "indicatorOfUnitOfTimeRange": 1, "forecastTime": 3}
POINT |= {"typeOfEnsembleForecast": 3, "perturbationNumber": 17, "numberOfForecastsInEnsemble": 51}
END = {"year": 2026, "month": 3, "day": 10, "hour": 12, "minute": 0, "second": 0}
HELD = POINT | {f"{part}OfEndOfOverallTimeInterval": value for part, value in END.items()}
HELD |= {"productDefinitionTemplateNumber": 11, "numberOfTimeRange": 1, "numberOfMissingInStatisticalProcess": 0}
HELD |= {"typeOfStatisticalProcessing": 2, "typeOfTimeIncrement": 2}
HELD |= {"indicatorOfUnitForTimeRange": 1, "lengthOfTimeRange": 3}


def facts(*rows: dict[str, int]) -> Facts:
    table = np.array([[row.get(fact, -1) for fact in FACTS] for row in rows], dtype=np.int64)
    return facts_of(table, "a.grib2")


def refused(*rows: dict[str, int]) -> str:
    with pytest.raises(InputError) as caught:
        facts(*rows)
    return str(caught.value).removeprefix("a.grib2: ")


def test_start_and_end_of_what_is_held_over_time() -> None:
    found = facts(POINT, HELD)
    assert found.start_s.tolist() == [3 * 3600, 3 * 3600]
    assert found.end_s.tolist() == [3 * 3600, 6 * 3600]
    assert found.process.tolist() == [INSTANT, 2]
    assert found.member.tolist() == [17, 17]
    assert found.run == np.datetime64("2026-03-10T06:00:00")
    assert found.members_stated == 51


@pytest.mark.parametrize(
    ("unit", "count", "seconds"),
    [(13, 90, 90), (0, 90, 5400), (1, 90, 324000), (2, 2, 172800), (10, 2, 21600), (11, 2, 43200), (12, 2, 86400)],
)
def test_units_of_time(unit: int, count: int, seconds: int) -> None:
    """Code table 4.4, github wmo-im/GRIB2 (read)."""
    found = facts(POINT | {"indicatorOfUnitOfTimeRange": unit, "forecastTime": count})
    assert found.end_s.tolist() == [seconds]


def test_single_forecast_and_unknown_size_of_the_ensemble() -> None:
    single = {key: value for key, value in POINT.items() if "nsemble" not in key and key != "perturbationNumber"}
    assert facts(single | {"productDefinitionTemplateNumber": 0}).member.tolist() == [SINGLE]
    assert facts(POINT | {"numberOfForecastsInEnsemble": 255}).members_stated == 0


def test_real_steps_in_minutes(data: Path, decoded_file: Callable[[Path], Any]) -> None:
    """73 hourly steps of a real file that counts them in minutes, as ecCodes gives them in hours: 0 to 72."""
    table = decoded_file(data / "cfgrib" / "step_60m.grib")
    found = facts_of(np.array(table.facts), "step_60m.grib")
    assert (found.end_s / 3600.0).tolist() == list(range(73))
    assert found.run == np.datetime64("2024-01-15T00:00:00")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (POINT | {"significanceOfReferenceTime": 2}, "its reference time is not the start of the forecast, so its age"),
        (POINT | {"month": 13}, "names a date that does not exist; fetch the file again"),
        (POINT | {"indicatorOfUnitOfTimeRange": 3}, "counts time in units of code 3 of table 4.4; allowed are seconds"),
        (POINT | {"forecastTime": 2**31}, "names a forecast time of 2147483648 units; fetch the file again"),
        (HELD | {"numberOfTimeRange": 2}, "holds a statistic of a statistic, which is not understood"),
        (HELD | {"typeOfTimeIncrement": 1}, "holds a statistic over several runs, which is no forecast"),
        (HELD | {"numberOfMissingInStatisticalProcess": 1}, "holds a statistic from which values were missing"),
        (HELD | {"lengthOfTimeRange": 4}, "a time range from 3 h over 4 h is said to end at 6 h; fetch the file again"),
        (HELD | {"dayOfEndOfOverallTimeInterval": 40}, "names a date that does not exist"),
        (HELD | {"lengthOfTimeRange": -9, "hourOfEndOfOverallTimeInterval": 0}, "a time range from 3 h over -9 h"),
    ],
)
def test_contradictions_are_refused(row: dict[str, int], said: str) -> None:
    assert refused(POINT, row).startswith(said)


def test_two_runs_are_refused() -> None:
    assert refused(POINT, POINT | {"hour": 0}) == (
        "holds 2 forecast runs (2026-03-10T00:00:00 UTC, 2026-03-10T06:00:00 UTC), allowed is one; ask for one run"
    )


def test_what_the_provider_says_of_its_status() -> None:
    assert facts(POINT | {"productionStatusOfProcessedData": 1}).remarks == ("the provider calls them test products",)
    assert facts(POINT | {"productionStatusOfProcessedData": 0}).remarks == ()
