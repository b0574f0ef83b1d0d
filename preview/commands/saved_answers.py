"""Answers of a talk that was broken off: saved beside the scene it was for, and given again when it goes on."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from preview.errors import UsageError
from preview.file_reading import NoFile, TooLarge, file_content
from preview.files import write_whole
from preview.scene.document import MOST_BYTES


class SavedAnswers:
    """Passes questions on to `ask` and remembers the answers; those saved of `file` from before come first.

    Used as a context: where it is left by Ctrl-C, or by lines that ended early, what was answered is saved in a file of
    lines, ``room.toml.answers`` for ``room.toml``; where it is left well, that file goes.
    """

    def __init__(self, file: Path, ask: Callable[[str], str], say: Callable[[str], None]) -> None:
        self._path = file.with_name(f"{file.name}.answers")
        self._ask, self._say = ask, say
        self._before = _lines(self._path)
        self._heard: list[str] = []
        if self._before:
            say(f"Continuing with the answers saved in {self._path}; to start over, stop and delete it.")

    def ask(self, prompt: str) -> str:
        """Return the next answer, from before or from a person."""
        if len(self._heard) < len(self._before):
            line = self._before[len(self._heard)]
            self._say(f"{prompt}{line}")
        else:
            line = self._ask(prompt)
        self._heard.append(line)
        return line

    def __enter__(self) -> SavedAnswers:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: object) -> None:
        if kind is None:
            if self._before:
                with suppress(OSError):
                    self._path.unlink()
        elif issubclass(kind, KeyboardInterrupt | UsageError) and len(self._heard) > len(self._before):
            write_whole(self._path, "".join(f"{line}\n" for line in self._heard).encode("utf-8", "replace"))
            self._say(f"\nThe answers so far are saved in {self._path}; run the same command to continue.")


def _lines(path: Path) -> list[str]:
    try:
        return file_content(path, MOST_BYTES).decode("utf-8").splitlines()
    except (OSError, ValueError, NoFile, TooLarge):
        return []
