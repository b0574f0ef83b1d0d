"""An SVG sheet at a true scale: plan metres go in, millimetres of paper come out."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from preview.paper.plan.labels import Label, Spot, dimension_spots, place_labels
from preview.paper.plan.lettering import text_box
from preview.room.offset import parts

Array = NDArray[np.float64]
SVG = "http://www.w3.org/2000/svg"
FONT = "'Source Sans Pro', 'Source Sans 3', 'Segoe UI', 'Helvetica Neue', Arial, sans-serif"
INK, SOFT, CHALK = "#26231f", "#7d766c", "#1f5f8b"
TINTS = {
    "left": "#f6ecd9",
    "right": "#efe1c6",
    "border": "#dcc39a",
    "strip": "#8a6848",
    "threshold": "#e6d3b3",
    "grille": "#cdb083",
}
EDGE = 0.3  # mm of a sheet's edge that labels keep free
WHITE = {"fill": "#ffffff", "fill_opacity": "0.85"}
_FORBIDDEN = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")


def printable(text: str) -> str:
    """Return `text` without the characters that XML 1.0 (section 2.2) forbids."""
    return _FORBIDDEN.sub("", text)


def upright(turn: float) -> float:
    """Turn text (degrees clockwise on paper, -180 to 180) by half a turn where it would stand on its head.

    Text along an upright line is read from the right of the sheet, as on drawings.
    """
    return turn - 180 if turn > 89.99 else turn + 180 if turn < -90.01 else turn


@dataclass
class Sheet:
    """A sheet of `width` x `height` mm; `scale` metres of plan a millimetre, plan point `corner` at paper `origin`.

    Plan y runs up the sheet, paper y runs down it. White behind letters follows their shape, or is a box where
    `boxed` (a page's typesetter draws letter by letter, each over its neighbour's white). Where there is no `ground`,
    what lies under the sheet is seen.

    `text` stands where it is told to; a `label`, and the number of a `dimension`, waits until all is drawn and then
    takes a place in `frame` (from left, top to right, bottom, mm) where no other text is. `written` are the boxes of
    texts, `lines` what labels had rather not stand on.
    """

    width: float
    height: float
    scale: float
    corner: Array
    origin: Array
    boxed: bool = False
    ground: bool = True
    root: ET.Element = field(init=False)
    frame: tuple[float, float, float, float] = field(init=False)
    written: list[Polygon] = field(init=False, default_factory=list)
    lines: list[LineString | MultiLineString] = field(init=False, default_factory=list)
    waiting: list[Label] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        self.frame = (EDGE, EDGE, self.width - EDGE, self.height - EDGE)
        self.root = ET.Element(
            f"{{{SVG}}}svg",
            {
                "width": f"{self.width:g}mm",
                "height": f"{self.height:g}mm",
                "viewBox": f"0 0 {self.width:g} {self.height:g}",
                "font-family": FONT,
            },
        )
        if self.ground:
            ET.SubElement(
                self.root,
                f"{{{SVG}}}rect",
                {"width": f"{self.width:g}", "height": f"{self.height:g}", "fill": "#ffffff"},
            )

    def paper(self, points: ArrayLike) -> Array:
        """Return plan points (n, 2) or (2,) in metres as paper points in mm."""
        offset = (np.asarray(points, float) - self.corner) / self.scale
        return self.origin + offset * np.array([1.0, -1.0])

    def on_paper(self, shape: BaseGeometry) -> BaseGeometry:
        """Return a plan shape as a paper shape."""
        moved: BaseGeometry = shapely.transform(shape, self.paper)
        return moved

    def polygons(self, shapes: Iterable[BaseGeometry], name: str, **style: object) -> None:
        """Draw plan polygons as one path called `name`."""
        self.path("".join(self._outline(shape) for shape in shapes), name, **style)

    def strokes(self, lines: LineString | MultiLineString, name: str, **style: object) -> None:
        """Draw plan lines as one path called `name`."""
        runs = [self.paper(np.asarray(each.coords)) for each in shapely.get_parts(lines) if each.length > 0]
        if name:
            self.lines += [LineString(run) for run in runs]
        self.path("".join("M" + "L".join(map(_pair, run)) for run in runs), name, fill="none", **style)

    def path(self, d: str, name: str = "", /, **style: object) -> None:
        """Draw a path given in paper millimetres."""
        if d:
            ET.SubElement(self.root, f"{{{SVG}}}path", _attributes({"id": name or None, "d": d, **style}))

    def line(self, a: Array, b: Array, **style: object) -> None:
        """Draw a line between two paper points."""
        self.path(f"M{_pair(a)}L{_pair(b)}", fill="none", **{"stroke": INK, "stroke_width": 0.18, **style})
        self.lines.append(LineString([a, b]))

    def circle(self, center: Array, radius: float, **style: object) -> None:
        """Draw a circle at a paper point."""
        at = {"cx": f"{center[0]:.3f}", "cy": f"{center[1]:.3f}", "r": f"{radius:g}"}
        ET.SubElement(self.root, f"{{{SVG}}}circle", _attributes({**at, **style}))

    def text(
        self,
        at: ArrayLike,
        text: str,
        size: float = 2.6,
        *,
        turn: float = 0.0,
        drop: float = 0.0,
        halo: bool = False,
        **style: object,
    ) -> None:
        """Write `text` at a paper point, `turn` degrees clockwise on paper and `drop` of its size lower.

        A drop of 0.35 puts its middle at the point; `halo` puts white behind the letters.
        """
        if not text:
            return
        x, y = np.asarray(at, float) + drop * size * np.array([-np.sin(np.radians(turn)), np.cos(np.radians(turn))])
        attributes = {"x": f"{x:.3f}", "y": f"{y:.3f}", "font_size": f"{size:g}", "fill": INK, **style}
        if turn:
            attributes["transform"] = f"rotate({turn:.3f} {x:.3f} {y:.3f})"
        box = text_box((x, y), text, size, turn, style)
        self.written.append(box)
        if halo and self.boxed:
            self.path("M" + "L".join(map(_pair, np.asarray(box.exterior.coords)[:-1])) + "Z", **WHITE)
        elif halo:
            attributes |= {"stroke": "#ffffff", "stroke_width": f"{size * 0.42:.2f}"}
            attributes |= {"paint_order": "stroke", "stroke_linejoin": "round"}
        ET.SubElement(self.root, f"{{{SVG}}}text", _attributes(attributes)).text = printable(text)

    def label(
        self,
        text: str,
        size: float,
        spots: Sequence[Spot],
        anchor: Array,
        *,
        rank: int = 0,
        halo: bool = False,
        off: BaseGeometry | None = None,
        needed: bool = True,
        near: float = np.inf,
        **style: object,
    ) -> None:
        """Have `text` written at one of `spots` once all is drawn; see `Label`."""
        self.waiting.append(Label(printable(text), size, spots, anchor, rank, halo, off, needed, near, style))

    def block(self, low: ArrayLike, high: ArrayLike) -> None:
        """Keep labels off the paper from `low` (2,) to `high` (2,), mm."""
        self.written.append(shapely.box(*np.asarray(low, float), *np.asarray(high, float)))

    def dimension(
        self,
        a: Array,
        b: Array,
        text: str,
        color: str = INK,
        size: float = 2.4,
        *,
        halo: bool | None = None,
        needed: bool = True,
    ) -> None:
        """Draw a dimension line between two paper points, with slanted ticks and `text` beside it, upright.

        Coloured text stands on pieces, so it has white behind it, as other text has with a `halo`.
        """
        along = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
        slash = 0.9 * (along + np.array([along[1], -along[0]])) / np.sqrt(2)
        self.line(a, b, stroke=color)
        for end in (a, b):
            self.line(end - slash, end + slash, stroke=color, stroke_width=0.3)
        if text:
            spots = dimension_spots(a, b, text, size, upright)
            white = color != INK if halo is None else halo
            self.label(text, size, spots, (a + b) / 2, rank=0 if needed else 3, halo=white, needed=needed, fill=color)

    def svg(self, title: str, description: str) -> bytes:
        """Return the finished sheet, its labels placed, as an SVG document in UTF-8."""
        self._place_labels()
        for tag, words in (("desc", description), ("title", title)):
            element = ET.Element(f"{{{SVG}}}{tag}")
            element.text = printable(words)
            self.root.insert(0, element)
        ET.register_namespace("", SVG)
        return ET.tostring(self.root, encoding="utf-8", xml_declaration=True) + b"\n"

    def _place_labels(self) -> None:
        labels, self.waiting = self.waiting, []
        for each in place_labels(labels, self.written, self.lines, shapely.box(*self.frame)):
            label, spot = each.label, each.spot
            if each.leader is not None:
                self.line(*each.leader, stroke=label.style.get("fill", INK), stroke_width=0.12)
            at = label.baseline(spot, each.size)
            style: dict[str, Any] = {**label.style, "text_anchor": "middle"}
            self.text(at, label.text, each.size, turn=spot.turn, halo=label.halo or each.leader is not None, **style)

    def _outline(self, shape: BaseGeometry) -> str:
        # what is left of walls between openings can hold a line or a point as well as polygons
        rings = [ring for part in parts(shape) for ring in (part.exterior, *part.interiors)]
        return "".join("M" + "L".join(map(_pair, self.paper(np.asarray(ring.coords)[:-1, :2]))) + "Z" for ring in rings)


def _pair(point: Array) -> str:
    return f"{point[0]:.3f},{point[1]:.3f}"


def _attributes(values: dict[str, object]) -> dict[str, str]:
    return {key.replace("_", "-"): f"{value}" for key, value in values.items() if value is not None}
