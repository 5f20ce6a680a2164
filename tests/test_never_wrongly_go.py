"""Ways in which the answer could be more favourable than the facts, each tried on a whole move."""

import json
import os
import re
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import netCDF4
import numpy as np
import pytest
import xarray as xr
from click.testing import CliRunner

from shared.assessment import Assessment
from shared.errors import InputError
from transport.cli.main import main
from transport.window.assess import assess

SAMPLE = Path(__file__).resolve().parents[1] / "samples" / "sheltered_morning"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)
NO_DEW = (r"^dew_margin_K = .*\n", "")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "move"
    shutil.copytree(SAMPLE, made)
    return made


def rewrite(folder: Path, *pairs: tuple[str, str]) -> None:
    file = folder / "move.toml"
    content = file.read_text(encoding="utf-8")
    for pattern, new in pairs:
        content, count = re.subn(pattern, new, content, flags=re.M | re.S if "(?s)" in pattern else re.M)
        assert count, pattern
    file.write_text(content, encoding="utf-8")


def refit(folder: Path, change: Callable[[xr.Dataset], xr.Dataset], name: str = "forecast.nc") -> None:
    """Change the forecast with xarray and write it as a new file."""
    with xr.open_dataset(folder / "forecast.nc", engine="netcdf4", decode_times=False) as data:
        changed = change(data.load())
    (folder / name).unlink(missing_ok=True)
    changed.to_netcdf(folder / name, engine="netcdf4")


def run(folder: Path) -> Assessment:
    return assess(folder / "move.toml", as_of=AS_OF)


def refused(folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        run(folder)
    return str(caught.value)


def going(result: Assessment) -> int:
    return int((result.window["verdict"].values == "go").sum())


def named(data: xr.Dataset, standard_name: str) -> str:
    return next(str(name) for name in data if data[name].attrs.get("standard_name") == standard_name)


def test_a_wind_that_veers_inside_a_step_meets_the_relief_of_both_ends(folder: Path) -> None:
    """Hours that alternate between 121 and 179 degrees must not hide, in their mean, a sector that begins at 200."""
    rewrite(folder, NO_DEW, (r"^factor_ratio = 1.25", "factor_ratio = 2.2"))

    def veer(angles_deg: tuple[float, float]) -> Callable[[xr.Dataset], xr.Dataset]:
        def change(data: xr.Dataset) -> xr.Dataset:
            east, north = named(data, "eastward_wind"), named(data, "northward_wind")
            speed = np.hypot(data[east], data[north])
            turn = np.deg2rad(np.resize(angles_deg, data.sizes["time"]))[None, :, None, None]
            return data.assign(
                {
                    east: (data[east].dims, (-speed * np.sin(turn)).values, data[east].attrs),
                    north: (data[north].dims, (-speed * np.cos(turn)).values, data[north].attrs),
                }
            )

        return change

    refit(folder, veer((179.0, 179.0)))
    steady = run(folder)
    refit(folder, veer((121.0, 179.0)))
    assert going(run(folder)) <= going(steady)


def test_relief_beyond_the_end_of_the_road_is_refused(folder: Path) -> None:
    rewrite(
        folder,
        (r"^from_station_m = 3000.0", "from_station_m = 30000.0"),
        (r"^to_station_m = 3600.0", "to_station_m = 36000.0"),
    )
    assert refused(folder).startswith("site.relief[0].to_station_m: is 36000, the road ends at 64")


def test_relief_ahead_lowers_the_gust_that_releases_a_hold_point(folder: Path) -> None:
    def release(result: Assessment) -> float:
        holds = result.orders["kind"].values == "hold point"
        return float(result.orders["release_limit_mps"].values[holds][0])

    before = release(run(folder))
    rewrite(folder, (r"^factor_ratio = 1.25", "factor_ratio = 2.5"))
    assert release(run(folder)) == pytest.approx(before / 2.0)


@pytest.mark.parametrize("hours", [1, 3])
def test_a_shower_is_not_diluted_by_a_long_step(folder: Path, hours: int) -> None:
    """0.55 mm between 11 and 12 UTC closes the drive whether it comes in one hour or in three."""
    rewrite(folder, NO_DEW)

    def shower(data: xr.Dataset) -> xr.Dataset:
        name = named(data, "precipitation_flux")
        rain = data[name].copy(data=np.zeros(data[name].shape))
        end = 24 + 12
        rain[:, end - hours + 1 : end + 1] = 0.55 / hours / 3600.0
        return data.assign({name: rain})

    refit(folder, shower)
    assert going(run(folder)) < 25


def test_a_move_without_hold_points_is_answered(folder: Path) -> None:
    rewrite(folder, (r"(?s)\[\[route.hold_point\]\].*?(?=\n\[site\])", ""))
    assert run(folder).verdict == "go"


def test_a_second_source_that_is_elsewhere_or_disagrees_is_no_second_opinion(folder: Path) -> None:
    rewrite(
        folder,
        (
            r"^\[\[stage\]\]\nname = \"Lift",
            '[[weather.feed]]\npath = "second.nc"\nrole = "second_opinion"\n\n[[stage]]\nname = "Lift',
        ),
    )
    refit(folder, lambda data: data, "second.nc")
    assert run(folder).verdict == "go"
    refit(folder, lambda data: data.assign_coords(longitude=data["longitude"] + 40.0), "second.nc")
    away = run(folder)
    assert away.verdict == "undecided"
    assert any("second.nc: does not cover the road" in reason for reason in away.reasons)

    def stronger(data: xr.Dataset) -> xr.Dataset:
        east = named(data, "eastward_wind")
        wind = data[east].copy()
        wind[:, 30:] = wind[:, 30:] * 3.0 + 4.0
        return data.assign({east: wind})

    refit(folder, stronger, "second.nc")
    assert run(folder).verdict == "undecided"


def test_missing_members_are_named(folder: Path) -> None:
    rewrite(folder, (r"^members_count = 31", "members_count = 40"))
    assert (
        "undecided: 31 of 40 members are there; each of the 9 missing counts as over the limit" in run(folder).reasons
    )


def test_too_small_a_chance_for_the_members_is_named(folder: Path) -> None:
    rewrite(folder, (r"^acceptable_chance_ratio = .*", "acceptable_chance_ratio = 0.05"))
    assert any(
        "31 members leave a chance of up to 9.2%, acceptable is 5.0%" in reason for reason in run(folder).reasons
    )


@pytest.mark.parametrize("name", ["../road.csv", "/etc/passwd"])
def test_no_file_outside_the_folder_is_read(folder: Path, name: str) -> None:
    rewrite(folder, (r'^survey = "road.csv"', f'survey = "{name}"'))
    assert refused(folder) == f"route.survey: '{name}' lies outside the folder of the move; copy it there"


def test_a_link_out_of_the_folder_and_a_pipe_are_refused(folder: Path) -> None:
    (folder / "forecast.nc").unlink()
    (folder / "forecast.nc").symlink_to(SAMPLE / "forecast.nc")
    assert "weather.feed[0].path: 'forecast.nc' lies outside the folder of the move" in refused(folder)
    (folder / "road.csv").unlink()
    os.mkfifo(folder / "road.csv")
    assert refused(folder) == "route.survey: 'road.csv' is not an ordinary file"
    os.mkfifo(folder / "pipe.toml")
    with pytest.raises(InputError, match=r"pipe.toml: is not an ordinary file"):
        assess(folder / "pipe.toml", as_of=AS_OF)


@pytest.mark.parametrize("clock", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59Z"])
def test_a_clock_out_of_this_world(clock: str) -> None:
    result = CliRunner().invoke(main, ["window", str(SAMPLE / "move.toml"), "--as-of", clock])
    assert result.exit_code == 2
    assert "is not a year from 1990 to 2100" in result.stderr


@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("tension_measured_at", "cover.tension_measured_at"),
        ("temperature_measured_at", "mirror.temperature_measured_at"),
    ],
)
def test_nothing_is_measured_in_the_future(folder: Path, field: str, name: str) -> None:
    rewrite(folder, (rf"^{field} = .*", f"{field} = 2026-03-09T06:00:01Z"))
    assert refused(folder).startswith(f"{name}: is 2026-03-09T06:00:01+00:00, after 2026-03-09T06:00:00+00:00")


