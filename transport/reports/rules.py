"""What stops the move and what to do then: common practice, no source; the procedure of the place comes first."""

from typing import NamedTuple

__all__ = ["BEFORE", "EMERGENCIES", "RULES_HEADING", "STOPS", "Emergency"]


class Emergency(NamedTuple):
    """One emergency and the actions, in order."""

    event: str
    actions: str


RULES_HEADING = "Common practice, no source. Where the local procedure or the maker's manual says otherwise, it holds."

BEFORE = (
    "brakes tried on the level",
    "group pressures and cocks as in the grouping sketch, tagged",
    "deck level, stroke mid",
    "chains tensioned and marked",
    "cover fastened, drained, vented",
    "anemometer and loggers running",
    "radios tried",
    "chocks, plates, spill kit, extinguishers",
)

STOPS = (
    "anyone calls STOP: stop first, ask afterwards",
    "measured gust above the limit of this stretch or of the next one",
    "rain, hail or snow on the cover; any water that stays on it",
    "chain slack, mark shifted, cover loose or fluttering",
    "tilt alarm, group pressure off by more than a tenth, oil on the ground",
    "no radio contact; edge, overhead or person unclear",
    "smoke, smell, noise that was not there before",
)

EMERGENCIES = (
    Emergency(
        "Wind over the limit",
        "Stop softly. Nearest hold point if it can be reached within the limit; else stand, park, chock. "
        "People to the windward side. Go on only on release.",
    ),
    Emergency(
        "Loss of drive uphill",
        "Parking brake, then chocks downhill of the wheels, both trains. No roll back. "
        "Second tractor or winch before chocks come out.",
    ),
    Emergency(
        "Loss of retarder downhill",
        "Stop at once while the service brake is cold; park and chock. Do not go on with the service brake alone.",
    ),
    Emergency(
        "Hydraulic leak or burst",
        "Stop. Nobody under the deck. Close the cocks of the group, block the deck, watch level and tilt.",
    ),
    Emergency(
        "Earthquake",
        "Smooth stop at service braking, never the emergency brake. Off edges, slopes, culverts. Park; leave the "
        "suspension as it is; nobody by taut chains or on the drop side. Inspect; go on only when released.",
    ),
    Emergency(
        "Lightning: 30/30",
        "Thunder within 30 s of the flash: stop, park, people into vehicles, none on the trailer. "
        "Wait 30 min after the last thunder.",
    ),
    Emergency(
        "Communications lost",
        "10 to 15 s of silence in a manoeuvre: stop. Hand signals to secure the load, no driving until "
        "the read-back works.",
    ),
)
