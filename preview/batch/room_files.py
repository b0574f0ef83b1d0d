"""All that is read for one room, as bytes that can be sent to where it is made."""

from __future__ import annotations

import hashlib
import os
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Literal

from preview.errors import UsageError
from preview.file_reading import NoFile, TooLarge, file_content, is_folder
from preview.files import distinct_slugs

MakeKind = Literal["pictures", "quote", "card", "page"]

MOST_READ = 50_000_000
"""Bytes of any one file; the command that reads it has a bound of its own for each kind."""

DEEP = PurePosixPath("given/a/b/c/d")
"""Where the details file lies among the files: a logo that it names may lie in a folder above it."""


@dataclass(frozen=True)
class RoomFiles:
    """One room: `scene` names it in messages, `folder` is where in the results it goes.

    `files` are the bytes of what is read, by path below a folder of their own: the scene, and the details and a folder
    of materials where there are any.
    """

    scene: str
    folder: str
    files: Mapping[str, bytes] = field(repr=False)
    scene_file: str
    details_file: str | None = None
    materials: str | None = None

    def key(self, what: MakeKind, version: str) -> str:
        """Return what a result hangs on: what is made, of which bytes, by which version of the program."""
        digest = hashlib.blake2b(f"{what}\n{version}\n{self.scene_file}\n".encode(), digest_size=20)
        for name, content in sorted(self.files.items()):
            digest.update(f"{name}\n{len(content)}\n".encode())
            digest.update(content)
        return digest.hexdigest()


def gather_rooms(scenes: Sequence[Path], details: Path | None, materials: Path | None) -> list[RoomFiles]:
    """Return the rooms of some scene files, in their order, each once; folders are named by the files.

    Raises:
        UsageError: a file can't be read.
    """
    once = list({os.path.realpath(each): each for each in scenes}.values())
    stems = [each.stem for each in once]
    before = [stems[:at].count(stem) for at, stem in enumerate(stems)]
    numbered = [f"{stem} {count + 1}" if count else stem for stem, count in zip(stems, before, strict=True)]
    folders = list(distinct_slugs(numbered).values())
    common: dict[str, bytes] = {}
    details_file = None
    if details is not None:
        details_file = str(DEEP / details.name)
        common[details_file] = _read(details)
        common |= _logo(details, common[details_file])
    if materials is not None:
        if not is_folder(materials):
            raise UsageError(f"{materials}: this is no folder of materials")
        common |= {f"materials/{each.name}": _read(each) for each in sorted(materials.glob("*.toml"))}
    rooms = []
    for path, folder in zip(once, folders, strict=True):
        name = f"scene/{path.name}"
        files = {name: _read(path), **common}
        rooms.append(RoomFiles(str(path), folder, files, name, details_file, "materials" if materials else None))
    return rooms


def _logo(details: Path, content: bytes) -> dict[str, bytes]:
    """Return the logo that a details file names, where it is one that can be sent along; what is wrong with the file
    is told by the command that reads it."""
    try:
        logo = tomllib.loads(content.decode()).get("firm", {}).get("logo")
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, AttributeError):
        return {}
    if not isinstance(logo, str):
        return {}
    with suppress(OSError):  # which reading it tells
        if not (details.parent / logo).is_file():
            return {}
    place = PurePosixPath(os.path.normpath(DEEP / logo.replace(os.sep, "/")))
    if place.is_absolute() or place.parts[:1] != DEEP.parts[:1]:
        raise UsageError(f"{details}: firm.logo: {logo} lies too far from this file; put it beside it, and name it so")
    return {str(place): _read(details.parent / logo)}


def _read(path: Path) -> bytes:
    try:
        return file_content(path, MOST_READ)
    except FileNotFoundError:
        raise UsageError(f"{path}: there is no such file") from None
    except (NoFile, TooLarge) as fault:
        raise UsageError(f"{path}: {fault}; name a file of {MOST_READ // 10**6} MB at most") from None
    except (OSError, ValueError) as error:
        raise UsageError(f"{path}: can't be read ({getattr(error, 'strerror', None) or error})") from error
