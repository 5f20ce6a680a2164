"""Laws of the whole window: another way to write the same forecast changes nothing, and less or worse never opens.

The sample's road, checks and stages are worked out once; each case then runs the main job on another forecast.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from transport.weather.feeds import extract, netcdf, raw
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.feeds.packing import check_attributes
from transport.weather.feeds.raw import Raw
from transport.window import assess as window
from transport.window.assess import Plan

SAMPLE = Path(__file__).resolve().parents[3] / "samples" / "sheltered_morning"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)
RANK = {"no-go": 0, "undecided": 0, "go": 1}
SEEDED = settings(
    max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
WINDS = ("eastward_wind", "northward_wind", "wind_speed_of_gust")
OTHERS = ("air_temperature", "dew_point_temperature", "precipitation_flux", "visibility_in_air")
GUSTS = "wind_speed_of_gust"
HOURS = 73
Verdicts = dict[np.datetime64, str]
Answer = Callable[[xr.Dataset], Verdicts]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return window.plan_of(SAMPLE / "move.toml")


@pytest.fixture(scope="module")
def checks(plan: Plan) -> dict[str, xr.Dataset]:
    return window.calculation(plan)


@pytest.fixture(scope="module")
def sample() -> xr.Dataset:
    """The forecast of the sample, undecoded."""
    with xr.open_dataset(SAMPLE / "forecast.nc", engine="netcdf4", decode_cf=False) as data:
        return data.load()


def in_memory(data: xr.Dataset) -> xr.Dataset:
    variables = {str(name): variable.copy() for name, variable in data.variables.items()}
    for name, variable in variables.items():
        check_attributes(variable, "forecast.nc", name)
    return normal_form(Raw("forecast.nc", variables, tuple(variables)), Feed(path="forecast.nc", role="forecast"))


def from_file(path: Path) -> xr.Dataset:
    out = path.with_suffix(".npz")
    extract.extract(str(path), str(out), 10**9, "all", "netcdf4", list(netcdf.STANDARD_NAMES))
    return normal_form(raw.load(out, "forecast.nc"), Feed(path="forecast.nc", role="forecast"))


@pytest.fixture
def result(
    plan: Plan, checks: dict[str, xr.Dataset], monkeypatch: pytest.MonkeyPatch
) -> Callable[[xr.Dataset], xr.Dataset]:
    """The table of starts for a feed in the normal form, by the main job."""
    given_feed: list[xr.Dataset] = []
    monkeypatch.setattr(window, "plan_of", lambda path: plan)
    monkeypatch.setattr(window, "calculation", lambda plan: checks)
    monkeypatch.setattr(window, "feeds_of", lambda move, folder, road, **options: list(given_feed))

    def table(feed: xr.Dataset) -> xr.Dataset:
        given_feed[:] = [feed]
        return window.assess(SAMPLE / "move.toml", as_of=AS_OF).window

    return table


@pytest.fixture
def answer(result: Callable[[xr.Dataset], xr.Dataset]) -> Answer:
    def verdicts(data: xr.Dataset) -> Verdicts:
        found = result(in_memory(data))
        return dict(zip(found["start"].values, found["verdict"].values.tolist(), strict=True))

    return verdicts


@pytest.fixture(scope="module")
def usual() -> dict[str, Verdicts]:
    return {}


@pytest.fixture
def before(answer: Answer, sample: xr.Dataset, usual: dict[str, Verdicts]) -> Verdicts:
    """The verdicts on the forecast as it is, some of them go."""
    if not usual:
        usual["sample"] = answer(sample)
    assert "go" in usual["sample"].values()
    assert "no-go" in usual["sample"].values()
    return usual["sample"]


def opened(before: Verdicts, after: Verdicts) -> list[np.datetime64]:
    """Starts that are go now and were not, or were not offered."""
    return [start for start, verdict in after.items() if RANK[verdict] > RANK[before.get(start, "no-go")]]


def put(data: xr.Dataset, name: str, values: np.ndarray, **attrs: Any) -> xr.Dataset:
    return data.assign({name: (data[name].dims, values, data[name].attrs | attrs)})


# ---------------------------------------------------------------- other ways to write the same forecast


@pytest.mark.parametrize(
    ("units", "factor_mps"),
    [
        ("knots", 1852.0 / 3600.0),
        ("kt", 1852.0 / 3600.0),
        ("km/h", 1.0 / 3.6),
        ("mph", 1609.344 / 3600.0),
        ("m/s", 1.0),
    ],
)
def test_the_same_wind_in_another_unit(
    sample: xr.Dataset, answer: Answer, before: Verdicts, units: str, factor_mps: float
) -> None:
    """Factors: definitions of the international knot and mile (memory)."""
    other = sample
    for name in WINDS:
        other = put(other, name, (sample[name].to_numpy().astype(float) / factor_mps).astype("f4"), units=units)
    assert answer(other) == before


@SEEDED
@given(seed=st.integers(0, 10_000), falls=st.booleans(), around=st.booleans(), mixed=st.booleans())
def test_members_and_axes_in_another_order(
    sample: xr.Dataset, answer: Answer, before: Verdicts, seed: int, falls: bool, around: bool, mixed: bool
) -> None:
    order = np.random.default_rng(seed).permutation(sample.sizes["realization"])
    other = sample.isel(realization=order, latitude=slice(None, None, -1 if falls else 1))
    if around:
        east = ("longitude", sample["longitude"].to_numpy() % 360.0, sample["longitude"].attrs)
        other = other.assign_coords(longitude=east).isel(longitude=slice(None, None, -1))
    if mixed:
        other = other.transpose("latitude", "time", "longitude", "realization", "bnds")
    assert answer(other) == before


@pytest.mark.parametrize(
    ("chunks", "options"),
    [
        ((1, 1, 5, 5), {"zlib": True, "complevel": 1}),
        ((31, 73, 1, 1), {"zlib": True, "shuffle": True, "fletcher32": True}),
        ((7, 10, 2, 3), {}),
        (None, {}),
    ],
)
def test_chunks_and_compression_of_the_file(
    sample: xr.Dataset,
    result: Callable[[xr.Dataset], xr.Dataset],
    tmp_path: Path,
    chunks: tuple[int, ...] | None,
    options: dict[str, Any],
) -> None:
    fields = [str(name) for name in sample if sample[name].ndim == 4]
    how = options | ({"chunksizes": chunks} if chunks else {"contiguous": True})
    encoding: dict[str, dict[str, Any]] = {name: {"_FillValue": None} for name in map(str, sample.variables)}
    plain = sample.copy()
    for name in fields:
        encoding[name] = how | {"_FillValue": plain[name].attrs.pop("_FillValue", None)}
    plain.to_netcdf(tmp_path / "forecast.nc", engine="netcdf4", encoding=encoding)
    xr.testing.assert_identical(result(from_file(tmp_path / "forecast.nc")), result(from_file(copied(tmp_path))))


def copied(folder: Path) -> Path:
    copy = folder / "copy.nc"
    copy.write_bytes((SAMPLE / "forecast.nc").read_bytes())
    return copy


# ---------------------------------------------------------------- less or worse never opens


def test_a_third_of_the_gust_opens_more(sample: xr.Dataset, answer: Answer, before: Verdicts) -> None:
    """The laws below are not empty: the gust does close starts of this forecast."""
    weak = sample
    for name in WINDS:
        weak = put(weak, name, sample[name].to_numpy() / np.float32(3.0))
    assert opened(before, answer(weak))


@pytest.mark.parametrize("hour", range(HOURS))
def test_a_lost_hour_never_opens(sample: xr.Dataset, answer: Answer, before: Verdicts, hour: int) -> None:
    after = answer(sample.isel(time=[other for other in range(HOURS) if other != hour]))
    assert opened(before, after) == []


@pytest.mark.parametrize("hours", [*range(3, 25, 4), *range(25, 73, 6)])
def test_a_shorter_forecast_never_opens(sample: xr.Dataset, answer: Answer, before: Verdicts, hours: int) -> None:
    assert opened(before, answer(sample.isel(time=slice(hours)))) == []


@SEEDED
@given(member=st.integers(0, 30), stronger=st.floats(1.0, 2.5), first=st.integers(0, 70), long=st.integers(1, 73))
def test_one_more_member_with_a_stronger_wind_never_opens(
    sample: xr.Dataset, answer: Answer, before: Verdicts, member: int, stronger: float, first: int, long: int
) -> None:
    more = sample.isel(realization=[member])
    for name in WINDS:
        values = more[name].to_numpy().copy()
        values[:, first : first + long] *= np.float32(stronger)
        more = put(more, name, values)
    more = more.assign_coords(realization=("realization", [31], sample["realization"].attrs))
    how = {"data_vars": "minimal", "coords": "minimal", "compat": "override", "join": "override"}
    joined = xr.concat([sample, more], dim="realization", **how)
    assert opened(before, answer(joined)) == []


@SEEDED
@given(
    name=st.sampled_from([*WINDS, *OTHERS]),
    member=st.integers(0, 30),
    first=st.integers(0, 72),
    long=st.integers(1, 20),
    node=st.tuples(st.integers(0, 4), st.integers(0, 4)),
)
def test_a_missing_number_never_opens(
    sample: xr.Dataset,
    answer: Answer,
    before: Verdicts,
    name: str,
    member: int,
    first: int,
    long: int,
    node: tuple[int, int],
) -> None:
    values = sample[name].to_numpy().copy()
    values[(member, slice(first, first + long), *node)] = np.nan
    assert opened(before, answer(put(sample, name, values))) == []


@SEEDED
@given(stronger=st.floats(1.0, 2.0), member=st.integers(0, 30), first=st.integers(0, 70), long=st.integers(1, 73))
def test_a_stronger_gust_never_opens(
    sample: xr.Dataset, answer: Answer, before: Verdicts, stronger: float, member: int, first: int, long: int
) -> None:
    values = sample[GUSTS].to_numpy().copy()
    values[member, first : first + long] *= np.float32(stronger)
    assert opened(before, answer(put(sample, GUSTS, values))) == []


@pytest.mark.parametrize(
    "change",
    [
        lambda data: put(data, GUSTS, np.where(np.arange(31)[:, None, None, None] == 3, np.nan, data[GUSTS])),
        lambda data: data.isel(realization=slice(19)),
        lambda data: data.isel(realization=[0] * 31),
        lambda data: data.drop_vars(GUSTS),
        lambda data: data.drop_vars("surface_altitude"),
        lambda data: data.isel(latitude=slice(2)),
        lambda data: put(data, GUSTS, np.zeros(data[GUSTS].shape, "f4")),
    ],
    ids=["dead member", "few members", "copies", "no gust", "no ground", "off the grid", "zeros"],
)
def test_what_a_gate_refuses_leaves_every_start_undecided(
    sample: xr.Dataset, answer: Answer, change: Callable[[xr.Dataset], xr.Dataset]
) -> None:
    assert set(answer(change(sample)).values()) == {"undecided"}
