"""The command group; a command is imported when it is called, so that help stays quick."""

import importlib
from typing import Any

import click

__all__ = ["COMMANDS", "main"]

COMMANDS = {
    "assess": "The main job: whether, when and how; one folder of results.",
    "check": "Read and check every input; list all faults.",
    "route": "Survey to stations: grades, bends, crossfall, clearances.",
    "securing": "Chains, trailer, stopping, earthquake: utilisation by load case and stretch.",
    "cover": "The cover's limits by cause.",
    "weather": "What every source says: read, derived, refused and why; the gust at the load.",
    "calibrate": "Learn from archived forecasts and a mast; write calibration.json.",
    "speedup": "Speed-up of the wind on stretches with relief, from mast campaigns; write speed_up.json.",
    "verify": "What archived forecasts have been worth at a mast: missed events first.",
    "window": "Start times with verdict, margin, chance and what governs.",
    "briefing": "The driver's sheet.",
    "new": "Write a complete starter move into a folder.",
}


class Commands(click.Group):
    """A group that knows its commands by name and imports one when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All names, in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the module of the command."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"transport.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="glasshaul")
def main(**_: Any) -> None:
    """Whether, when and how one irreplaceable mirror may travel over a mountain road.

    Decision support: it prints margins, what governs and what is not known, and defers to the law of the place,
    to rating plates and to licensed engineers.

    Exit status: 0 go or nothing to decide, 10 no-go, 11 undecided, 3 input refused, 2 usage, 1 internal error.
    """
