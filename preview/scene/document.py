"""A file in TOML, from its bytes to its tables, with what to say where it is none."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from preview.errors import Place, SceneError
from preview.file_reading import NoFile, TooLarge, file_content
from preview.letters import control_path, leaves, path_of
from preview.scene.nodes import Source, suggest
from preview.scene.positions import key_lines

MOST_BYTES = 1_000_000
LARGEST_NUMBER = 2**63
"""Whole numbers of TOML reach up to this (TOML 1.0.0, Integer)."""

TOO_LONG = ("a number too long to be read", "shorten the very long number")


@dataclass(frozen=True)
class FileKind:
    """What a file is called in messages, without its article, and a name for one."""

    name: str
    example: str


SCENE_FILE = FileKind("scene", "room.toml")


def file_bytes(path: Path, kind: FileKind) -> bytes:
    """Return a file's bytes; a file too large to be of its kind is not read at all."""
    place = Place(str(path), "")
    try:
        return file_content(path, MOST_BYTES)
    except NoFile as fault:
        inside = "file in it" if path.is_dir() else "file"
        raise SceneError(place, str(fault), f"give a {kind.name} {inside}, such as {kind.example}") from None
    except TooLarge as fault:
        raise _too_large(place, fault.size, kind) from None
    except FileNotFoundError:
        near = [each.name for each in path.parent.glob("*.toml")] if path.parent.is_dir() else []
        hint = suggest(path.name, near, "the folder has", "and") if near else "check the path"
        raise SceneError(place, "there is no such file", hint) from None
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or str(fault)
        raise SceneError(place, f"the file can't be read: {reason}", "check its path and permissions") from None


def _too_large(place: Place, size: int, kind: FileKind) -> SceneError:
    return SceneError(place, f"a file of {size / 1e6:.1f} MB", f"a {kind.name} is a short text, of 1 MB at most")


def plain_text(content: bytes | str, name: str, kind: FileKind) -> str:
    """Return the text of a file called `name` without byte order mark and with plain line ends."""
    if len(content) > MOST_BYTES:
        raise _too_large(Place(name, ""), len(content), kind)
    return (
        (content if isinstance(content, str) else _utf8(content, name, kind))
        .removeprefix("\ufeff")
        .replace("\r\n", "\n")
    )


def _utf8(content: bytes, name: str, kind: FileKind) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as fault:
        utf16 = content[:2] in (b"\xff\xfe", b"\xfe\xff")
        line = None if utf16 else content[: fault.start].count(b"\n") + 1
        found = "text in UTF-16" if utf16 else "bytes that are no text in UTF-8"
        raise SceneError(Place(name, "", line), found, f"save the {kind.name} as plain text in UTF-8") from None


def parsed(plain: str, name: str, kind: FileKind) -> dict[str, Any]:
    """Return the tables of a TOML text as the parser gives them; none of their texts has a control character."""
    document = _tables(plain, name, kind)
    if found := control_path(document):
        path, character = found
        source = Source(name, key_lines(plain))
        raise source.error(path, f"a control character, {character}", "take it out, or write a space for it")
    for place, value in leaves(document):
        if isinstance(value, int) and abs(value) >= LARGEST_NUMBER:  # in hexadecimal too, which the parser takes
            source = Source(name, key_lines(plain))
            raise source.error(path_of(place), *TOO_LONG)
    return document


def _tables(plain: str, name: str, kind: FileKind) -> dict[str, Any]:
    try:
        return tomllib.loads(plain)
    except RecursionError:
        line = 1 + max(enumerate(map(_opened, plain.split("\n"))), key=lambda each: each[1])[0]
        raise SceneError(
            Place(name, "", line), "brackets nested hundreds deep", f"write a {kind.name}'s tables and arrays"
        ) from None
    except tomllib.TOMLDecodeError as fault:
        reason, at = str(fault), re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", str(fault))
        line = None
        if at:
            reason = reason[: at.start()]
            line = int(at[1]) if at[1] else plain.rstrip("\n").count("\n") + 1
        raise SceneError(Place(name, "", line), f"not valid TOML: {reason}", _toml_hint(reason, plain, line)) from None
    except ValueError:  # a whole number of thousands of figures
        line = _long_number(plain)
        raise SceneError(Place(name, "", line), *TOO_LONG) from None


def _opened(line: str) -> int:
    return line.count("[") + line.count("{")


def _long_number(plain: str) -> int | None:
    """Return the line of the longest row of figures."""
    longest = max(re.finditer(r"[0-9_]+", plain), key=lambda each: len(each[0]), default=None)
    return None if longest is None else plain.count("\n", 0, longest.start()) + 1


def _toml_hint(reason: str, plain: str, line: int | None) -> str:
    """Return advice on the usual slips in a line that the TOML parser can't read for `reason`."""
    written = plain.split("\n")[line - 1] if line else ""
    if reason == "Illegal character '\\n'":
        return "close the quotes before the line ends"
    if reason == "Cannot overwrite a value":
        return "this key stands there a second time: keep one"
    if reason == "Invalid statement" or reason.startswith("Expected '=' after a key"):
        return "write key = value, or begin a table: [room]"
    if re.search(r"[0-9]\"\"|[0-9]\"[^\s\],}#]", written):
        return 'inside quotes write an inch mark as \\" or as ″'
    if re.search(r"=\s*[0-9./ ]+['\"a-z]", written) or re.search(r"=\s*[0-9]+\s*/", written):
        return "put a length with its unit, or with a fraction, in quotes"
    return "correct that line"
