"""The scene's JSON Schema (draft 2020-12), made from the schema that scenes are read by, for editors.

It takes every scene that is read. What it can't know stands in what it lets pass: how large a length is that is
written as a text, what a name refers to, and whatever only several values together show.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from preview import unit_patterns
from preview.letters import TEXT
from preview.scene.fields import text
from preview.scene.nodes import Json, Source, keys_schema, schema_of
from preview.scene.schema import INNER, SCENE, SECTIONS, VARYING
from preview.scene.woods import wood_names
from preview.units import UNITS, Unit

_NUMBER_OR_TEXT = ["number", "string"]
DEFINED: Json = {
    "text": {"type": "string", "pattern": TEXT, "maxLength": 200},
    "length": {"type": _NUMBER_OR_TEXT, "pattern": unit_patterns.LENGTH},
    "size": {"type": _NUMBER_OR_TEXT, "pattern": unit_patterns.SIZE},
    "pair": {"type": ["array", "string"], "minItems": 2, "maxItems": 2, "pattern": unit_patterns.PAIR},
    "leg": {"type": "string", "pattern": unit_patterns.LEG},
    "area": {"type": _NUMBER_OR_TEXT, "pattern": unit_patterns.AREA},
    "angle": {"type": _NUMBER_OR_TEXT, "pattern": unit_patterns.ANGLE},
}
"""What values of several keys look like; readers refer to them by these names."""

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def scene_schema(materials: Path | None = None) -> Json:
    """Return the JSON Schema of a scene, with the names of the program's own materials and of those in `materials`.

    A number's limits go by the unit of the scene: they stand apart, once for each unit, and hold where it is given.

    Raises:
        UsageError: where `materials` can't be read.
    """
    names = wood_names(materials)
    wholes = {unit: _whole(Source("", {}, unit, names)) for unit in UNITS}
    common = _common(*wholes.values())
    limits = {unit: _left(whole, common) for unit, whole in wholes.items()}
    return {
        "$schema": DRAFT,
        "title": "A room and its floor",
        "type": "object",
        **common,
        "allOf": [_where(unit) for unit in UNITS],
        "$defs": {
            **DEFINED,
            **common["$defs"],
            **{f"in_{unit}": {"properties": {**each["$defs"], **each["properties"]}} for unit, each in limits.items()},
        },
    }


def _where(unit: Unit) -> Json:
    """Return the condition that a scene is in `unit`, and the limits that then go for it and for its variants."""
    limits = {"$ref": f"#/$defs/in_{unit}"}
    return {
        "if": {"properties": {"units": {"const": unit}}, "required": ["units"]},
        "then": {**limits, "properties": {"variants": {"items": limits}}},
    }


def _whole(source: Source) -> Json:
    """Return the schema of a scene in the unit of `source`; tables that a variant may change are defined apart, and
    those of which it may change a part require nothing there."""
    scene = keys_schema(SCENE, source)
    defined = {name: scene["properties"][name] for name in VARYING}
    properties: Json = {name: {"$ref": f"#/$defs/{name}"} for name in VARYING}
    for path in (*SECTIONS, *INNER):
        name, _, inner = path.partition(".")
        table = defined[name]["properties"][inner] if inner else defined[name]
        needs = {"required": needed} if (needed := table.pop("required")) else {}
        properties[name].update({"properties": {inner: needs}} if inner and needs else needs)
    for key in defined["border_wood"]["properties"].values():
        key.pop("default", None)  # what is left out is as in [wood]
    called = {**schema_of(text, source), "description": "What the variant is called"}
    variant = {
        "type": "object",
        "properties": {"name": called, **{each: {"$ref": f"#/$defs/{each}"} for each in VARYING}},
        "required": ["name"],
        "additionalProperties": False,
    }
    variants = {"description": "What else is to be compared", "type": "array", "items": variant}
    return {**scene, "properties": {**scene["properties"], **properties, "variants": variants}, "$defs": defined}


def _common(*wholes: Any) -> Any:  # noqa: ANN401 (parts of a schema)
    """Return what all schemas have in common: tables without the keys whose values differ."""
    first = wholes[0]
    found = {}
    for key, value in first.items():
        each = [whole[key] for whole in wholes]
        if all(other == value for other in each):
            found[key] = value
        elif isinstance(value, dict):
            found[key] = _common(*each)
    return found


def _left(whole: Json, common: Json) -> Json:
    """Return what `whole` has beside `common`."""
    return {
        key: _left(value, common[key]) if key in common else value
        for key, value in whole.items()
        if value != common.get(key)
    }
