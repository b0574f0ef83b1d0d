"""Keys of a scene file set, added and taken out, whose comments and order otherwise stay as they are."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Item

from preview.errors import Place, SceneError

Path = tuple[str | int, ...]
"""Names of keys, and numbers from 0 of the things in an array."""


@dataclass(frozen=True)
class Edit:
    """What `key` is to be: a value as a TOML parser gives it, or None, which takes the key out.

    `key` is written as in `preview.errors.Place`: ``floor.board_width``, ``variants[2].floor.board_width``,
    ``openings[1].offset``. One past the last of an array adds to it.
    """

    key: str
    value: object


def edited(text: str, edits: Sequence[Edit], file: str) -> str:
    """Return the scene `text` with `edits` made, one after the other; comments and order stay, and line ends.

    Args:
        text: a scene that can be read.
        edits: what to set and to take out; what is taken out need not be there.
        file: what the scene is called, for messages.

    Raises:
        SceneError: the text can't be edited so. What the values are is not looked at; the text is to be read again.
    """
    wanted = tomllib.loads(text)
    try:
        document = tomlkit.parse(text)
        for edit in edits:
            path = parts(edit.key)
            _set_plain(wanted, path, edit.value)
            _set(document, path, edit.value)
        changed = tomlkit.dumps(document)
        if _without_empty(tomllib.loads(changed)) != _without_empty(wanted):
            raise ValueError("the way it is written there")
    except (TOMLKitError, tomllib.TOMLDecodeError, TypeError, AttributeError, LookupError, ValueError) as fault:
        reason = str(fault) or type(fault).__name__
        key = edits[0].key if edits else ""
        raise SceneError(Place(file, key), f"it can't be changed in the file: {reason}", "change it by hand") from None
    return changed.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in text else changed


def value_at(document: Mapping[str, Any], key: str) -> Any:  # noqa: ANN401 (what a file holds)
    """Return what a parsed document has under `key`, None where there is nothing."""
    found: Any = document
    for part in parts(key):
        if isinstance(part, int):
            if not isinstance(found, list) or part >= len(found):
                return None
            found = found[part]
        elif not isinstance(found, Mapping) or part not in found:
            return None
        else:
            found = found[part]
    return found


def parts(key: str) -> Path:
    """Return the parts of a key path."""
    found: list[str | int] = []
    for name, number in re.findall(r"([^.\[\]]+)|\[(\d+)\]", key):
        found.append(name if name else int(number) - 1)
    return tuple(found)


def _set_plain(table: Any, path: Path, value: object) -> None:  # noqa: ANN401
    """Set or take out what a parsed document has at `path`."""
    first, *rest = path
    if not rest:
        if value is not None:
            _put(table, first, copy.deepcopy(value))
        elif not _absent(table, first):
            del table[first]
    elif not _absent(table, first):
        _set_plain(table[first], tuple(rest), value)
    elif value is not None:
        _put(table, first, [] if isinstance(rest[0], int) else {})
        _set_plain(table[first], tuple(rest), value)


def _set(table: Any, path: Path, value: object) -> None:  # noqa: ANN401 (the library's containers)
    """Do the same in the library's document."""
    first: Any = path[0]
    rest = path[1:]
    if not rest:
        if value is None:
            if not _absent(table, first):
                del table[first]
        elif isinstance(first, int) and _absent(table, first):
            _append(table, value)
        elif _tables(value) and not _absent(table, first) and _of_tables(table[first]):
            _replace_tables(table[first], value)
        elif isinstance(table, AoT):
            table[first] = _table(value)
        elif _tables(value) and isinstance(table, tomlkit.TOMLDocument):
            table[first] = tomlkit.aot()
            for each in value:  # type: ignore[attr-defined]
                _append(table[first], each)
        else:
            table[first] = _item(value)
    elif not _absent(table, first):
        _set(table[first], tuple(rest), value)
        if value is None and isinstance(first, str) and len(table[first]) == 0 and not _headed(table, first):
            del table[first]
    elif value is not None:
        _begin(table, path, value)


