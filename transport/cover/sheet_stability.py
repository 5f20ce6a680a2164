"""Calculation lines of divergence, of the watch speed and of the hem."""

from collections.abc import Iterator

from shared.calculation import Line
from shared.tables import figure, published
from transport.cover.contact import frequency_hz, watch_mps
from transport.cover.divergence import local_speed_ratio, sail_speed_mps
from transport.cover.frequency import added_mass_kg_per_m2
from transport.cover.hem import flutter_speed_mps, speed_ratio
from transport.cover.limits import divergence_speed_mps
from transport.cover.sheet_line import Rest, air, line, low, ring
from transport.cover.situation import Situation

__all__ = ["divergence", "hem", "watch"]


def divergence(cover: Situation, limit_mps: float) -> Iterator[Line]:
    """Divergence speed of the case that applies, and the gust allowed."""
    speed = float(divergence_speed_mps(cover))
    yield _circle(cover, speed) if cover.underside == "closed" else _sail(cover, speed)
    yield line(
        Rest("cover divergence", "factor on the speed", status="practice"),
        "Gust allowed",
        "U = U_D / gamma",
        "U = UD / gamma",
        (
            ("U_D", speed, "m/s", "line above"),
            ("gamma", figure("cover_divergence_safety_ratio"), "", "factor on the speed"),
        ),
        ("U", limit_mps, "m/s"),
    )


def _circle(cover: Situation, speed_mps: float) -> Line:
    external = cover.pressure.external_ratio
    return line(
        Rest("cover divergence", "figures.csv, cover_circle_divergence_ratio", status="own"),
        "Closed underside: still air below, rim held, vents even out the mean pressure",
        "U_D = 1 / v sqrt((lambda T) / (rho R)), quad v = sqrt(1 - c)",
        "UD = sqrt(lambda T / (rho R)) / v; v = sqrt(1 - c)",
        (
            (
                "lambda",
                figure("cover_circle_divergence_ratio"),
                "",
                "round membrane, flow on one side, vented",
            ),
            low(cover),
            ring(cover),
            air(cover),
            ("c", external, "", "pressure over the cover, cpe"),
            ("v", local_speed_ratio(external), "", "flow over the cover against the free wind"),
        ),
        ("U_D", speed_mps, "m/s"),
    )


def _sail(cover: Situation, speed_mps: float) -> Line:
    return line(
        Rest("cover divergence", "Thwaites 1961, Nielsen 1963"),
        "Open underside: wind on both sides, taken as a sail of chord 2R",
        "U_D = sqrt((lambda T) / (rho 2 R))",
        "UD = sqrt(lambda T / (rho 2 R))",
        (
            ("lambda", figure("cover_sail_divergence_ratio"), "", "flexible sail at incidence 0"),
            low(cover),
            ring(cover),
            air(cover),
        ),
        ("U_D", speed_mps, "m/s"),
    )


def watch(cover: Situation) -> Line:
    """Speed above which the cover is watched."""
    air_mass = added_mass_kg_per_m2(cover.radius_m, cover.air_density_kg_per_m3)
    return line(
        Rest("cover watch", "screening line, reduced velocity 1", status="practice"),
        "Gust above which the cover is watched (no limit): lowest frequency with the air it carries",
        "U_w = 2 R f, quad f = j_01 / (2 pi R) sqrt(T / (m + m_a))",
        "Uw = 2 R f; f = j01 / (2 pi R) sqrt(T / (m + ma))",
        (
            low(cover),
            ring(cover),
            ("m", cover.areal_mass_kg_per_m2, "kg/m2", "cover.areal_mass_kg_per_m2"),
            ("m_a", air_mass, "kg/m2", "air on both sides, 2 x 0.746 rho R"),
            ("f", float(frequency_hz(cover)), "Hz", "lowest frequency"),
        ),
        ("U_w", float(watch_mps(cover)), "m/s"),
    )


def hem(cover: Situation, limit_mps: float) -> Iterator[Line]:
    """Flutter of the free hem, divergence of the roped one, and the gust allowed."""
    roped = float(sail_speed_mps(cover.tension_low_N_per_m, cover.hem_span_m, cover.air_density_kg_per_m3))
    yield _free_hem(cover)
    yield line(
        Rest("cover hem", "Thwaites 1961, Nielsen 1963; factor and longest hem practice", status="practice"),
        "Hem between two fastenings as a sail strip, and the gust allowed; 0 if the free hem is above 50 mm",
        "U = min(U_h, U_s) / gamma, quad U_s = sqrt((lambda T) / (rho s))",
        "U = min(Uh, Us) / gamma; Us = sqrt(lambda T / (rho s))",
        (
            ("lambda", figure("cover_sail_divergence_ratio"), "", "flexible sail at incidence 0"),
            low(cover),
            air(cover),
            ("s", cover.hem_span_m, "m", "pitch of the fastenings"),
            ("U_s", roped, "m/s", "divergence of the strip"),
            ("gamma", figure("cover_divergence_safety_ratio"), "", "factor on the speed"),
        ),
        ("U", limit_mps, "m/s"),
    )


def _free_hem(cover: Situation) -> Line:
    mass, bending = cover.areal_mass_kg_per_m2, cover.bending_stiffness_Nm
    first_ratio = published("hem_flutter").numbers("mass_ratio")[0]
    mass_ratio = cover.air_density_kg_per_m3 * cover.free_hem_m / mass
    onset = float(flutter_speed_mps(cover.free_hem_m, mass, bending, cover.air_density_kg_per_m3))
    return line(
        Rest("cover hem", "hem_flutter.csv; Kornecki, Dowell and O'Brien 1976", status="own"),
        "Flutter of the free hem",
        "U_h = u / L sqrt(D / m), quad mu = (rho L) / m",
        "Uh = u / L sqrt(D / m); mu = rho L / m",
        (
            ("L", cover.free_hem_m, "m", "cover.free_hem_m"),
            ("D", bending, "Nm", "cover.bending_stiffness_Nm"),
            ("m", mass, "kg/m2", "cover.areal_mass_kg_per_m2"),
            air(cover),
            ("mu", mass_ratio, "", f"the table begins at {first_ratio:g} and holds its first value below"),
            ("u", speed_ratio(mass_ratio), "", "hem_flutter.csv at mu, less 3 %"),
        ),
        ("U_h", onset, "m/s"),
    )
