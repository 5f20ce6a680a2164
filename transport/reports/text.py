"""The coordinator's answer on a terminal: verdict first, then windows, hours, stretches, reasons, unknowns."""

from collections.abc import Iterator

from rich import box
from rich.console import Console, ConsoleOptions, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from shared.assessment import Assessment
from transport.reports.cautions import CAUTION, CAUTION_HEADING
from transport.reports.listings import Listing, hour_listing, opening_listing, state_listing
from transport.reports.masthead import heading, local_zone, remarks, rule
from transport.reports.notation import one_line, stamp, worded, zone_name
from transport.reports.proposed import proposal_sentences
from transport.reports.sources import source_listings, sources_of
from transport.reports.stretches import hold_listing, stretch_listing
from transport.reports.timetable import timetable_listing

__all__ = ["Answer", "head", "sentences", "tabled"]

NARROW_COLUMNS = 60
TEXT_COLUMNS = 13
GAP_COLUMNS = 2
STYLES = {"go": "bold green", "no-go": "bold red", "undecided": "bold yellow"}
MARKED = {"G": "bold green", "x": "red", "?": "yellow"}


class Answer:
    """Prints itself to a rich console: tables where there is room, plain lines below 60 columns."""

    def __init__(self, result: Assessment) -> None:
        self.result = result

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        yield from head(self.result)
        yield from tabled(opening_listing(self.result), options.max_width)
        yield from tabled(timetable_listing(self.result), options.max_width)
        why = "Why the other starts are not go" if self.result.verdict == "go" else "Why"
        yield from sentences(why, self.result.reasons)
        yield from sentences("What would open a window", self.result.would_open)
        yield from sentences("What would close the securing", proposal_sentences(self.result.proposals))
        for listing in _listings(self.result):
            yield from tabled(listing, options.max_width)
        yield from sentences("Not confirmed, not given, not checked", _doubts(self.result))
        yield from sentences(CAUTION_HEADING, CAUTION)


def _listings(result: Assessment) -> tuple[Listing, ...]:
    return (
        hour_listing(result),
        *source_listings(sources_of(result), local_zone(result)),
        stretch_listing(result).only("stretch", "from", "to", "gust limit", "wind from", "governed by"),
        hold_listing(result)._replace(columns=("no.", "hold point", "station", "wait", "go on within")),
        state_listing(result).only("limit state", "gust limit", "station", "wind from", "still air"),
    )


def _doubts(result: Assessment) -> tuple[str, ...]:
    """How many numbers nobody has read in their source, and the values that the move did not give."""
    unread = len(result.provenance.unread)
    taken = (f"{one.field} = {one_line(one.value)}" for one in result.provenance.defaults)
    return (
        *remarks(result),
        f"{unread} numbers used are not confirmed by reading their source; --json and the calculation sheet list them",
        *(f"taken by practice, not given in the move: {word}" for word in taken),
    )


def head(result: Assessment) -> Iterator[Text]:
    """Verdict, name of the move, clock and zone; no window is said aloud."""
    names, zone, clock = heading(result), local_zone(result), result.provenance.as_of
    verdict = Text(result.verdict.upper(), style=STYLES.get(result.verdict, STYLES["undecided"]), overflow="fold")
    yield Text.assemble(verdict, "  ", (names["name"], "bold"))
    yield Text(f"{names['organisation']}, leg {names['leg']}")
    yield Text(f"as of {stamp(clock, zone)}; all times are local: {zone_name(zone, clock)}")
    yield Text(rule(result))
    if not result.openings:
        yield Text("No window in the period asked for.", style="bold")


def sentences(title: str, said: tuple[str, ...]) -> Iterator[RenderableType]:
    """A title and a line for each sentence; nothing where there is none."""
    if said:
        yield Text(f"\n{title}", style="bold")
        lines = Table.grid(padding=(0, 1, 0, 0))
        lines.add_column(no_wrap=True)
        lines.add_column(overflow="fold")
        for sentence in said:
            lines.add_row(" -", Text(worded(sentence)))
        yield lines


def tabled(listing: Listing, columns: int) -> Iterator[RenderableType]:
    """A table where there is room for it, else plain lines; its note below."""
    yield from _table(listing) if _fits(listing, columns) else _lines(listing)
    if listing.rows and listing.note:
        yield Text(listing.note)


def _widths(listing: Listing) -> list[int]:
    cells = zip(*listing.rows, strict=True)
    full = [max(len(name), *map(len, column)) for name, column in zip(listing.columns, cells, strict=True)]
    return [width if index in listing.numbers else min(width, TEXT_COLUMNS) for index, width in enumerate(full)]


def _fits(listing: Listing, columns: int) -> bool:
    gaps = GAP_COLUMNS * (len(listing.columns) - 1)
    return not listing.rows or (columns >= NARROW_COLUMNS and sum(_widths(listing)) + gaps <= columns)


def _table(listing: Listing) -> Iterator[RenderableType]:
    if not listing.rows:
        return
    yield Text(f"\n{listing.title}", style="bold")
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    for index, (name, width) in enumerate(zip(listing.columns, _widths(listing), strict=True)):
        table.add_column(Text(name), no_wrap=index in listing.numbers, min_width=width, overflow="fold")
    for row in listing.rows:
        table.add_row(*map(_cell, row))
    yield table


def _cell(value: str) -> Text:
    text = Text(value)
    if value.strip() and set(value) <= set("Gx? "):
        for mark, style in MARKED.items():
            text.highlight_words([mark], style)
    return text


def _lines(listing: Listing) -> Iterator[RenderableType]:
    if listing.rows:
        yield Text(f"\n{listing.title}", style="bold")
    for row in listing.rows:
        pairs = zip(listing.columns, row, strict=True)
        text = Text("; ".join(f"{name} {value}" if name else value for name, value in pairs if value))
        yield Padding(text, (0, 0, 0, 1), expand=False)
