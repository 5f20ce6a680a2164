"""Calculation lines of divergence, of the watch speed and of the hem."""

from collections.abc import Iterator

from shared.calculation import Line
from shared.tables import figure
from transport.cover.contact import frequency_hz, watch_mps
from transport.cover.divergence import local_speed_ratio, sail_speed_mps
from transport.cover.frequency import added_mass_kg_per_m2
from transport.cover.hem import LEAST_LENGTH_M, between, flutter_speed_mps, speed_ratio
from transport.cover.limits import divergence_speed_mps
from transport.cover.sheet_line import Rest, air, first_zero, line, low, ring
from transport.cover.situation import Situation

__all__ = ["divergence", "hem", "watch"]


def divergence(cover: Situation, limit_mps: float) -> Iterator[Line]:
    """Divergence speed of the case that applies, and the gust allowed."""
    speed = float(divergence_speed_mps(cover))
    yield _circle(cover, speed) if cover.underside == "closed" else _sail(cover, speed)
    yield line(
        Rest("cover divergence", "factor on the speed", status="practice"),
        "Gust allowed: divergence speed less its factor",
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
        Rest("cover divergence", "round membrane in a baffle, Galerkin solution of this tool", status="own"),
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
        Rest("cover watch", "screening line on the reduced velocity", status="practice"),
        "Gust above which the cover is watched (no limit): lowest frequency with the air it carries",
        "U_w = V_r 2 R f, quad f = j_01 / (2 pi R) sqrt(T / (m + m_a))",
        "Uw = Vr 2 R f; f = j01 / (2 pi R) sqrt(T / (m + ma))",
        (
            low(cover),
            ring(cover),
            ("m", cover.areal_mass_kg_per_m2, "kg/m2", "cover.areal_mass_kg_per_m2"),
            ("m_a", air_mass, "kg/m2", "air that moves with the cover, both sides"),
            first_zero(),
            ("V_r", figure("cover_reduced_velocity_ratio"), "", "reduced velocity from which the cover is watched"),
            ("f", float(frequency_hz(cover)), "Hz", "lowest frequency"),
        ),
        ("U_w", float(watch_mps(cover)), "m/s"),
    )


def hem(cover: Situation, limit_mps: float) -> Iterator[Line]:
    """Flutter of the free hem, divergence of the roped one, and the gust allowed."""
    longest_m = figure("cover_hem_length_m")
    roped = float(sail_speed_mps(cover.tension_low_N_per_m, cover.hem_span_m, cover.air_density_kg_per_m3))
    onset = _onset_mps(cover)
    yield _free_hem(cover, onset) if cover.free_hem_m >= LEAST_LENGTH_M else _no_hem(cover, onset)
    yield line(
        Rest("cover hem", "Thwaites 1961, Nielsen 1963; factor and longest hem practice", status="practice"),
        f"Hem between two fastenings as a sail strip, and the gust allowed; 0 if the free hem is above {longest_m:g} m",
        "U = min(U_h, U_s) / gamma, quad U_s = sqrt((lambda T) / (rho s))",
        "U = min(Uh, Us) / gamma; Us = sqrt(lambda T / (rho s))",
        (
            ("lambda", figure("cover_sail_divergence_ratio"), "", "flexible sail at incidence 0"),
            low(cover),
            air(cover),
            ("s", cover.hem_span_m, "m", "pitch of the fastenings"),
            ("U_s", roped, "m/s", "divergence of the strip"),
            ("U_h", onset, "m/s", "line above"),
            ("gamma", figure("cover_divergence_safety_ratio"), "", "factor on the speed"),
        ),
        ("U", limit_mps, "m/s"),
    )


def _onset_mps(cover: Situation) -> float:
    mass, bending = cover.areal_mass_kg_per_m2, cover.bending_stiffness_Nm
    return float(flutter_speed_mps(cover.free_hem_m, mass, bending, cover.air_density_kg_per_m3))


def _no_hem(cover: Situation, onset_mps: float) -> Line:
    return line(
        Rest("cover hem", "a hem this short does not flap", status="practice"),
        "No free hem",
        "U_h = infinity",
        "Uh = infinity",
        (("L", cover.free_hem_m, "m", f"cover.free_hem_m, below {LEAST_LENGTH_M:g} m"),),
        ("U_h", onset_mps, "m/s"),
    )


def _free_hem(cover: Situation, onset_mps: float) -> Line:
    mass = cover.areal_mass_kg_per_m2
    mass_ratio = cover.air_density_kg_per_m3 * cover.free_hem_m / mass
    rows, table = between(mass_ratio), "plate clamped at its windward edge"
    return line(
        Rest("cover hem", f"{table}, computed for this tool; Kornecki, Dowell and O'Brien 1976", status="own"),
        "Flutter of the free hem",
        "U_h = u / L sqrt(D / m), quad mu = (rho L) / m, "
        "quad u = u_1 / e (u_2 / u_1)^(ln(mu / mu_1) / ln(mu_2 / mu_1))",
        "Uh = u / L sqrt(D / m); mu = rho L / m; u = u1 / e (u2 / u1)^(ln(mu / mu1) / ln(mu2 / mu1))",
        (
            ("L", cover.free_hem_m, "m", "cover.free_hem_m"),
            ("D", cover.bending_stiffness_Nm, "Nm", "cover.bending_stiffness_Nm"),
            ("m", mass, "kg/m2", "cover.areal_mass_kg_per_m2"),
            air(cover),
            ("mu", mass_ratio, "", "mass ratio"),
            ("mu_1", rows.lower_mass_ratio, "", f"{table}, row below"),
            ("u_1", rows.lower_speed_ratio, "", "reduced speed there, or the least before it"),
            ("mu_2", rows.upper_mass_ratio, "", f"{table}, row above"),
            ("u_2", rows.upper_speed_ratio, "", "reduced speed there, or the least before it"),
            ("e", figure("cover_hem_interpolation_ratio"), "", "error of the interpolation"),
            ("u", speed_ratio(mass_ratio), "", "reduced speed of the hem"),
        ),
        ("U_h", onset_mps, "m/s"),
    )
