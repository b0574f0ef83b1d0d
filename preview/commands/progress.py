"""Progress on standard error, so that standard output holds results alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from preview.letters import escaped, escaped_lines
from preview.streams import print_error


def tell(words: str) -> None:
    """Print a warning on standard error."""
    print_error(f"preview: {escaped_lines(words)}")


@contextmanager
def progress(total: int, doing: str = "drawing", done: str = "drawn") -> Iterator[Callable[[str], None]]:
    """Show a bar of `total` things while they are made; yields what to call, with a name, when one is done.

    The bar shows only where standard error is a terminal, and leaves nothing behind.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    shown = Progress(*columns, console=console, transient=True, redirect_stdout=False, disable=not console.is_terminal)
    with shown:
        task = shown.add_task(doing, total=total)

        def step(name: str) -> None:
            shown.update(task, advance=1, description=f"{done}: {escaped(name).replace('[', '(')}")

        yield step
