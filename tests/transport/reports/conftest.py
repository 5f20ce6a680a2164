"""An invented result, built by hand: reports are tested without the domains. All numbers are our own, no proof."""

import os
import shutil
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.assessment import Assessment, Opening
from shared.calculation import Line, attach
from shared.inputs import Default
from shared.provenance import InputFile, Provenance
from shared.tables import Used

ARGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"]
ARGS += ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
SAMPLE = Path(__file__).parents[3] / "samples" / "sheltered_morning" / "move.toml"
AS_OF = datetime(2026, 3, 9, 18, 0, tzinfo=UTC)
FIRST = np.datetime64("2026-03-10T00:00", "ns")
STATIONS = 1200
LEVELS = ("low", "median", "high")
MEMBERS = 31
HOURS = 72
STARTS = 217
STAGES = {"Lift onto the trailer": (0.0, 7200.0), "Drive": (5760.0, 18000.0), "Park": (10800.0, 22800.0)}
WIND_FROM_DEG = np.arange(0.0, 360.0, 15.0)

# limit state: domain, gust limit along the wind, gust limit across the wind, clause, remedy, utilisation in still air
STATES = {
    "road grade": ("route", np.inf, np.inf, "route rule", "another road", 0.86),
    "road width": ("route", np.inf, np.inf, "route rule", "a narrower trailer", 0.62),
    "stopping distance": ("stopping", np.inf, np.inf, "common practice, no source", "a lower speed", 0.55),
    "holding speed without brakes": ("stopping", 31.0, 36.0, "statics", "a stronger retarder", 0.71),
    "trailer tipping": ("trailer", 33.0, 14.2, "statics", "a wider grouping or a lower load", 0.58),
    "axle-line load": ("trailer", 41.0, 38.0, "rating plate", "more axle lines", 0.77),
    "securing statutory (LC1)": ("securing", np.inf, np.inf, "EN 12195-1, 5.4", "chains of higher LC", 0.73),
    "securing operation (LC2)": ("securing", 27.0, 21.5, "EN 12195-1, 5.4", "one more pair of chains", 0.66),
    "securing earthquake (LC3)": ("securing", 14.9, 19.0, "EN 1998-1, 4.3.3.5", "higher friction or stops", 0.81),
    "securing one part lost (LC4)": ("securing", 25.0, 20.0, "own rule", "one more pair of chains", 0.74),
    "cover clearance": ("cover", 15.4, 15.4, "membrane theory", "more tension or a higher ring", 0.31),
    "cover divergence": ("cover", 17.5, 17.5, "membrane theory", "more tension", 0.0),
    "cover fastening": ("cover", 22.0, 22.0, "maker's rating", "more fasteners", 0.0),
}