def test_what_the_answer_rests_on_is_said(folder: Path) -> None:
    remarks = " ".join(run(folder).remarks)
    assert (
        "to be measured in stage 'Chain, cover and check': go on only if every azimuth lies between 1.2 and 1.6"
        in remarks
    )
    assert "one source of weather only" in remarks


def test_another_order_of_the_axes_changes_nothing(folder: Path) -> None:
    """Latitude from north to south and longitude from 0 to 360 are other ways to write the same forecast."""
    plain = run(folder)
    refit(
        folder,
        lambda data: data.isel(latitude=slice(None, None, -1)).assign_coords(
            longitude=("longitude", data["longitude"].values % 360.0, data["longitude"].attrs)
        ),
    )
    other = run(folder)
    assert (other.window["verdict"].values == plain.window["verdict"].values).all()
    np.testing.assert_allclose(other.window["utilisation_ratio"], plain.window["utilisation_ratio"], rtol=1e-5)


def test_json_of_an_undecided_answer_holds_no_nan(folder: Path) -> None:
    with netCDF4.Dataset(folder / "forecast.nc", "a") as data:
        name = next(n for n, v in data.variables.items() if getattr(v, "standard_name", "") == "visibility_in_air")
        data.renameVariable(name, "something_else")
        data["something_else"].delncattr("standard_name")
    result = CliRunner().invoke(
        main, ["window", str(folder / "move.toml"), "--as-of", "2026-03-09T06:00:00Z", "--json"]
    )
    assert result.exit_code == 11
    found = json.loads(result.stdout, parse_constant=lambda constant: pytest.fail(constant))
    assert any("visibility" in reason for reason in found["reasons"])
