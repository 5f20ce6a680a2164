"""The one caution, word for word the same on every output."""

__all__ = ["CAUTION", "CAUTION_HEADING", "caution"]

CAUTION_HEADING = "Decision support only: people decide, and answer for it."

CAUTION = tuple(
    """\
A limit that is met is not a promise that nothing happens: it says that the listed checks, with the listed inputs, \
stay below utilisation 1.
The law of the place, the permits, the rating plates and manuals of the equipment, and the judgement of licensed \
engineers come before anything printed here. Where they ask for more, they hold.
Numbers marked as not confirmed by reading must be compared with their source before this result is used.
Anyone may stop the move at any time. A measurement on the day overrides a forecast in the direction of stopping only.\
""".splitlines()
)


def caution() -> str:
    """The heading and the sentences as one text."""
    return "\n".join((CAUTION_HEADING, *CAUTION))