def road() -> xr.Dataset:
    station = np.arange(STATIONS) * 5.0
    bends = np.where((station > 2450) & (station < 3000), np.sin((station - 2450) / 550 * 4 * np.pi) / 18.0, 0.0008)
    grade = 0.02 + 0.055 * np.sin(station / 900.0) + np.where((station > 2500) & (station < 3600), 0.045, 0.0)
    heading = np.degrees(np.cumsum(-bends * 5.0)) + 40.0
    speed = np.where(np.abs(bends) > 0.02, 2.0, np.where(grade > 0.08, 3.0, 5.0)) / 3.6
    numbers = {
        "elevation_m": 640.0 + np.cumsum(grade * 5.0),
        "grade_ratio": grade,
        "grade_se_ratio": np.full(STATIONS, 0.002),
        "curvature_per_m": bends,
        "heading_deg": heading % 360.0,
        "crossfall_ratio": np.full(STATIONS, 0.025),
        "width_left_m": np.where(station < 5800, 3.4, np.nan),
        "width_right_m": np.full(STATIONS, 3.2),
        "speed_mps": speed,
        "section": (station // 1500).astype(int),
    }
    attrs = {"survey_class": "stability", "crs": "EPSG:32727"}
    variables: dict[str, Any] = {name: ("station", values) for name, values in numbers.items()}
    variables["surface"] = ("station", np.where(station < 4500, "asphalt", "gravel"))
    return xr.Dataset(variables, {"station": station}, attrs)


def limits(path: xr.Dataset, names: list[str]) -> np.ndarray:
    relative = np.radians(WIND_FROM_DEG[None, :] - path["heading_deg"].values[:, None])
    exposure = 1.0 - 0.25 * np.exp(-(((path["station"].values - 3300.0) / 260.0) ** 2))[:, None]
    steep = 1.0 - 1.2 * np.maximum(path["grade_ratio"].values, 0.0)[:, None]
    along, across = np.abs(np.cos(relative)), np.abs(np.sin(relative))
    return np.stack([(STATES[name][1] * along**2 + STATES[name][2] * across**2) * exposure * steep for name in names])


def rose(path: xr.Dataset) -> xr.Dataset:
    names = list(STATES)
    by_state = np.where(np.isinf([STATES[n][1] for n in names])[:, None, None], np.inf, 0.0) + np.zeros(
        (1, STATIONS, 24)
    )
    finite = [index for index, name in enumerate(names) if np.isfinite(STATES[name][1])]
    by_state[finite] = limits(path, [names[index] for index in finite])
    dims = ("limit_state", "station", "wind_from")
    return xr.Dataset(
        {
            "gust_limit_by_state_mps": (dims, by_state, {"units": "m s-1"}),
            "gust_limit_mps": (dims[1:], by_state.min(axis=0), {"units": "m s-1"}),
            "governed_by": (dims[1:], np.array(names)[by_state.argmin(axis=0)]),
            "clause": ("limit_state", [STATES[name][3] for name in names]),
            "remedy": ("limit_state", [STATES[name][4] for name in names]),
        },
        {"limit_state": names, "station": path["station"], "wind_from": WIND_FROM_DEG},
    )


def forecast() -> xr.Dataset:
    hours = np.arange(HOURS)
    day = 6.6 - 2.9 * np.cos((hours - 5.0) / 24.0 * 2 * np.pi) + np.where(hours > 44, 2.0, 0.0)
    spread = np.random.default_rng(11).normal(0.0, 1.0, (MEMBERS, 1)) * (0.4 + hours[None, :] * 0.03)
    gust = np.clip(day[None, :] + spread, 0.3, None)
    time = FIRST + hours * np.timedelta64(1, "h")
    attrs = {"forecast_reference_time": "2026-03-09T12:00:00+00:00", "age_h": 6.0, "refusals": "[]", "remarks": "[]"}
    return xr.Dataset(
        {
            "gust_apparent_mps": (("realization", "time"), gust, {"units": "m s-1"}),
            "wind_from_deg": (("realization", "time"), np.full(gust.shape, 250.0), {"units": "degree"}),
            "precipitation_mm_per_h": (("realization", "time"), np.zeros(gust.shape)),
        },
        {"realization": np.arange(MEMBERS), "time": time},
        attrs,
    )


def window(ahead: xr.Dataset) -> xr.Dataset:
    gust = ahead["gust_apparent_mps"].values
    limit = np.full(HOURS, 10.8)
    begin = FIRST + np.timedelta64(6, "h") + np.arange(STARTS) * np.timedelta64(10, "m")
    hour = np.minimum((np.arange(STARTS) // 6) + 6, HOURS - 7)
    high = np.array([gust[:, index : index + 6].max() for index in hour])
    use = high / 10.8
    dark = ((hour - 1) % 24 < 7) | ((hour - 1) % 24 > 14)
    gap = np.arange(STARTS) > 205
    use = np.where(gap, np.nan, use)
    verdict = np.where(gap, "undecided", np.where((use <= 1.0) & ~dark, "go", "no-go"))
    reason = np.where(gap, "no forecast", np.where(dark, "daylight", "cover clearance"))
    return xr.Dataset(
        {
            "verdict": ("start", verdict),
            "utilisation_ratio": ("start", use),
            "chance_ratio": ("start", np.where(gap, np.nan, np.clip((use - 0.75) ** 3 * 4, 0.019, 1.0))),
            "margin_ratio": ("start", 1.0 - use),
            "governed_by": ("start", reason),
            "governing_stage": ("start", np.where(dark, "Lift onto the trailer", "Drive")),
            "governing_station_m": ("start", np.where(gap, np.nan, 3300.0)),
            "governing_words": ("start", [f"{value * 10.8:.1f} m/s against 10.8 m/s" for value in use]),
            "finished_by": ("start", begin + np.timedelta64(380, "m")),
            "governing_time": ("start", FIRST + (hour + 3) * np.timedelta64(1, "h")),
            "gust_low_mps": ("time", gust.min(axis=0)),
            "gust_median_mps": ("time", np.median(gust, axis=0)),
            "gust_high_mps": ("time", gust.max(axis=0)),
            "gust_limit_there_mps": ("time", limit),
            "band_station_m": ("time", np.full(limit.shape, 3300.0)),
            "stage_begin_s": ("stage", [begin_s for begin_s, _ in STAGES.values()]),
            "stage_end_s": ("stage", [end_s for _, end_s in STAGES.values()]),
        },
        {"start": begin, "time": ahead["time"], "stage": list(STAGES)},
    )


def orders() -> xr.Dataset:
    rows = [
        ("Gate straight", 0.0, 700.0, 5.0, 0.071, np.inf, 14.3, 315.0, "cover clearance", "stretch", np.nan, np.nan),
        ("Long climb", 700.0, 2400.0, 5.0, 0.075, 240.0, 13.6, 315.0, "cover clearance", "stretch", np.nan, np.nan),
        (
            "Lay-by below the hairpins",
            2400.0,
            2400.0,
            0.0,
            0.045,
            np.inf,
            14.1,
            0.0,
            "cover clearance",
            "hold point",
            0.5,
            10.8,
        ),
        ("Hairpins", 2400.0, 3000.0, 2.0, -0.117, 18.0, 12.1, 285.0, "cover clearance", "stretch", np.nan, np.nan),
        ("Open shoulder", 3000.0, 3600.0, 3.0, 0.105, 900.0, 10.8, 255.0, "cover clearance", "stretch", np.nan, np.nan),
        ("Hall approach", 3600.0, 5995.0, 5.0, 0.041, 310.0, 14.6, 30.0, "cover clearance", "stretch", np.nan, np.nan),
    ]
    names = (
        *(
            "stretch_name",
            "from_station_m",
            "to_station_m",
            "speed_kmh",
            "grade_max_ratio",
            "radius_min_m",
            "gust_limit_mps",
        ),
        *("wind_from_worst_deg", "governed_by", "kind", "wait_h", "release_limit_mps"),
    )
    variables = {name: ("stretch", list(column)) for name, column in zip(names, zip(*rows, strict=True), strict=True)}
    return xr.Dataset(variables, {"stretch": np.arange(len(rows))})


def lines(domain: str) -> list[Line]:
    made = {
        "cover": [
            Line(
                "cover clearance",
                "Sag under the gust",
                "w_0 = (p R^2) / (4 T)",
                "w0 = p R^2 / (4 T)",
                (
                    ("p", 118.3, "Pa", "pressure of the gust, dynamic factor 1.5"),
                    ("R", 3.0, "m", "cover.radius_m"),
                    ("T", 2000.0, "N/m", "lowest tension less thermal loss"),
                ),
                ("w_0", 0.1331, "m"),
                "theory of membranes",
                "",
                "memory",
            ),
            Line(
                "cover divergence",
                "Speed at which a flat cover loses its stiffness",
                "V_D = sqrt((2 pi T) / (rho R))",
                "V_D = sqrt(2 pi T / (rho R))",
                (
                    ("T", 2000.0, "N/m", "lowest tension less thermal loss"),
                    ("rho", 1.25, "kg/m³", "site.air_density"),
                    ("R", 3.0, "m", "cover.radius_m"),
                ),
                ("V_D", 57.88, "m/s"),
                "theory of membranes",
                "",
                "memory",
            ),
        ],
        "securing": [
            Line(
                "securing operation (LC2)",
                "Chain tension against its allowed capacity",
                'eta = (gamma thin F_C) / "LC"',
                "eta = gamma F_C / LC",
                (
                    ("gamma", 1.5, "-", "securing.capacity_divisor"),
                    ("F_C", 70.4, "kN", "limit analysis, chain C1"),
                    ("LC", 160.0, "kN", "chain[0].lc_kN"),
                ),
                ("eta", 0.66, "-"),
                "EN 12195-1:2010",
                "5.4",
                "memory",
            ),
        ],
        "trailer": [
            Line(
                "trailer tipping",
                "Tipping about the line through two group centres",
                "M_S / M_T = (m g b) / (F_w h_w + m g h sin phi)",
                "M_S / M_T = m g b / (F_w h_w + m g h sin phi)",
                (
                    ("m", 55000.0, "kg", "unit and trailer"),
                    ("b", 0.9, "m", "trailer.bogie_y_m"),
                    ("phi", 0.0428, "rad", "crossfall left after levelling, with tolerance"),
                ),
                ("eta", 0.58, "-"),
                "statics",
                "",
                "own",
            ),
        ],
        "seismic": [
            Line(
                "securing earthquake (LC3)",
                "Elastic spectrum at the deck's period",
                "S_e = a_g S eta 2.5",
                "Se = ag S eta 2.5",
                (
                    ("a_g", 1.2, "m/s²", "seismic.reference_acceleration_mps2"),
                    ("S", 1.2, "-", "table 3.2, ground B"),
                    ("eta", 0.8165, "-", "damping 10 %"),
                ),
                ("S_e", 2.939, "m/s²"),
                "EN 1998-1:2004",
                "3.2.2.2 (3.3)",
                "memory",
            ),
        ],
    }
    return made.get(domain, [])


def checks(path: xr.Dataset) -> dict[str, xr.Dataset]:
    made = {}
    for domain in ("route", "stopping", "trailer", "securing", "cover", "seismic"):
        names = [name for name, row in STATES.items() if row[0] == domain]
        shape = np.ones((1, STATIONS)) * np.linspace(0.8, 1.0, STATIONS)
        still = (
            np.array([STATES[name][5] for name in names]).reshape(-1, 1) * shape if names else np.empty((0, STATIONS))
        )
        data = xr.Dataset(
            {"utilisation_ratio": (("limit_state", "station"), still)},
            {"limit_state": np.array(names, dtype=str), "station": path["station"]},
        )
        made[domain] = attach(data, lines(domain))
    tags = [f"C{n}" for n in range(1, 9)]
    tension = np.linspace(30.0, 71.0, 32).reshape(4, 8)
    made["securing"] = (
        made["securing"].assign_coords(chain=tags).assign(chain_tension_kN=(("limit_state", "chain"), tension))
    )
    made["securing"] = secured(made["securing"])
    groups = ["front left", "front right", "rear left", "rear right"]
    lost, pressure = [np.inf, 1.31, 0.92, 0.92], [9150.0, 9150.0, 8820.0, 8820.0]
    made["trailer"] = (
        made["trailer"]
        .assign_coords(group=groups)
        .assign(group_lost_ratio=("group", lost), group_pressure_kPa=("group", pressure))
    )
    sentences = (
        "Level checked: 1.2 m/s² at 95 years, chosen by C. Example on 2026-02-20.",
        "Chance that this level is exceeded while the load is on the road (5 h): 6e-6; over 20 planned moves: 1e-4.",
    )
    made["seismic"] = made["seismic"].assign_attrs(level_sentence=sentences[0], chance_sentence=sentences[1])
    return made


MODELS = ["EN 12195-1 sliding", "EN 12195-1 tipping", "elastic share", "equilibrium", "elastic chains"]
LOSSES = ["chain C1", "chain C5", "anchor of C1, C5"]
PADS = ["pad front left", "pad front right", "pad rear left", "pad rear right", "keyed stop front", "keyed stop rear"]


def by_direction() -> dict[str, Any]:
    """What the securing holds by direction; forward the share is least, elsewhere the equilibrium."""
    angle = np.radians(WIND_FROM_DEG)
    base = 0.9504 + 0.15 * np.cos(2.0 * angle)
    usable = np.where(WIND_FROM_DEG == 0.0, base - 0.06, base - 0.03)
    ratio = np.stack([base, base + 1.9, np.where(WIND_FROM_DEG == 0.0, base - 0.06, base), base - 0.03, base - 0.01])
    texts = {
        "held_way": np.where(np.abs(np.cos(angle)) > 0.9, "stops", "chains"),
        "first_full": np.where(np.cos(angle) > 0.0, "C3", "keyed stop rear"),
        "slack_chains": np.where(np.cos(angle) > 0.0, "C1, C2", ""),
        "lifted_contacts": np.full(24, ""),
        "mechanism": np.full(24, "sliding"),
    }
    numbers = {
        "usable_ratio": usable,
        "lower_bound_ratio": base - 0.4,
        "upper_bound_ratio": base + 0.30,
        "first_full_movement_m": np.full(24, 0.0123),
        "share_movement_m": np.full(24, 0.0098),
    }
    named: dict[str, Any] = {name: ("direction", values) for name, values in (texts | numbers).items()}
    return named | {"resistance_ratio": (("model", "direction"), ratio)}


def by_case() -> dict[str, Any]:
    """What each load case brings: pushes, one set of forces that holds it, slide, losses."""
    cases = np.arange(4.0)
    contact = np.stack([np.stack([5.0 + cases, -2.0 - cases, 70.0 + cases], axis=-1) for _ in PADS], axis=1)
    losses = np.array([[0.86, 0.41, 0.62, 0.34], [0.80, 0.36, 0.71, 0.38], [0.97, 0.52, 0.83, 0.47]])
    return {
        "push_ahead_kN": ("limit_state", 240.0 - 30.0 * cases),
        "push_left_kN": ("limit_state", -5.0 * cases),
        "push_carried_kN": ("limit_state", 304.1 - cases),
        "movement_m": ("limit_state", [0.0, 0.0031, 0.0174, 0.0042]),
        "admissible_tension_kN": (("limit_state", "chain"), np.linspace(10.0, 41.0, 32).reshape(4, 8)),
        "admissible_contact_kN": (("limit_state", "contact", "axis"), contact),
        "residual_kN": ("limit_state", np.full(4, 2.5e-13)),
        "residual_kNm": ("limit_state", np.full(4, 4.5e-13)),
        "redundancy_ratio": (("loss", "limit_state"), losses),
        "lost_member": ("limit_state", ["none", "none", "none", "anchor of C1, C5"]),
    }


def by_chain() -> dict[str, Any]:
    """Geometry and capacity of each chain."""
    weakest = ["LC of the chain", "anchor", "shackle", "tensioner", "edge", "shared anchor", "anchor", "anchor"]
    return {
        "chain_length_m": ("chain", np.full(8, 2.191)),
        "chain_vertical_angle_deg": ("chain", np.full(8, 21.42)),
        "chain_plan_angle_deg": ("chain", np.full(8, 11.31)),
        "chain_capacity_kN": ("chain", np.full(8, 106.7)),
        "chain_weakest": ("chain", weakest),
    }


def by_code() -> dict[str, Any]:
    """Codes, strictest first, and counting rules."""
    return {
        "code_name": ("code_row", ["CTU Code", "EN 12195-1", "49 CFR 393"]),
        "code_direction": ("code_row", ["forward", "forward", "sideways"]),
        "code_level": ("code_row", ["LC / 1.5", "LC / 1.5", "WLL"]),
        "code_sliding_ratio": ("code_row", [0.8, 0.8, 0.5]),
        "code_tipping_ratio": ("code_row", [0.8, 0.8, np.nan]),
        "code_sliding_kN": ("code_row", [316.2, 320.4, 290.0]),
        "code_tipping_kN": ("code_row", [925.9, 925.9, np.nan]),
        "code_use_ratio": ("code_row", [0.7816, 0.7716, 0.5328]),
        "counting_clause": ("counting_rule", ["393.106(d)", "393.110, 393.130"]),
        "counting_needed": ("counting_rule", [151.9, 3.0]),
        "counting_provided": ("counting_rule", [320.0, 8.0]),
        "counting_unit": ("counting_rule", ["kg", ""]),
        "counting_use_ratio": ("counting_rule", [0.4747, 0.375]),
    }


def secured(check: xr.Dataset) -> xr.Dataset:
    """The check of the securing with everything that the calculation sheet shows of it."""
    coords = {"model": MODELS, "loss": LOSSES, "contact": PADS, "direction": WIND_FROM_DEG, "axis": ["x", "y", "z"]}
    named = by_direction() | by_case() | by_chain() | by_code() | {"envelope_error_ratio": ((), 0.0025)}
    attrs = {"weight_kN": 304.11, "capacity_divisor": 1.5, "allowed_movement_m": 0.02}
    return check.assign_coords(coords).assign(named).assign_attrs(attrs)


def provenance() -> Provenance:
    sha = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
    files = (InputFile("move.toml", sha), InputFile("road.csv", sha[::-1]), InputFile("forecast.nc", sha[8:] + sha[:8]))
    unread = (
        Used("friction_conversion_EN12195", "0.75", "1", "EN 12195-1:2010, 6.2", "memory"),
        Used("cover_pressure_centre", "1.2", "1", "common practice, no source", "practice"),
        Used("ground_types", "table", "", "EN 1998-1:2004, table 3.2", "memory"),
        Used("rolling_resistance", "0.02", "1", "common practice, no source", "practice"),
    )
    defaults = (
        Default("cover.areal_mass_kg_per_m2", 1.0, "coated polyester of usual weight"),
        Default("tractor.brake_build_up_s", 0.5, "air brakes, short train"),
    )
    options = {"start_every_min": "10", "rule": "ensemble"}
    return Provenance("0.1.0", AS_OF, files, options, unread=unread, defaults=defaults)


def openings(made: xr.Dataset) -> tuple[Opening, ...]:
    go = made["verdict"].values == "go"
    edges = np.flatnonzero(np.diff(np.concatenate(([0], go.astype(int), [0]))))
    found = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        begin, last = (
            made["start"].values[i].astype("datetime64[us]").astype(datetime).replace(tzinfo=UTC)
            for i in (first, after - 1)
        )
        margin = float(made["margin_ratio"].values[first:after].min())
        found.append(Opening(begin, last + timedelta(hours=6, minutes=20), last, margin, "cover clearance"))
    return tuple(found)


def build() -> Assessment:
    path, ahead = road(), forecast()
    made = window(ahead)
    return Assessment(
        move=tomllib.loads(SAMPLE.read_text(encoding="utf-8")),
        verdict="go",
        reasons=(),
        would_open=(),
        openings=openings(made),
        road=path,
        rose=rose(path),
        forecast=ahead,
        window=made,
        orders=orders(),
        checks=checks(path),
        provenance=provenance(),
    )


@pytest.fixture(scope="session")
def result() -> Assessment:
    """A move with two windows."""
    return build()


@pytest.fixture(scope="session")
def closed(result: Assessment) -> Assessment:
    """The same move on a day without a window."""
    made = result.window.assign(
        verdict=("start", np.full(STARTS, "no-go")), utilisation_ratio=result.window["utilisation_ratio"] * 0 + 1.31
    )
    return replace(
        result,
        verdict="no-go",
        openings=(),
        window=made,
        reasons=(
            "The gust at the load passes the limit of the cover by 31 % at 3300 m (Open shoulder), Tue 13:00.",
            "No start is early enough to park before the end of civil twilight.",
        ),
        would_open=("Cover clearance: 27 % more tension (3.1 kN/m in place of 2.4 kN/m) would open 06:00 to 08:10.",),
    )


@pytest.fixture(scope="session")
def undecided(result: Assessment) -> Assessment:
    """The same move without a forecast that may be used."""
    made = result.window.isel(time=slice(0, 0)).assign(
        verdict=("start", np.full(STARTS, "undecided")),
        utilisation_ratio=("start", np.full(STARTS, np.nan)),
        chance_ratio=("start", np.full(STARTS, np.nan)),
        margin_ratio=("start", np.full(STARTS, np.nan)),
        governing_station_m=("start", np.full(STARTS, np.nan)),
        governing_time=("start", np.full(STARTS, np.datetime64("NaT", "ns"))),
    )
    reasons = ("forecast.nc: the forecast is 31 h old, allowed 12 h; fetch the newest run.",)
    return replace(result, verdict="undecided", openings=(), window=made, reasons=reasons)


@pytest.fixture(scope="session")
def rebuilt() -> Callable[[], Assessment]:
    """Build the same result once more, from nothing."""
    return build


HOSTILE = '</script><img src=x onerror=alert(1)> #eval("1+1") $x^2$ [red]loud[/red] \x1b[2J\u202e {{ 7*7 }} =1+1'
FOREIGN = "Καθρέφτης, zwierciadło główne ęąśż, 主鏡"


@pytest.fixture(scope="session")
def hostile(result: Assessment) -> Assessment:
    """The same move with names that try to be markup, mathematics, commands, or too long."""
    header = result.move["move"] | {"name": HOSTILE, "organisation": FOREIGN, "prepared_by": "ż" * 120}
    chains = [{**chain, "tag": "$C_1$ #pagebreak()"} for chain in result.move["chain"]]
    names = [
        HOSTILE,
        *(f"very long name of a stretch {FOREIGN} " * 3 for _ in range(result.orders.sizes["stretch"] - 1)),
    ]
    return replace(
        result,
        move={**result.move, "move": header, "chain": chains},
        reasons=(HOSTILE,),
        would_open=(FOREIGN,),
        remarks=(HOSTILE,),
        orders=result.orders.assign(stretch_name=("stretch", names)),
        window=result.window.assign(governed_by=("start", np.full(STARTS, HOSTILE))),
    )


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Chromium without a network; in CI it must be there."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not found and "CI" in os.environ:
        pytest.fail("no chromium on the path")
    if not found:
        pytest.skip("no chromium on the path")
    from playwright.sync_api import sync_playwright

    options: dict[str, Any] = {"viewport": {"width": 1100, "height": 900}, "locale": "en-GB", "timezone_id": "UTC"}
    with sync_playwright() as play:
        folder = tmp_path_factory.mktemp("profile")
        context = play.chromium.launch_persistent_context(
            folder, executable_path=found, headless=True, args=ARGS, offline=True, **options
        )
        yield context
        context.close()


@pytest.fixture(scope="session")
def several(result: Assessment) -> Assessment:
    """The same move with two second opinions, one with a hostile name and a short reach, and an instrument."""
    high = result.window["gust_high_mps"].values
    short = np.where(np.arange(HOURS) < 30, 1.3 * high, np.nan)
    rows = np.stack([high - 0.4, short])
    files = ["second.nc", HOSTILE]
    differing = xr.Dataset(
        {
            **{f"road_gust_{name}_mps": ("time", result.window[f"gust_{name}_mps"].values) for name in LEVELS},
            "opinion_gust_median_mps": (("opinion", "time"), rows - 1.0),
            "opinion_gust_high_mps": (("opinion", "time"), rows),
            "opinion_above_mps": (("opinion", "time"), rows - high),
            "opinion_gust_there_mps": (("opinion", "time"), rows),
            "starts_compared_count": ("opinion", [217, 100]),
            "starts_differ_count": ("opinion", [0, 12]),
            "starts_governed_count": ("opinion", [0, 31]),
        },
        {"time": result.window["time"], "opinion": files},
    )
    begin = result.window["start"].values[0]
    times = begin - np.arange(6)[::-1] * np.timedelta64(1, "h")
    gust = np.array([4.0, 5.0, np.nan, 6.0, 5.5, 5.2])
    members = {f"forecast_{name}_mps": ("time", gust + more) for name, more in zip(LEVELS, (-1, 0, 1), strict=True)}
    attrs = {"file": "mast.csv", "role": "observation", "station": "Shelf mast", "compared": 1, "refusals": "[]"}
    attrs |= {"observed_average_mps": 3.6, "forecast_average_mps": 3.2, "remarks": "[]"}
    values = {"observed_gust_mps": ("time", gust), "observed_mean_mps": ("time", 0.7 * gust), **members}
    opinions = tuple(result.forecast.assign_attrs(file=name, role="second_opinion") for name in files)
    seen = xr.Dataset(values, {"time": times}, attrs)
    return replace(result, opinions=opinions, observations=(seen,), disagreement=differing)
