"""How texts longer than a name, and arrays of texts, are read."""

from __future__ import annotations

from preview.letters import plain
from preview.scene.fields import text
from preview.scene.nodes import Node, Reader, shown


def words(most: int) -> Reader:
    """Return the reader of a text of at most `most` letters; an empty one may stand for none."""

    def read(node: Node) -> str:
        if not isinstance(node.value, str):
            raise node.error(f"{shown(node.value)} instead of a text", "write a text in quotes")
        if len(node.value) > most:
            raise node.error(f"a text of {len(node.value)} letters", f"keep it to {most}")
        return plain(node.value)

    return read


def texts(what: str, most: int) -> Reader:
    """Return the reader of an array of at most `most` texts; `what` is its name."""

    def read(node: Node) -> tuple[str, ...]:
        if not isinstance(node.value, list):
            raise node.error(f"{shown(node.value)} instead of {what}", 'write texts in brackets, ["one", "another"]')
        if len(node.value) > most:
            raise node.error(f"{len(node.value)} {what}", f"keep it to {most}")
        return tuple(text(item) for item in node.items())

    return read
