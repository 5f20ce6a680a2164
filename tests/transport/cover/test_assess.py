"""The cover as a Dataset: shapes, gates, the case beside, and the calculation lines."""

from typing import Any

import numpy as np
import pytest
import typst
import xarray as xr

from shared.calculation import lines_of
from shared.errors import InputError, OutOfRangeError
from shared.tables import ledger
from transport.cover.assess import assess
from transport.cover.inputs import Cover, Mirror

WIND_FROM_DEG = np.arange(0.0, 360.0, 15.0)
STATION_M = np.array([0.0, 5.0, 10.0])
VERTICAL_MPS2 = np.array([0.2, 1.5, 0.2])


def checked(cover: Cover, mirror: Mirror, **changes: Any) -> xr.Dataset:
    known: dict[str, Any] = {
        "station_m": STATION_M,
        "wind_from_deg": WIND_FROM_DEG,
        "air_density_kg_per_m3": 1.25,
        "vertical_acceleration_mps2": VERTICAL_MPS2,
    }
    return assess(cover, mirror, **known | changes)


def limit(data: xr.Dataset, state: str) -> float:
    return float(data["gust_limit_mps"].sel(limit_state=state).min(skipna=False))


def test_shape_names_and_attributes(cover: Cover, mirror: Mirror) -> None:
    data = checked(cover, mirror)
    assert data["gust_limit_mps"].dims == ("limit_state", "station", "wind_from")
    assert data["limit_state"].values.tolist() == [
        "cover clearance",
        "cover divergence",
        "cover uplift",
        "cover fastening",
        "cover fastening, one lost",
        "cover fabric",
        "cover hem",
        "cover vents",
    ]
    assert data["gust_limit_mps"].attrs["units"] == "m s-1"
    assert data.attrs["tension_valid_until"] == "2026-03-11T07:00:00+00:00"
    assert data.attrs["wet_is_closed"] == 0
    assert all(data["clause"].values)
    assert all(data["remedy"].values)


def test_only_the_clearance_knows_the_place_and_none_the_direction(cover: Cover, mirror: Mirror) -> None:
    gust = checked(cover, mirror)["gust_limit_mps"]
    assert (gust.max("wind_from") == gust.min("wind_from")).all()
    by_place = gust.isel(wind_from=0)
    differs = (by_place.isel(station=0) != by_place.isel(station=1)).values
    assert gust["limit_state"].values[differs].tolist() == ["cover clearance"]
    assert float(by_place.sel(limit_state="cover clearance", station=5.0)) < float(
        by_place.sel(limit_state="cover clearance", station=0.0)
    )


@pytest.mark.parametrize(
    ("change", "state"),
    [
        ({"free_hem_m": 0.06}, "cover hem"),
        ({"fasteners_missing": 1}, "cover fastening"),
        ({"fasteners_missing": 1}, "cover fastening, one lost"),
        ({"vented": False}, "cover vents"),
        ({"tension_max_kN_per_m": 6.0}, "cover fastening"),
        ({"tension_max_kN_per_m": 12.0}, "cover fabric"),
    ],
)
def test_a_closed_gate_is_a_closed_road(
    cover_fields: dict[str, Any], mirror: Mirror, change: dict[str, Any], state: str
) -> None:
    data = checked(Cover(**cover_fields | change), mirror)
    assert limit(data, state) == 0.0
    assert float(data["utilisation_ratio"].sel(limit_state=state).max()) > 1.0


@pytest.mark.parametrize(
    ("crowned", "drained", "closed"), [(False, False, 1), (True, False, 0), (False, True, 0)]
)
def test_flat_and_undrained_is_closed_when_wet(
    cover_fields: dict[str, Any], mirror: Mirror, crowned: bool, drained: bool, closed: int
) -> None:
    flat = Cover(**cover_fields | {"crowned": crowned, "drained": drained})
    assert checked(flat, mirror).attrs["wet_is_closed"] == closed


def test_open_underside_is_a_sail(cover_fields: dict[str, Any], mirror: Mirror) -> None:
    """sqrt(1.157774 x 2000 / (1.25 x 6)) / 1.5 = 11.71 m/s."""
    data = checked(Cover(**cover_fields | {"underside": "open"}), mirror)
    assert limit(data, "cover divergence") == pytest.approx(11.71, abs=0.01)
    assert "sail" in next(line.title for line in lines_of(data) if line.check == "cover divergence")


def test_closed_underside_is_a_membrane_over_still_air(cover: Cover, mirror: Mirror) -> None:
    """sqrt(4.9665 x 2000 / (1.25 x 3)) / 1.3038 / 1.5 = 26.31 m/s."""
    assert limit(checked(cover, mirror), "cover divergence") == pytest.approx(26.31, abs=0.01)


def test_fastening_at_its_limit_by_hand(cover: Cover, mirror: Mirror) -> None:
    """At the limit the force of one fastening is its capacity over 2; N and V as printed."""
    data = checked(cover, mirror)
    force = next(line for line in lines_of(data) if line.check == "cover fastening" and line.result[0] == "F")
    value = {symbol: number for symbol, number, _, _ in force.values}
    assert value["b"] * value["s"] * np.hypot(value["N"], value["V"]) == pytest.approx(force.result[1])
    assert force.result[1] == pytest.approx(value["F_k"] / value["n"])
    assert value["V"] == pytest.approx(value["gamma"] * value["c"] * value["q"] * 3.0 / 2.0)


