"""More variants for a scene file, whose comments and order stay as they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Item
from tomlkit.toml_document import TOMLDocument

from preview.errors import Place, SceneError

Variant = tuple[str, Mapping[str, object]]
"""A name, and what is set, by key path."""


def with_variants(text: str, variants: Sequence[Variant], file: str) -> str:
    """Return the scene `text` with variants added after those it has.

    Args:
        text: a scene that can be read.
        variants: the name of each and what it sets, keys with dots such as ``floor.board_length``.
        file: what the scene is called, for messages.

    Raises:
        SceneError: the text can't be added to.
    """
    try:
        document = tomlkit.parse(text)
        _extend(document, variants)
        longer = tomlkit.dumps(document)
    except (TOMLKitError, TypeError, AttributeError) as fault:
        reason = str(fault) or type(fault).__name__
        raise SceneError(Place(file, ""), f"no variant can be added: {reason}", "add it by hand, at the end") from None
    return longer.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in text else longer


def _extend(document: TOMLDocument, variants: Sequence[Variant]) -> None:
    there = document.get("variants")
    if isinstance(there, Array):
        for name, settings in variants:
            there.append({"name": name, **_nested(settings)})
        return
    apart = isinstance(there, AoT) and len(there) > 0
    if there is None:
        there = tomlkit.aot()
        document.append("variants", there)
    if apart:
        there[-1].add(tomlkit.nl())
    for number, (name, settings) in enumerate(variants, 1):
        table = tomlkit.table()
        table.append("name", name)
        for path, value in settings.items():
            table.append(tomlkit.key(path.split(".")), _value(value))
        if apart and number < len(variants):
            table.add(tomlkit.nl())
        there.append(table)


def _value(value: object) -> Item:
    """Return a value as TOML; a table on one line."""
    if not isinstance(value, Mapping):
        return tomlkit.item(value)
    inner = tomlkit.inline_table()
    inner.update(value)
    return inner


def _nested(settings: Mapping[str, object]) -> dict[str, object]:
    """Return settings without dots: tables in tables."""
    found: dict[str, object] = {}
    for path, value in settings.items():
        *tables, last = path.split(".")
        inner = found
        for table in tables:
            inner = inner.setdefault(table, {})  # type: ignore[assignment]
        inner[last] = value
    return found
