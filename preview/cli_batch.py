"""The command line of many rooms at once."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli_options import FILE, details_file, folder, from_materials
from preview.interrupts import raise_when_told
from preview.terminal import remark, tell


@click.command(
    epilog="Examples:  preview batch flats/*.toml --make quote,page --details details.toml   |   preview batch "
    "flats/*.toml --make pictures --scheduler tcp://10.0.0.5:8786"
)
@click.argument("scenes", nargs=-1, required=True, type=FILE, metavar="SCENES...", help="The scene files.")
@click.option(
    "--make",
    default="pictures,quote,card,page",
    metavar="KINDS",
    help="Of pictures, quote, card and page, with commas between.",
)
@details_file
@click.option(
    "--jobs", type=int, metavar="N", help="How many are made at once.", show_default="half the processor cores"
)
@click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="Have the workers of this Dask scheduler make them. Name only one that you trust.",
)
@folder("Folder for the results.")
@from_materials
def batch(
    scenes: tuple[Path, ...],
    make: str,
    details: Path | None,
    jobs: int | None,
    scheduler: str | None,
    out: Path,
    materials: Path | None,
) -> None:
    """Make many rooms, each as its own command would. What is finished and whole is not made again."""
    raise_when_told()  # its processes are ended by the exception
    from preview.commands.batch import make_batch

    tell(make_batch(scenes, make, details, materials, jobs, scheduler, out, remark))
