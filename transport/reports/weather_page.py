"""The page of the weather alone: what every source says, what was refused and why, and the gust at the load."""

from shared.assessment import Ahead
from transport.reports import weather_chart
from transport.reports.document import document
from transport.reports.fingerprint import fingerprint
from transport.reports.masthead import heading, local_zone
from transport.reports.notation import stamp, worded, zone_name
from transport.reports.records import default_listing, input_listing, option_listing, unread_listing
from transport.reports.sources import source_listings
from transport.reports.weather_part import hour_listing, source_listing, told, weather_extract

__all__ = ["weather_page"]


def weather_page(ahead: Ahead) -> str:
    """The whole page as text; it carries no script."""
    zone, clock, names = local_zone(ahead), ahead.provenance.as_of, heading(ahead)
    refusals = list(map(worded, weather_extract(ahead).record["refusals"]))
    frame = {
        "names": names,
        "answer": "Weather refused" if refusals else "Weather not refused",
        "refusals": refusals,
        "as_of": stamp(clock, zone),
        "zone": zone_name(zone, clock),
        "chart": weather_chart.draw(ahead),
        "sources": source_listing(ahead),
        "compared": source_listings((ahead.opinions, ahead.observations, ahead.disagreement), zone),
        "told": told(ahead),
        "remarks": list(map(worded, ahead.remarks)),
        "hours": hour_listing(ahead.forecast, zone),
        "unread": unread_listing(ahead),
        "defaults": default_listing(ahead),
        "inputs": input_listing(ahead),
        "run": option_listing(ahead),
        "version": ahead.provenance.version,
        "mark": fingerprint(ahead),
    }
    return document("weather.html.j2", names["name"], frame)
