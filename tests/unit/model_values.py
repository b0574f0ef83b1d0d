"""Rooms, layouts and boards made by hand, for the tests of preview.model."""

from dataclasses import fields

import numpy as np
import shapely
from shapely import Polygon, affinity

from preview.floor.layout import Board, Layout, Pieces, Role
from preview.room.room import Room, RoomObstacle, RoomOpening, RoomVent
from preview.wood.boards import Boards, Finish

INCH = 0.0254


def pieces(polygons, role=Role.BOARD, grain=0.0):
    """Each polygon cut from the blank that just holds it, with its grain along `grain`."""
    n = len(polygons)
    grain = np.broadcast_to(np.asarray(grain, float), n)
    boxes = [
        affinity.rotate(p, -g, origin=(0, 0), use_radians=True).bounds for p, g in zip(polygons, grain, strict=True)
    ]
    boxes = np.array(boxes).reshape(n, 4)
    turn = np.stack([np.cos(grain), -np.sin(grain), np.sin(grain), np.cos(grain)], axis=1).reshape(n, 2, 2)
    return Pieces(
        polygons=np.array(list(polygons) or [None], dtype=object)[:n],
        role=np.broadcast_to(np.asarray(role, np.int8), n).copy(),
        course=np.zeros(n, np.int32),
        grain=grain.copy(),
        origin=np.einsum("nij,nj->ni", turn, boxes[:, :2]),
        size=boxes[:, 2:] - boxes[:, :2],
        whole=np.zeros(n, bool),
        key=np.zeros((n, 2), np.int32),
        hand=np.full(n, -1, np.int8),
        skew=np.zeros(n),
    )


def layout(floor, beyond=None, gap=0.0, thickness=0.019, field=None, slots=()):
    """A layout of given pieces; what the model does not read is left plain."""
    line = np.zeros((2, 2))
    return Layout(
        "Test", "base", Board(0.1016, 0.5, thickness, gap), np.pi / 2, 1, 0.35, line, (), 0.0, (),
        0.12, 0.1, field or Polygon(), floor, tuple(slots), beyond or pieces([]), {}, (),
    )  # fmt: skip


def boards(laid):
    """Plain boards on two texture pages, every other one turned round."""
    n = len(laid.pieces) + len(laid.beyond)
    sizes = np.concatenate([laid.pieces.size, laid.beyond.size])
    density = 500.0
    scale = np.repeat(density / np.array([[2048.0, 512.0]]), n, axis=0)
    scale[1::2] *= -1
    origin = np.where(scale < 0, -scale * sizes, 0.0)
    finish = Finish("satin", 30, 0.3, 1.5)
    oak, walnut = np.array([0.36, 0.24, 0.14]), np.array([0.12, 0.07, 0.045])
    page = np.full((512, 2048, 3), 200, np.uint8)
    return Boards(
        (page, page), (np.arange(n) % 2).astype(np.int32), origin.astype(np.float32), scale.astype(np.float32),
        np.ones((n, 3), np.float32), density, oak.astype(np.float32), walnut.astype(np.float32), finish, finish,
    )  # fmt: skip


def opening(corners, wall, offset, width, height, kind="cased opening", sill=0.0, beyond=0.0, name=None, depth=0.14):
    """An opening in wall `wall` (from 0) of an anticlockwise room."""
    start, end = np.asarray(corners[wall], float), np.asarray(corners[(wall + 1) % len(corners)], float)
    along = (end - start) / np.linalg.norm(end - start)
    a, b = start + offset * along, start + (offset + width) * along
    inward = np.array([-along[1], along[0]])
    return RoomOpening(name or f"{kind} {wall}", kind, wall, a, b, inward, height, sill, beyond, depth)


def room(corners, height=2.59, baseboard=INCH, openings=(), obstacles=(), vents=()):
    """A room as measured; its floor is the outline less obstacles."""
    outline = Polygon(corners)
    floor = outline.difference(shapely.union_all([each.polygon for each in obstacles]))
    plain = {each.name: () for each in fields(Room)}  # what the model does not read
    known = {
        "title": "Test", "corners": np.asarray(corners, float), "outline": outline, "height": height,
        "baseboard": baseboard, "wall_thickness": 0.14, "north": 0.0, "openings": tuple(openings),
        "obstacles": tuple(obstacles), "vents": tuple(vents), "floor": floor, "field": floor, "border_line": 0.12,
    }  # fmt: skip
    return Room(**(plain | known))


def obstacle(name, kind, corners, height, baseboard=0.0):
    return RoomObstacle(name, kind, Polygon(corners), height, baseboard)


def grille(center, size=(0.254, 0.1016), frame=0.02, bar=0.008):
    """A grille lying along x: one piece with slots as holes, and its vent."""
    x, y = center
    outer = shapely.box(x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2)
    edges = np.arange(x - size[0] / 2 + frame, x + size[0] / 2 - frame, 2 * bar)
    slots = [shapely.box(e, y - size[1] / 2 + frame, e + bar, y + size[1] / 2 - frame) for e in edges]
    holed = Polygon(outer.exterior, [each.exterior for each in slots])
    return holed, slots, RoomVent("A", outer, np.asarray(center, float), size, 0.0)


def herringbone(area, width=0.1016, length=0.508, turn=np.pi / 4):
    """Boards that tile `area`, and the grain of each: H = [0,L]x[0,W] and V = [-W,0]x[0,L] on (W,W), (L,-L)."""
    reach = int(np.ceil(np.hypot(*np.ptp(np.array(area.bounds).reshape(2, 2), axis=0)) / width)) + 2
    i, j = (each.ravel() for each in np.meshgrid(np.arange(-reach, reach), np.arange(-reach, reach)))
    x, y = i * width + j * length, i * width - j * length
    flat = shapely.box(x, y, x + length, y + width)
    tall = shapely.box(x - width, y, x, y + length)
    boxes = np.concatenate([flat, tall])
    middle = np.array(area.centroid.coords[0])
    cos, sin = np.cos(turn), np.sin(turn)
    placed = shapely.transform(boxes, lambda p: p @ np.array([[cos, sin], [-sin, cos]]) + middle)
    grain = np.repeat([turn, turn + np.pi / 2], len(flat))
    met = shapely.intersects(placed, area)
    polygons, owner = shapely.get_parts(shapely.intersection(placed[met], area), return_index=True)
    sound = shapely.area(polygons) > 1e-7
    return list(shapely.orient_polygons(polygons[sound])), grain[met][owner[sound]]


def dining_room(extra=(), hearth=True):
    """A room of 15' 6" by 12' 4" with an archway, two windows, a closed door and a hearth."""
    x, y = 186 * INCH, 148 * INCH
    corners = [(0, 0), (x, 0), (x, y), (0, y)]
    openings = [
        opening(corners, 1, 38 * INCH, 60 * INCH, 82 * INCH, beyond=3.0, name="hall archway"),
        opening(corners, 0, 40 * INCH, 30 * INCH, 80 * INCH, kind="door", name="kitchen door"),
        opening(corners, 3, 30 * INCH, 36 * INCH, 58 * INCH, kind="window", sill=30 * INCH, name="north window"),
        opening(corners, 3, 84 * INCH, 36 * INCH, 58 * INCH, kind="window", sill=30 * INCH, name="south window"),
        *extra,
    ]
    stone = [(63 * INCH, 128 * INCH), (123 * INCH, 128 * INCH), (123 * INCH, y), (63 * INCH, y)]
    things = [obstacle("hearth", "hearth", stone, 0.019)] if hearth else []
    return room(corners, openings=openings, obstacles=things)
