"""The terminal: where the answers, the starts and the parts of a result are printed."""

import sys
from collections.abc import Iterator

from rich.console import Console, ConsoleOptions, RenderableType
from rich.text import Text

from shared.assessment import Assessment
from transport.reports.cautions import CAUTION, CAUTION_HEADING
from transport.reports.extracts import Extract
from transport.reports.listings import opening_listing, short_start_listing
from transport.reports.masthead import local_zone
from transport.reports.sources import source_listings, sources_of
from transport.reports.text import head, sentences, tabled

__all__ = ["Part", "Starts", "show"]


class Part:
    """One part of the result: title, tables, sentences, caution."""

    def __init__(self, extract: Extract) -> None:
        self.extract = extract

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        yield Text(self.extract.title, style="bold")
        for listing in self.extract.listings:
            yield from tabled(listing, options.max_width)
        yield from sentences("Notes", self.extract.sentences)
        yield from sentences(CAUTION_HEADING, CAUTION)


class Starts:
    """Every start with its verdict, after the windows and before what would open one."""

    def __init__(self, result: Assessment) -> None:
        self.result = result

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        yield from head(self.result)
        others = source_listings(sources_of(self.result), local_zone(self.result))
        for listing in (opening_listing(self.result), short_start_listing(self.result), *others):
            yield from tabled(listing, options.max_width)
        yield from sentences("What would open a window", self.result.would_open)
        yield from sentences(CAUTION_HEADING, CAUTION)


def show(part: RenderableType) -> None:
    """Print to standard output: colour only where a terminal asks for it, elsewhere no blanks at the ends of lines."""
    console = Console(soft_wrap=False)
    if console.is_terminal:
        console.print(part)
        return
    with console.capture() as kept:
        console.print(part)
    sys.stdout.write("".join(f"{line.rstrip(' ')}\n" for line in kept.get().splitlines()))
