"""An SVG drawn by the typesetter, in a process of its own: this file is also the program that runs there.

For some files the typesetter's library panics: it tells so on standard error by itself, past Python's streams, and
where the stack overflows it ends its process. Neither may reach a command, or the server with its other threads.
"""

from __future__ import annotations

import faulthandler
import signal
import subprocess
import sys
from pathlib import Path

SECONDS = 30
"""After which a drawing is given up: logos take some hundredths, and a filter can take days."""


class TooSlow(Exception):
    """A drawing that was given up."""


def drawn_svg(content: bytes, folder: Path, width: int, height: int) -> bytes | None:
    """Return an SVG as a PNG of `width` x `height` pixels, as large in it as it fits, at its top; None where it can't
    be drawn.

    content: an SVG that draws on nothing outside itself. folder: an empty one, which the typesetter reads from.

    Raises:
        TooSlow: it takes more than `SECONDS`.
        OSError: the folder can't be written, or no process can be started.
    """
    (folder / "logo.svg").write_bytes(content)
    (folder / "logo.typ").write_text(
        f"#set page(width: {width}pt, height: {height}pt, margin: 0pt, fill: none)\n"
        f'#context {{ let size = measure(image("logo.svg")); assert(size.width * {height} >= size.height and '
        f"size.height * {width} >= size.width) }}\n"  # one thinner than a pixel makes the typesetter panic
        '#place(top, image("logo.svg", width: 100%, height: 100%, fit: "contain"))\n',
        encoding="utf-8",
    )
    command = [sys.executable, "-P", str(Path(__file__).resolve()), str(folder)]
    null = subprocess.DEVNULL
    try:
        ended = subprocess.run(command, stdin=null, stdout=subprocess.PIPE, stderr=null, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        raise TooSlow from None
    return ended.stdout if ended.returncode == 0 else None


def main(folder: Path) -> None:
    """Write what lies in a folder to standard output, drawn; a fault ends this process."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    faulthandler.dump_traceback_later(SECONDS, exit=True)  # where who started it is gone
    import typst

    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)
    drawn = typst.Compiler(str(folder / "logo.typ"), root=str(folder), font_paths=fonts).compile(format="png", ppi=72)
    sys.stdout.buffer.write(drawn if isinstance(drawn, bytes) else b"")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
