"""The layout as JSON: what other programs read. The shape is the one given in the description of scene files."""

from __future__ import annotations

import json
import math
from dataclasses import asdict

import numpy as np
from shapely import MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from preview.floor.derived_measures import derived_measures
from preview.floor.edges import Stretch
from preview.floor.laid import LaidFloor
from preview.floor.layout import Role
from preview.floor.sight_lines import sight_offsets


def layout_json(floor: LaidFloor) -> str:
    """Return the layout of a floor as one JSON document: metres, square metres, degrees anticlockwise from +x.

    A polygon is a list of rings, open (the first point is not repeated), outer rings anticlockwise and holes
    clockwise; a field in several parts lists the rings of one part after another. Numbers keep every digit, so
    that the pieces still tile the floor when they are read back. Everything that can be measured is told:
    all of `preview.floor.derived_measures`, what meets every stretch of the field's edge, and the offset from
    every sight line. A measure that a room does not have, as a distance to a wall where there is none, is left out.
    """
    room, layout = floor.room, floor.layout
    pieces = layout.pieces
    told = layout.measures | derived_measures(room, layout)
    document: dict[str, object] = {
        "unit": "m",
        "title": layout.title,
        "variant": layout.variant,
        "board": {
            "width": layout.board.width,
            "length": layout.board.length,
            **({"shortest": layout.board.shortest} if layout.board.mixed else {}),
            "thickness": layout.board.thickness,
            "gap": layout.board.gap,
        },
        "courses": {
            "count": int(layout.count),
            "width": layout.course_width,
            "run_degrees": _degrees(layout.run),
            "chalk_offset": layout.chalk_offset,
        },
        "center_line": layout.center_line.tolist(),
        "chalk_line": layout.chalk_line.tolist(),
        "start_point": layout.start_point.tolist(),
        "other_lines": [{"line": each.ends.tolist(), "start_point": each.start.tolist()} for each in layout.lines[1:]],
        "pattern": layout.facts.name,
        "first_board": layout.facts.first_board,
        "border_line": layout.border_line,
        **({"strip_line": room.strip_line} if layout.strip_width else {}),
        "field": {"polygon": _rings(layout.field), "area": layout.field.area},
        "pieces": [
            {
                "id": number,
                "role": Role(int(pieces.role[number])).name.lower(),
                "course": int(pieces.course[number]),
                "grain_degrees": _degrees(pieces.grain[number]),
                "whole": bool(pieces.whole[number]),
                "polygon": _rings(pieces.polygons[number]),
            }
            for number in range(len(pieces))
        ],
        "measures": {name: value for name, value in told.items() if math.isfinite(value)},
        "warnings": [*layout.warnings, *floor.remedy.advice],
        "stretches": [_stretch(each) for each in layout.stretches],
        "sight_lines": [asdict(each) for each in sight_offsets(room, layout)],
    }
    return "{\n" + ",\n".join(f"{_text(key)}: {_lines(value)}" for key, value in document.items()) + "\n}\n"


def _stretch(each: Stretch) -> dict[str, object]:
    told = asdict(each)
    return {"along": told.pop("name"), "meets": each.meets, "angle_degrees": _degrees(told.pop("angle")), **told}


def _lines(value: object) -> str:
    """A list of tables takes a line for each table, anything else one line."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return "[\n" + ",\n".join(f" {_text(each)}" for each in value) + "\n]"
    return _text(value)


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, default=_plain, allow_nan=False)


def _rings(shape: Polygon | MultiPolygon) -> list[list[list[float]]]:
    parts = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    rings = []
    for part in map(orient, parts):
        rings += [np.asarray(ring.coords)[:-1, :2].tolist() for ring in (part.exterior, *part.interiors)]
    return rings


def _degrees(radians: float) -> float:
    """Degrees, rounded to a nanodegree so that 45 degrees is written 45.0."""
    return round(float(np.degrees(radians)), 9) + 0.0


def _plain(value: object) -> object:
    if isinstance(value, np.generic):
        plain: object = value.item()
        return plain
    raise TypeError(f"{type(value).__name__} has no place in a layout file")
