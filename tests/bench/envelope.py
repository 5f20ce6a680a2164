"""Time of the capacity envelope: build, and gust limits of 400 stations x 36 wind directions in the load cases.

Run: python tests/bench/envelope.py [stations of the plain script, default 10]
Build is everything from the chains to the facets, with limit analysis intact and after the loss of each chain; the
evaluation is operation, earthquake and one chain lost (the statutory case has no wind). The plain script looks up the
table for each push, sense of shaking and gust of a step search; it must give the same limits, is timed on its first
stations and scaled. Ratios are of the same run on the same machine.
"""

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import xarray as xr

from transport.load_cases import earthquake
from transport.load_cases.combination import Still, Wind, corners, gust_limit_mps
from transport.load_cases.envelope import Envelope, rising, without_favour
from transport.load_cases.polytope import Actions, facets, push_use_ratio
from transport.securing.assess import assess
from transport.securing.inputs import Chain, Contact, Securing, Unit

STATIONS, WINDS = 400, 36
SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
NODES = np.array([0.05, 0.6, 0.8, 1.0, 1.15])
GUST_STEP = 0.05


def tables() -> tuple[Unit, list[Chain], list[Contact], Securing]:
    """An invented unit of 31 t with eight chains, four pads and two stops."""
    unit = Unit(
        mass_t=31.0, mass_tolerance_t=0.5, centre_of_mass_m=(0.0, 0.0, 1.2), centre_of_mass_tolerance_m=0.05,
        wind_area_front_m2=90.0, wind_area_side_m2=110.0, wind_centre_m=(0.0, 0.0, 1.4), force_coefficient=1.2,
        lift_coefficient=0.5, plan_area_m2=28.3, allowed_movement_m=0.02,
    )  # fmt: skip
    ends = [((2.4 * x, 1.0 * y, 0.8), (4.4 * x, 1.4 * y, 0.0)) for x, y in SIGNS]
    ends += [((1.2 * x, 0.7 * y, 1.0), (1.2 * x, 1.4 * y, 0.0)) for x, y in SIGNS]
    given: dict[str, Any] = {"size_mm": 16, "grade": 8, "method": "direct", "lc_kN": 160.0, "stf_kN": 16.0}
    given |= {"anchor_rating_kN": 200.0}
    chains = [Chain(tag=f"C{k}", on_load_m=a, on_deck_m=b, **given) for k, (a, b) in enumerate(ends)]
    pad: dict[str, Any] = {"kind": "pad", "normal": (0.0, 0.0, 1.0), "friction_ratio": 0.3, "capacity_kN": 400.0}
    pad |= {"friction_pair": "metal rough painted on same, EN 12195-1 annex B"}
    contacts = [Contact(name=f"pad {k}", position_m=(2.2 * x, 1.1 * y, 0.0), **pad) for k, (x, y) in enumerate(SIGNS)]
    stop: dict[str, Any] = {"kind": "stop", "friction_ratio": 0.0, "capacity_kN": 250.0}
    stop |= {"friction_pair": "none counted"}
    contacts += [
        Contact(name=f"stop {x}", position_m=(2.6 * x, 0.0, 0.3), normal=(-float(x), 0.0, 0.0), **stop) for x in (1, -1)
    ]
    return unit, chains, contacts, Securing(code="EN 12195-1", capacity_divisor=1.5)


def envelopes(found: xr.Dataset) -> list[Envelope]:
    """Intact, and the least after any loss, with their cuts."""
    weight = float(found.attrs["weight_kN"])
    whole = found["usable_resistance_kN"].values, found["moment_resistance_kNm"].values
    lost = found["lost_usable_resistance_kN"].values.min(axis=0), found["lost_moment_resistance_kNm"].values.min(axis=0)
    return [without_favour(rising(Envelope(NODES, *pair, weight))) for pair in (whole, lost)]