def test_clearance_by_hand(cover: Cover, mirror: Mirror) -> None:
    """From the printed room to the printed gust with the printed numbers only."""
    lines = [line for line in lines_of(checked(cover, mirror)) if line.check == "cover clearance"]
    room, bearable, dead, gust, rule = lines
    assert room.result[1] == pytest.approx(0.25 + 19.5 - np.sqrt(19.5**2 - 2.8**2) - 0.06)
    known = {symbol: number for symbol, number, _, _ in bearable.values}
    sag = room.result[1] / known["phi"]
    cubic = known["E_t"] / known["K"] ** 3
    assert bearable.result[1] == pytest.approx(4.0 * known["T"] * sag / 9.0 + cubic * sag**3 / 81.0)
    share = {symbol: number for symbol, number, _, _ in gust.values}
    left = bearable.result[1] - dead.result[1]
    assert gust.result[1] == pytest.approx(np.sqrt(2.0 * left / (share["rho"] * share["c"])))
    both = {symbol: number for symbol, number, _, _ in rule.values}
    assert rule.result[1] == pytest.approx(min(both["U_1"], max(both['U_"watch"'], both["U_2"])))


def test_one_lost_fastening_is_reported_beside(cover: Cover, mirror: Mirror) -> None:
    """Tension x 0.7 gives speeds x 0.84."""
    data = checked(cover, mirror)
    beside = float(data["gust_limit_one_lost_mps"].sel(limit_state="cover divergence").min())
    assert beside / limit(data, "cover divergence") == pytest.approx(np.sqrt(0.7))
    assert limit(data, "cover fastening") <= limit(data, "cover fastening, one lost")


def test_tension_needed_bears_the_gust(cover_fields: dict[str, Any], mirror: Mirror) -> None:
    data = checked(Cover(**cover_fields), mirror)
    needed = float(data["tension_needed_kN_per_m"].sel(limit_state="cover divergence", gust=30.0))
    enough = Cover(**cover_fields | {"tension_min_kN_per_m": needed, "tension_max_kN_per_m": 9.0})
    little = Cover(**cover_fields | {"tension_min_kN_per_m": needed - 0.1, "tension_max_kN_per_m": 9.0})
    assert (
        limit(checked(little, mirror), "cover divergence")
        < 30.0
        <= limit(checked(enough, mirror), "cover divergence")
    )
    assert float(data["tension_needed_kN_per_m"].sel(limit_state="cover vents").max()) == 0.0


def test_watch_speed_is_a_variable_and_no_limit(cover: Cover, mirror: Mirror) -> None:
    data = checked(cover, mirror)
    assert (data["watch_above_mps"] == 6.0 * data.attrs["lowest_frequency_hz"]).all()
    assert not any("watch" in name for name in data["limit_state"].values)


def test_unknown_shaking_stays_unknown(cover: Cover, mirror: Mirror) -> None:
    data = checked(cover, mirror, vertical_acceleration_mps2=np.array([0.2, np.nan, 0.2]))
    clearance = data["gust_limit_mps"].sel(limit_state="cover clearance").isel(wind_from=0)
    assert np.isnan(clearance.values).tolist() == [False, True, False]
    assert np.isnan(data["tension_needed_kN_per_m"].sel(limit_state="cover clearance")).all()


def test_unknown_air_density_is_refused(cover: Cover, mirror: Mirror) -> None:
    with pytest.raises(OutOfRangeError, match="mass_ratio = nan"):
        checked(cover, mirror, air_density_kg_per_m3=float("nan"))


def test_ring_inside_the_mirror_is_refused(cover_fields: dict[str, Any], mirror: Mirror) -> None:
    with pytest.raises(InputError, match="the ring must stand outside the coated face"):
        checked(Cover(**cover_fields | {"radius_m": 2.5}), mirror)


def test_every_limit_state_has_its_lines(cover: Cover, mirror: Mirror) -> None:
    data = checked(cover, mirror)
    assert set(data["limit_state"].values.tolist()) <= {line.check for line in lines_of(data)}


def test_formulas_can_be_typeset(cover: Cover, mirror: Mirror, cover_fields: dict[str, Any]) -> None:
    opened = Cover(**cover_fields | {"underside": "open", "ring_is_stiff": False})
    lines = [*lines_of(checked(cover, mirror)), *lines_of(checked(opened, mirror))]
    symbols = [value[0] for line in lines for value in line.values] + [line.result[0] for line in lines]
    text = "\n\n".join(f"$ {formula} $" for formula in [*(line.formula for line in lines), *symbols])
    assert typst.compile(text.encode("utf-8"), format="pdf")


def test_numbers_nobody_has_read_are_recorded(cover: Cover, mirror: Mirror) -> None:
    with ledger() as used:
        checked(cover, mirror)
    status = {one.name: one.status for one in used}
    assert status["cover_circle_divergence_ratio"] == "own"
    assert status["pressure"] == "practice"
