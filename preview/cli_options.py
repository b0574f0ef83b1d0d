"""What commands of the command line share: their options, and how arguments that can't be read are told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from preview.letters import escaped_lines

FILE = click.Path(path_type=Path)

of_scene = click.argument("scene", help="The scene file, or - to read it from standard input.")
many_variants = click.option("--variant", multiple=True, metavar="NAME", help="Only this variant. Repeat for more.")
one_variant = click.option("--variant", metavar="NAME", help="Variant to use; the base scene by default.")
viewpoints = click.option("--viewpoint", multiple=True, metavar="NAME", help="Only this viewpoint. Repeat for more.")
picture_size = click.option(
    "--size", default="1600x1000", metavar="WxH", help="Size of each picture in pixels, 16.8 million at most."
)
from_materials = click.option(
    "--materials",
    type=FILE,
    metavar="DIR",
    help="Folder of your own woods, stains and finishes, in addition to the built-in ones.",
)
details_file = click.option(
    "--details", type=FILE, metavar="FILE", help="TOML file with the firm, the customer and the prices."
)


def output(words: str, default: str | None = None) -> Callable[[Any], Any]:
    """Return the option that names the file to write, and what is shown as the name that it has otherwise."""
    return click.option("--out", type=FILE, metavar="FILE", help=words, show_default=default or False)


def folder(words: str) -> Callable[[Any], Any]:
    """Return the option that names the folder to write to."""
    return click.option("--out", type=FILE, metavar="DIR", default=Path("previews"), help=words)


class PlainGroup(click.Group):
    """The commands, in the order that they were added in; what is said of arguments that can't be read has no control
    character in it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names as they are listed."""
        return list(self.commands)

    def make_context(self, *arguments: Any, **options: Any) -> click.Context:  # noqa: ANN401
        """Read the options before any command."""
        with _escaping():
            return super().make_context(*arguments, **options)

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401
        """Read a command's arguments and run it."""
        with _escaping():
            return super().invoke(ctx)


@contextmanager
def _escaping() -> Iterator[None]:
    try:
        yield
    except click.ClickException as error:
        error.message = escaped_lines(error.message)  # type: ignore[misc]
        raise
