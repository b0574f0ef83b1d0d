"""A scene file as a tree of nodes that know where they stand, and how a table of keys is read from it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from preview.errors import Place, SceneError
from preview.scene.job import Unit
from preview.units import system

Names = Mapping[str, Mapping[str, str]]
"""For each kind of name (species, grade, stain, finish): what may be written, and the name it stands for."""


@dataclass(frozen=True)
class Source:
    """What the meaning of a value and the place of an error depend on.

    `lines` maps key paths to lines. `owners` maps each key path that a variant sets to that variant's own path,
    such as ``variants[2]``; `woods` are the names of woods there are.
    """

    file: str
    lines: Mapping[str, int]
    unit: Unit = "mm"
    woods: Names = field(default_factory=dict)
    owners: Mapping[str, str] = field(default_factory=dict)

    def error(self, key: str, found: str, remedy: str) -> SceneError:
        """Return an error about `key`; one that is left out has the line of the table above it."""
        line = next((self.lines[each] for each in upwards(key) if each in self.lines), None)
        owner = next((self.owners[each] for each in upwards(key) if each in self.owners), None)
        return SceneError(Place(self.file, f"{owner}.{key}" if owner else key, line), found, remedy)


@dataclass(frozen=True)
class Node:
    """A value as the TOML parser gives it, its key path, and where it comes from."""

    value: Any
    key: str
    source: Source

    def error(self, found: str, remedy: str) -> SceneError:
        """Return an error that stands at this value."""
        return self.source.error(self.key, found, remedy)

    def child(self, name: str, value: object) -> Node:
        """Return the value under `name` in this table."""
        return Node(value, f"{self.key}.{name}" if self.key else name, self.source)

    def items(self) -> list[Node]:
        """Return the values of this array, counted from 1."""
        return [Node(value, f"{self.key}[{n}]", self.source) for n, value in enumerate(self.value, 1)]


LONGEST_NAME = 200
"""Letters of a name that a nearest one is looked for: a longer one is none."""

Reader = Callable[[Node], Any]
Json = dict[str, Any]


@dataclass(frozen=True)
class Described:
    """A reader that also says in JSON Schema what it reads, with the limits and names of a source."""

    read: Reader
    schema: Callable[[Source], Json]

    def __call__(self, node: Node) -> Any:  # noqa: ANN401 (what a reader returns)
        """Read a value."""
        return self.read(node)


def described(schema: Callable[[Source], Json]) -> Callable[[Reader], Described]:
    """Return a decorator that adds to a reader what it reads, in JSON Schema."""
    return lambda read: Described(read, schema)


def schema_of(read: Reader, source: Source) -> Json:
    """Return what a reader reads, in JSON Schema.

    Raises:
        TypeError: the reader doesn't say.
    """
    if not isinstance(read, Described):
        raise TypeError(f"{read} doesn't say what it reads: write @described above it")
    return read.schema(source)


@dataclass(frozen=True)
class Key:
    """A key of a table: how it is read, and what holds where it is left out.

    `default` is written as a file would have it, and read the same way; a pair (imperial, metric) of them goes by the
    scene's units. `absent` means that the value is then None and found later. Where neither is given the key is
    required, and `example` shows how to write it. `says` is what an editor shows of it, a phrase.
    """

    read: Reader
    default: object = None
    absent: bool = False
    example: str = ""
    says: str = ""

    @property
    def required(self) -> bool:
        """Whether it can't be left out."""
        return self.default is None and not self.absent

    def schema(self, source: Source) -> Json:
        """Return its JSON Schema."""
        says, found = self.says or self.example, schema_of(self.read, source)
        if isinstance(self.default, tuple) and self.default:
            says += f"; {self.default[0]} or {self.default[1]} where left out"
        elif not self.absent and not self.required and not isinstance(self.default, tuple | dict):
            found = {**found, "default": self.default}
        return {"description": says, **found} if says else found


def keys_schema(keys: Mapping[str, Key], source: Source) -> Json:
    """Return what JSON Schema says of a table with `keys`; it leaves values that aren't tables alone."""
    return {
        "properties": {name: key.schema(source) for name, key in keys.items()},
        "required": [name for name, key in keys.items() if key.required],
        "additionalProperties": False,
    }


def table(keys: Mapping[str, Key], build: Callable[..., Any]) -> Described:
    """Return the reader of a table of `keys`; `build` gets their values by name."""

    @described(lambda source: {"type": "object", **keys_schema(keys, source)})
    def read(node: Node) -> object:
        if not isinstance(node.value, dict):
            raise node.error(f"{shown(node.value)} instead of a table", f"give it keys: {listed(keys, 'and')}")
        for name in node.value:
            if name not in keys:
                raise node.child(name, None).error(f"unknown key {shown(name)}", suggest(name, keys))
        return build(**{name: _key_value(node, name, key) for name, key in keys.items()})

    return read


def tables(keys: Mapping[str, Key], build: Callable[..., Any], most: int) -> Described:
    """Return the reader of an array of tables, a tuple of `most` at most."""
    one = table(keys, build)

    @described(lambda source: {"type": "array", "maxItems": most, "items": one.schema(source)})
    def read(node: Node) -> tuple[object, ...]:
        if isinstance(node.value, dict):
            raise node.error("a single table", f"there may be several: write [[{node.key}]] with two brackets")
        if not isinstance(node.value, list | tuple):
            raise node.error(f"{shown(node.value)} instead of tables", f"begin each with [[{node.key}]]")
        not_more(node, most, "tables")
        return tuple(one(item) for item in node.items())

    return read


def not_more(node: Node, most: int, what: str) -> None:
    """Raise SceneError where the array `node` has more than `most` values, called `what`."""
    if len(node.value) > most:
        raise node.error(f"{len(node.value):,} {what}", f"{most} are the most")


def suggest(name: str, known: Iterable[str], every: str = "accepted:", last: str = "or") -> str:
    """Return advice on a name that is not among `known`: the nearest, or all of them after the word `every`."""
    from difflib import get_close_matches

    names = sorted(known)
    if not names:
        return "there are none in this scene"
    lowered = {each.casefold(): each for each in names}
    near = get_close_matches(name.casefold(), lowered, 1, 0.6) if len(name) <= LONGEST_NAME else []
    return f'did you mean "{lowered[near[0]]}"?' if near else f"{every} {listed(names, last)}"


def listed(names: Iterable[str], last: str) -> str:
    """Return names in quotes as a list: ``"a", "b" and "c"``."""
    quoted = [f'"{name}"' for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"


def shown(value: object) -> str:
    """Return a value of a TOML file as the file has it, cut where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"an array of {len(value)}"
    written = f'"{value}"' if isinstance(value, str) else str(value)
    return written if len(written) <= 60 else f"{written[:56]}..."


def _key_value(node: Node, name: str, key: Key) -> object:
    if name in node.value:
        return key.read(node.child(name, node.value[name]))
    if key.absent:
        return None
    if key.default is None:
        raise node.error(f'no "{name}"', f"add {key.example}")
    value = key.default
    if isinstance(value, tuple) and value:
        value = value[0 if system(node.source.unit) == "imperial" else 1]
    return key.read(node.child(name, value))


def upwards(key: str) -> Iterable[str]:
    """Yield `key` and the paths above it, nearest first."""
    while key:
        yield key
        key = key[: max(key.rfind("."), key.rfind("["), 0)]
