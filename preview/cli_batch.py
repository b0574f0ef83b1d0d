"""The command line of many rooms at once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from preview.cli_options import DetailsFile, Materials
from preview.interrupts import raise_when_told
from preview.terminal import remark, tell


def batch(
    scenes: Annotated[list[Path], typer.Argument(metavar="SCENES...", help="The scene files.")],
    make: Annotated[
        str, typer.Option("--make", metavar="KINDS", help="Of pictures, quote, card and page, with commas between.")
    ] = "pictures,quote,card,page",
    details: DetailsFile = None,
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", metavar="N", help="How many are made at once.", show_default="half the processor cores"),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(
            "--scheduler",
            metavar="ADDRESS",
            help="Have the workers of this Dask scheduler make them. Name only one that you trust.",
        ),
    ] = None,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the results.")] = Path("previews"),
    materials: Materials = None,
) -> None:
    """Make many rooms, each as its own command would. What is finished and whole is not made again."""
    raise_when_told()  # its processes are ended by the exception
    from preview.commands.batch import make_batch

    tell(make_batch(scenes, make, details, materials, jobs, scheduler, out, remark))
