"""The ground as the wind meets it: relief ranges in the direction of travel, with the factors that count."""

from pathlib import Path
from typing import NamedTuple

from shared.errors import Fault, InputError
from shared.folder import inside
from transport.weather.inputs import Site
from transport.weather.skill.campaign import believed_site, load
from transport.window.inputs import Move

END_TOLERANCE_M = 10.0  # a surveyed end may be this far from the drawing's

__all__ = ["Ground", "ground_of", "in_travel", "relief_edges_m"]


class Ground(NamedTuple):
    """The site for the forecast, the one for every other source, and what is to be said about measured factors.

    A campaign is measured against the forecast: for another source it may raise a factor and never lower it.
    """

    site: Site
    of_others: Site
    said: tuple[str, ...]


def ground_of(move: Move, folder: Path, length_m: float) -> Ground:
    """The relief of the move with what campaigns measured; in a calibrated forecast they may only raise a factor.

    A calibration already takes out what the forecast has too much: a factor measured against the forecast as it is
    would take it out a second time.
    Errors: InputError for a file that is missing, broken, or speaks of something else.
    """
    named = {number: relief.measured for number, relief in enumerate(move.site.relief) if relief.measured}
    files = {name: load(inside(folder, name, f"site.relief[{number}].measured")) for number, name in named.items()}
    if files and next(feed for feed in move.weather.feed if feed.role == "forecast").resolves_relief:
        what = "resolves_relief of the forecast is true, so that no factor counts on its gust; set it to false"
        raise InputError(Fault("", f"site.relief[{min(named)}].measured", what))
    height_m = move.trailer.deck_height_m + move.unit.wind_centre_m[2]
    calibrated = move.weather.calibration is not None
    site, said = believed_site(move.site, files, height_m, may_lower=not calibrated)
    others, _ = believed_site(move.site, files, height_m, may_lower=False)
    turned, turned_others = (in_travel(one, move.move.leg, length_m) for one in (site, others))
    return Ground(turned, turned_others, said)


def relief_edges_m(move: Move, length_m: float) -> list[float]:
    """Stations in the direction of travel at which a relief range begins or ends.

    Errors: InputError for a range that reaches beyond the road, which would silently speed nothing up.
    """
    faults = [
        Fault("", f"site.relief[{number}].to_station_m", f"is {relief.to_station_m:g}, the road ends at {length_m:.1f}")
        for number, relief in enumerate(move.site.relief)
        if not relief.to_station_m <= length_m + END_TOLERANCE_M
    ]
    if faults:
        raise InputError.of(faults)
    site = in_travel(move.site, move.move.leg, length_m)
    return [edge for relief in site.relief for edge in (relief.from_station_m, relief.to_station_m)]


def in_travel(site: Site, leg: str, length_m: float) -> Site:
    """Relief ranges are given in stations of the survey; on the return leg they count from the other end."""
    if leg == "out":
        return site
    turned = (
        relief.model_copy(
            update={
                "from_station_m": length_m - relief.to_station_m,
                "to_station_m": length_m - relief.from_station_m,
            }
        )
        for relief in site.relief
    )
    return site.model_copy(update={"relief": tuple(turned)})