def road() -> tuple[Still, Wind, np.ndarray]:
    """Pushes of 400 stations, wind from 36 directions, shaking; seeded."""
    random = np.random.default_rng(20260309)
    ahead, left = random.uniform(0.0, 70.0, (2, STATIONS)), random.uniform(0.0, 20.0, (2, STATIONS))
    still = Still((-ahead[0], ahead[1]), (-left[0], left[1]), random.uniform(285.0, 298.0, STATIONS))
    angle = np.deg2rad(np.arange(WINDS) * 10.0) + random.uniform(0.0, 6.3, (STATIONS, 1))
    area = 108.0 * np.abs(np.cos(angle)) + 132.0 * np.abs(np.sin(angle))
    wind = Wind(area * np.cos(angle), area * np.sin(angle), 14.15, np.array([0.07, 0.07, 0.25]), 1.25)
    return still, wind, np.column_stack([random.uniform(20.0, 40.0, STATIONS), random.uniform(10.0, 20.0, STATIONS)])


def cases(both: list[Envelope], still: Still, shaking: np.ndarray) -> list[tuple[Envelope, Actions]]:
    """Envelope and pushes of operation, earthquake and one chain lost."""
    plain = corners(still)
    return [(both[0], plain), (both[0], earthquake.shaken(still, shaking, 0.3)), (both[1], plain)]


def scanned(envelope: Envelope, actions: Actions, wind: Wind, some: int) -> np.ndarray:
    """First gust of even steps at which any push uses more than all, one station and wind at a time."""
    inside, gusts = facets(envelope), np.arange(0.0, 120.0, GUST_STEP)
    pressure = 0.5e-3 * wind.air_density_kg_per_m3 * gusts**2
    signs = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)])[:, :, None, None]
    found = np.full((some, WINDS), np.inf)
    x, y, z = wind.arm_m
    for n in range(some):
        for w in range(WINDS):
            blown, aside, lift = (pressure * a for a in (wind.ahead_m2[n, w], wind.left_m2[n, w], wind.lift_m2))
            ahead, left = actions.ahead_kN[:, :, n, None] + blown, actions.left_kN[:, :, n, None] + aside
            factor = np.broadcast_to((actions.carried_kN[:, n, None] - lift) / envelope.weight_kN, ahead.shape)
            use = push_use_ratio(inside, ahead, left, factor)
            moments = (z * abs(aside) + y * lift, z * abs(blown) + x * lift, x * abs(aside) + y * abs(blown))
            for moment, held in zip(moments, envelope.moment_kNm.T, strict=True):
                use = use + moment * np.interp(factor, envelope.vertical_ratio, 1.0 / held)
            own = (ahead * signs[:, 0] >= 0.0) & (left * signs[:, 1] >= 0.0)
            outside = np.any(own & ~(use <= 1.0), axis=(0, 1))
            if outside.any():
                found[n, w] = gusts[np.argmax(outside)]
    return found


def timed(work: Callable[[], Any], repeats: int) -> tuple[float, Any]:
    """Least time of the repeats, and the result."""
    found, least = None, np.inf
    for _ in range(repeats):
        begin = time.perf_counter()
        found = work()
        least = min(least, time.perf_counter() - begin)
    return least, found


def main() -> None:
    """Build, evaluate, check against the plain script, print ratios."""
    some = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    given = tables()
    build, both = timed(lambda: envelopes(assess(*given, vertical_ratio=NODES)), 3)
    still, wind, shaking = road()
    jobs = cases(both, still, shaking)
    print(f"stations {STATIONS}, winds {WINDS}; build {build:.2f} s")  # noqa: T201
    total, plain_total = 0.0, 0.0
    for name, (envelope, actions) in zip(("operation", "earthquake", "one chain lost"), jobs, strict=True):
        mine, limit = timed(lambda e=envelope, a=actions: gust_limit_mps(facets(e), a, wind), 7)
        plain, answer = timed(lambda e=envelope, a=actions: scanned(e, a, wind, some), 1)
        gap = np.where(np.isfinite(answer), answer - limit[:some], 0.0)
        assert np.all((gap >= -1e-9) & (gap <= GUST_STEP * 1.001)), name
        scaled = plain * STATIONS / some
        total, plain_total = total + mine, plain_total + scaled
        print(f"{name}: {1e3 * mine:.1f} ms, limits {limit.min():.1f} to {limit.max():.1f} m/s")  # noqa: T201
    print(f"all {1e3 * total:.0f} ms; plain script {plain_total:.1f} s (scaled), ratio {plain_total / total:.0f}")  # noqa: T201


if __name__ == "__main__":
    main()