def _begin(table: Any, path: Path, value: object) -> None:  # noqa: ANN401
    """Set a key within a table that isn't there yet: under a header of its own in the document, dotted elsewhere."""
    first, rest = str(path[0]), path[1:]
    if isinstance(rest[0], int):  # the first of its kind
        _set(table, (first,), [value])
    elif isinstance(table, tomlkit.TOMLDocument):
        new = tomlkit.table()
        if len(table) and not tomlkit.dumps(table).endswith("\n\n"):
            table.add(tomlkit.nl())
        table.append(str(first), new)
        _set(table[first], tuple(rest), value)
    elif isinstance(table, InlineTable):
        inner = tomlkit.inline_table()
        table[first] = inner
        _set(table[first], tuple(rest), value)
    else:
        table.append(tomlkit.key([str(each) for each in path]), _item(value))


def _append(array: Any, value: object) -> None:  # noqa: ANN401
    if not isinstance(array, AoT):
        array.append(_item(value))
        return
    if len(array):
        last = array[-1]
        if not last.as_string().endswith("\n\n"):
            last.add(tomlkit.nl())
    array.append(_table(value))


def _of_tables(array: Any) -> bool:  # noqa: ANN401
    inline = isinstance(array, Array) and len(array) > 0 and all(isinstance(each, InlineTable) for each in array)
    return isinstance(array, AoT) or inline


def _replace_tables(array: Any, values: Any) -> None:  # noqa: ANN401
    """Set tables one by one and key by key, so that the comments of those that stay the same stay too; where there are
    fewer, those go whose names are not among the new ones."""
    names = {each.get("name") for each in values}
    for n in reversed(range(len(array))):
        if len(array) > len(values) and "name" in array[n] and array[n]["name"] not in names:
            del array[n]
    for n, value in enumerate(values):
        if n >= len(array):
            _append(array, value)
            continue
        for key in [each for each in array[n] if each not in value]:
            del array[n][key]
        for key, each in value.items():
            if _plain(array[n].get(key)) != each:
                array[n][key] = _item(each)
    while len(array) > len(values):
        del array[len(array) - 1]


def _table(value: Any) -> Item:  # noqa: ANN401
    """Return a table with a header of its own; tables in it stand under dotted keys or on one line."""
    table = tomlkit.table()
    for key, each in value.items():
        if isinstance(each, Mapping) and key != "center":
            for path, inner in _leaves(each, (key,)):
                table.append(tomlkit.key(path) if len(path) > 1 else path[0], _item(inner))
        else:
            table.append(key, _item(each))
    return table


def _leaves(table: Mapping[str, Any], path: tuple[str, ...]) -> list[tuple[list[str], Any]]:
    """Return the keys of a table of a variant with their paths; a table in it (a centre, a sun) is a value."""
    return [([*path, key], each) for key, each in table.items()]


def _item(value: object) -> Item:
    """Return a value as TOML; a table on one line, and tables in brackets."""
    if isinstance(value, Mapping):
        inner = tomlkit.inline_table()
        inner.update({key: _item(each) for key, each in value.items()})
        return inner
    if _tables(value):
        array = tomlkit.array()
        array.extend([_item(each) for each in value])  # type: ignore[attr-defined]
        return array
    return tomlkit.item(value)


def _plain(item: Any) -> Any:  # noqa: ANN401
    return item.unwrap() if hasattr(item, "unwrap") else item


def _headed(table: Any, name: str) -> bool:  # noqa: ANN401
    """Whether a table stands under a header or in braces of its own, which stay though it is empty."""
    return isinstance(table[name], InlineTable) or (
        isinstance(table, tomlkit.TOMLDocument) and not getattr(table[name], "is_super_table", lambda: False)()
    )


def _tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(each, Mapping) for each in value)


def _absent(table: Any, part: str | int) -> bool:  # noqa: ANN401
    if not isinstance(part, int):
        return part not in table
    if part > len(table):
        raise LookupError(f"there are {len(table)}, no number {part + 1}")
    return part == len(table)


def _put(table: Any, part: str | int, value: object) -> None:  # noqa: ANN401
    if isinstance(part, int) and part == len(table):
        table.append(value)
    else:
        table[part] = value


def _without_empty(value: Any) -> Any:  # noqa: ANN401
    """Return a document without tables and arrays that have nothing in them, which say nothing."""
    if isinstance(value, dict):
        inner = {key: _without_empty(each) for key, each in value.items()}
        return {key: each for key, each in inner.items() if each not in ({}, [])}
    return [_without_empty(each) for each in value] if isinstance(value, list) else value
