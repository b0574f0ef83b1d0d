"""The layout as a DXF drawing: every piece at its true size, in the scene's units, on layers named in plain words."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role
from preview.paper.card.card_steps import card_steps
from preview.paper.exports.dxf_library import dxf_library
from preview.paper.plan.lettering import text_width
from preview.paper.plan.plan_sheet import imperial
from preview.paper.plan.right_angle import name_on_plan, right_angle
from preview.room.room import Room
from preview.scene.job import Unit

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

# $INSUNITS: 1 inches, 2 feet, 4 millimetres, 5 centimetres, 6 metres (DXF reference, HEADER section; from memory).
INSUNITS: dict[Unit, int] = {"in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}
METRES: dict[Unit, float] = {"in": 0.0254, "ft": 0.3048, "mm": 0.001, "cm": 0.01, "m": 1.0}
# Name and colour number (AutoCAD colour index) of each layer.
LAYERS = {
    "walls": 7,
    "openings": 8,
    "obstacles": 8,
    "vents": 8,
    "boards": 30,
    "border": 34,
    "feature strip": 24,
    "thresholds": 32,
    "grilles": 36,
    "grille slots": 8,
    "border line": 7,
    "strip line": 7,
    "centre line": 1,
    "chalk line": 5,
    "start point": 5,
    "right angle": 5,
    "names": 7,
    "notes": 7,
}
PIECES = {
    Role.BOARD: "boards",
    Role.BORDER: "border",
    Role.STRIP: "feature strip",
    Role.THRESHOLD: "thresholds",
    Role.GRILLE: "grilles",
}
TEXT_SIZE = (
    1.4  # of a type by the height of its capitals, which is what a drawing gives; Arial's are 0.716 (from memory)
)
BELOW = 0.4  # how far letters reach under the line they stand on, by the height of capitals, generously
STRIP_LAYERS = ("feature strip", "strip line")  # where there is one
HOLES = " cut-outs"


def layout_dxf(floor: LaidFloor) -> bytes:
    """Return the drawing, DXF R2010: x east, y north, one drawing unit is one unit of `job`.

    Every piece is one closed polyline on its layer; what is cut out of a piece lies on the layer of the same name
    with ``cut-outs`` after it, so that areas add up to the floor's.
    """
    job = floor.job
    ezdxf = dxf_library()
    options = ezdxf.options
    kept, options.write_fixed_meta_data_for_testing = options.write_fixed_meta_data_for_testing, True
    try:
        drawing = ezdxf.new("R2010")
        drawing.header["$INSUNITS"] = INSUNITS[job.units]
        drawing.header["$MEASUREMENT"] = 0 if imperial(job.units) else 1
        layers = {name: color for name, color in LAYERS.items() if floor.layout.strip_width or name not in STRIP_LAYERS}
        for name, color in layers.items():
            drawing.layers.add(name, color=color)
            drawing.layers.add(name + HOLES, color=color)
        drawing.styles.add("plain", font="arial.ttf")
        pen = _Pen(drawing.modelspace(), METRES[job.units])
        _draw(pen, floor)
        drawing.modelspace().reset_extents(*((*each, 0.0) for each in pen.extents()))
        for layer in layers:
            if not len(drawing.query(f'*[layer=="{layer}{HOLES}"]')):
                drawing.layers.remove(layer + HOLES)
        for name in sorted(drawing.entitydb.dxf_types_in_use()):  # in an order that does not hang on the hash seed
            drawing.classes.add_class(name)
        text = io.StringIO()
        drawing.write(text)
    finally:
        options.write_fixed_meta_data_for_testing = kept
    return text.getvalue().encode(drawing.output_encoding, errors="dxfreplace")


class _Pen:
    """Draws plan geometry, metres, into a modelspace whose unit is `unit` metres."""

    def __init__(self, space: Modelspace, unit: float) -> None:
        self.space, self.unit = space, unit
        self.drawn: list[tuple[float, float]] = []  # points that the drawing reaches to, in its units

    def extents(self) -> NDArray[np.float64]:
        """Return the lower left and the upper right corner of all that is drawn (2, 2), in units of the drawing."""
        points = np.array(self.drawn)
        return np.array([points.min(axis=0), points.max(axis=0)])

    def polygons(self, shapes: Iterable[Polygon | MultiPolygon], layer: str) -> None:
        for polygon in shapely.get_parts(np.array(list(shapes), dtype=object)):
            self._ring(polygon.exterior, layer)
            for hole in polygon.interiors:
                self._ring(hole, layer + HOLES)

    def line(self, ends: NDArray[np.float64], layer: str) -> None:
        a, b = ends / self.unit
        self.space.add_line((a[0], a[1]), (b[0], b[1]), dxfattribs={"layer": layer})
        self.drawn += [(a[0], a[1]), (b[0], b[1])]

    def point(self, at: NDArray[np.float64], layer: str) -> None:
        x, y = at / self.unit
        self.space.add_point((x, y), dxfattribs={"layer": layer})
        radius = 0.02 / self.unit
        self.space.add_circle((x, y), radius, dxfattribs={"layer": layer})
        self.drawn += [(x - radius, y - radius), (x + radius, y + radius)]

    def text(self, words: str, at: NDArray[np.float64], height: float, layer: str) -> None:
        style = {"layer": layer, "style": "plain", "height": height / self.unit}
        plain = " ".join(words.split())
        x, y = at / self.unit
        self.space.add_text(plain, dxfattribs=style).set_placement((x, y))
        width = text_width(plain, TEXT_SIZE * height)
        self.drawn += [(x, y - BELOW * height / self.unit), (x + width / self.unit, y + height / self.unit)]

    def _ring(self, ring: shapely.LinearRing, layer: str) -> None:
        points = np.asarray(ring.coords)[:-1, :2] / self.unit
        self.space.add_lwpolyline(points.tolist(), close=True, dxfattribs={"layer": layer})
        self.drawn += [(x, y) for x, y in points]


def _draw(pen: _Pen, floor: LaidFloor) -> None:
    room, layout = floor.room, floor.layout
    pen.polygons([room.outline], "walls")
    for opening in room.openings:
        pen.line(np.array([opening.a, opening.b]), "openings")
        pen.text(opening.name, opening.middle - 0.15 * opening.inward, 0.06, "names")
    for obstacle in room.obstacles:
        pen.polygons([obstacle.polygon], "obstacles")
        pen.text(obstacle.name, np.array(obstacle.polygon.representative_point().coords[0]), 0.06, "names")
    for vent in room.vents:
        pen.polygons([vent.polygon], "vents")
        pen.text(name_on_plan(vent), np.array([vent.center[0], vent.polygon.bounds[3] + 0.02]), 0.06, "names")
    for role, layer in PIECES.items():
        pen.polygons(layout.pieces.polygons[layout.pieces.role == role], layer)
    pen.polygons(layout.slots, "grille slots")
    pen.polygons([layout.field], "border line")
    if layout.strip_width:
        pen.polygons([room.inside_border], "strip line")
    for name, ends in (("centre line", layout.center_line), ("chalk line", layout.chalk_line)):
        crossed = LineString(ends).intersection(layout.field)
        for part in shapely.get_parts(crossed):
            if isinstance(part, LineString):
                pen.line(np.asarray(part.coords)[[0, -1]], name)
    pen.point(layout.start_point, "start point")
    angle = right_angle(room, layout, floor.job.units)
    if angle is not None:
        pen.polygons([Polygon([layout.start_point, angle.along, angle.across])], "right angle")
        points = (("S", layout.start_point), (angle.names[0], angle.along), (angle.names[1], angle.across))
        for name, point in points:
            pen.text(name, point + 0.03, 0.06, "names")
    _write_notes(pen, room, layout, card_steps(floor, angle))


def _write_notes(pen: _Pen, room: Room, layout: Layout, steps: list[list[str]]) -> None:
    """Write the steps of setting out beside the plan, on its right."""
    x, y = float(room.corners[:, 0].max()) + 0.6, float(room.corners[:, 1].max())
    lines = [f"{layout.title} - {layout.variant}"]
    for number, (name, *words) in enumerate(steps, 1):
        lines += [f"{number}  {name}", *(f"     {each}" for each in words)]
    for number, line in enumerate(lines):
        pen.text(line, np.array([x, y - 0.13 * number]), 0.07, "notes")
