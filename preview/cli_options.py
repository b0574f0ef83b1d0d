"""What commands of the command line share: their options, and how arguments that can't be read are told."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from preview.letters import escaped_lines

Scene = Annotated[str, typer.Argument(metavar="SCENE", help="The scene file, or - to read it from standard input.")]
Variants = Annotated[
    list[str] | None, typer.Option("--variant", metavar="NAME", help="Only this variant. Repeat for more.")
]
VariantName = Annotated[str | None, typer.Option(metavar="NAME", help="Variant to use; the base scene by default.")]
Viewpoints = Annotated[
    list[str] | None, typer.Option("--viewpoint", metavar="NAME", help="Only this viewpoint. Repeat for more.")
]
PictureSize = Annotated[
    str, typer.Option("--size", metavar="WxH", help="Size of each picture in pixels, 16.8 million at most.")
]
Materials = Annotated[
    Path | None,
    typer.Option(
        "--materials",
        metavar="DIR",
        help="Folder of your own woods, stains and finishes, in addition to the built-in ones.",
    ),
]
Folder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the pictures; created if missing.")]
DetailsFile = Annotated[
    Path | None,
    typer.Option("--details", metavar="FILE", help="TOML file with the firm, the customer and the prices."),
]


class PlainGroup(TyperGroup):
    """The commands; what is said of arguments that can't be read has no control character in it."""

    def make_context(self, *arguments: Any, **options: Any) -> Any:  # noqa: ANN401
        """Read the options before any command."""
        with _escaping():
            return super().make_context(*arguments, **options)

    def invoke(self, ctx: Any) -> Any:  # noqa: ANN401
        """Read a command's arguments and run it."""
        with _escaping():
            return super().invoke(ctx)


@contextmanager
def _escaping() -> Iterator[None]:
    try:
        yield
    except Exception as error:  # the library's errors are of several classes, which differ by its release
        if isinstance(message := getattr(error, "message", None), str):
            error.message = escaped_lines(message)  # type: ignore[attr-defined]
        raise
