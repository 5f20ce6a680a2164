"""new: a complete starter move to copy and change."""

import shutil
from importlib.resources import as_file, files
from pathlib import Path

import click

from shared.errors import InputError
from transport.cli.asking import leave

__all__ = ["command"]

CHECKOUT = Path(__file__).parents[2] / "samples" / "sheltered_morning"


@click.command(help="Write a complete starter move, all invented, into FOLDER: move.toml, its survey and its forecast.")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
def command(folder: Path) -> None:
    """Copy the starter that the distribution carries; a checkout carries it as its first sample."""
    if folder.exists() and any(folder.iterdir()):
        leave(InputError(f"{folder}: the folder is not empty; name a new one"), as_json=False)
    folder.mkdir(parents=True, exist_ok=True)
    with as_file(files("transport.cli") / "starter") as carried:
        source = carried if carried.is_dir() else CHECKOUT
        for name in ("move.toml", "road.csv", "forecast.nc"):
            shutil.copyfile(source / name, folder / name)
    click.echo(f"wrote {folder / 'move.toml'} with its survey and forecast; all of it is invented")
    click.echo(f"try: glasshaul assess {folder / 'move.toml'} --as-of 2026-03-09T06:00:00Z")
