"""Box rooms with windows, as the model step would hand them over, for tests of light.

The room is `size` (x, y, z) metres with a corner at the origin; every surface is cut to about `cell` metres.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from shapely import box

from preview.fresnel import SHEEN
from preview.model.model import Model, Pane, Part
from preview.room.room import Room, RoomOpening


def sheet(corner, along, up, cell, holes=(), flip=False):
    """Return vertices, normals, faces of a rectangle cut into cells; `holes` are (s0, s1, t0, t1) left out of it.

    The normal is along x up, or against it with `flip`.
    """
    corner, along, up = (np.asarray(each, dtype=float) for each in (corner, along, up))
    size = np.linalg.norm(along), np.linalg.norm(up)

    def cuts(length, places):
        stops = sorted({0.0, length, *(float(np.clip(p, 0, length)) for p in places)})
        parts = [np.linspace(a, b, max(1, int(np.ceil((b - a) / cell))) + 1)[:-1] for a, b in pairwise(stops)]
        return np.append(np.concatenate(parts), length)

    s = cuts(size[0], [v for h in holes for v in h[:2]])
    t = cuts(size[1], [v for h in holes for v in h[2:]])
    quads = []
    for s0, s1 in pairwise(s):
        for t0, t1 in pairwise(t):
            middle = (s0 + s1) / 2, (t0 + t1) / 2
            if any(h[0] < middle[0] < h[1] and h[2] < middle[1] < h[3] for h in holes):
                continue
            quads.append([(s0, t0), (s1, t0), (s1, t1), (s0, t1)])
    quads = np.array(quads)
    a, u = along / size[0], up / size[1]
    vertices = (corner + quads[..., :1] * a + quads[..., 1:] * u).reshape(-1, 3)
    index = np.arange(len(quads))[:, None] * 4
    faces = np.concatenate([index + np.array([0, 1, 2]), index + np.array([0, 2, 3])])
    normals = np.tile(np.cross(u, a) if flip else np.cross(a, u), (len(vertices), 1))
    faces = faces[:, ::-1] if flip else faces
    return vertices, normals, faces


def part(name, surface, albedo, *sheets):
    """Return a Part of several sheets."""
    vertices, normals, faces, base = [], [], [], 0
    for v, n, f in sheets:
        vertices.append(v)
        normals.append(n)
        faces.append(f + base)
        base += len(v)
    return Part(
        name,
        surface,
        np.concatenate(vertices).astype(np.float32),
        np.concatenate(normals).astype(np.float32),
        np.concatenate(faces).astype(np.int32),
        (albedo,) * 3 if np.isscalar(albedo) else albedo,
    )


def block(name, surface, albedo, low, high, cell=0.25):
    """Return a solid box as a Part (no bottom)."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    dx, dy, dz = (x1 - x0, 0, 0), (0, y1 - y0, 0), (0, 0, z1 - z0)
    neg = lambda v: tuple(-c for c in v)  # noqa: E731
    return part(
        name,
        surface,
        albedo,
        sheet((x0, y0, z0), dx, dz, cell),
        sheet((x1, y0, z0), dy, dz, cell),
        sheet((x1, y1, z0), neg(dx), dz, cell),
        sheet((x0, y1, z0), neg(dy), dz, cell),
        sheet((x0, y0, z1), dx, dy, cell),
    )


# Walls in order round the room, anticlockwise from the one along y = 0: corner, direction, inward normal.
def _walls(size):
    x, y, _ = size
    return [
        ((0, 0), (1, 0), (0, 1)),
        ((x, 0), (0, 1), (-1, 0)),
        ((x, y), (-1, 0), (0, -1)),
        ((0, y), (0, -1), (1, 0)),
    ]


def box_room(
    size=(5.0, 4.0, 2.5),
    windows=(),
    openings=(),
    blocks=(),
    walls=0.7,
    ceiling=0.8,
    floor=0.3,
    cell=0.25,
    depth=0.0,
    north=0.0,
):
    """Return (Model, Room) of a box room.

    windows and openings are (wall 0 to 3, offset, width, sill, head); panes stand `depth` behind the wall's face,
    with a reveal between. blocks are (name, low, high, albedo).
    """
    x, y, z = size
    parts, panes, room_openings = [], [], []
    for number, (start, way, inward) in enumerate(_walls(size)):
        length = x if number % 2 == 0 else y
        start3, way3, inward3 = np.array([*start, 0.0]), np.array([*way, 0.0]), np.array([*inward, 0.0])
        holes, reveals = [], []
        for glazed, group in ((True, windows), (False, openings)):
            for wall, offset, width, sill, head in group:
                if wall != number:
                    continue
                holes.append((offset, offset + width, sill, head))
                face = start3 + way3 * offset + [0, 0, sill]
                back = face - inward3 * depth
                across, up = way3 * width, np.array([0, 0, head - sill])
                if depth:
                    out = -inward3 * depth
                    reveals += [
                        sheet(face, up, out, cell),  # near jamb, sill, far jamb, head; normals into the opening
                        sheet(face, out, across, cell),
                        sheet(face + across, out, up, cell),
                        sheet(face + up, across, out, cell),
                    ]
                # Anticlockwise as the room sees it: the wall runs from right to left there.
                corners = np.array([back + across, back, back + up, back + across + up])
                name = f"{'window' if glazed else 'opening'} {len(panes) + 1}"
                panes.append(Pane(name, corners, inward3, glazed))
                a = np.array(start) + np.array(way) * offset
                room_openings.append(
                    RoomOpening(
                        name,
                        "window" if glazed else "cased opening",
                        number,
                        a,
                        a + np.array(way) * width,
                        np.array(inward, dtype=float),
                        head - sill,
                        sill,
                        0.0,
                        depth,
                    )
                )
        parts.append(
            part(
                f"wall {number + 1}",
                "wall",
                walls,
                sheet(start3, way3 * length, (0, 0, z), cell, holes, flip=True),
                *reveals,
            )
        )
    parts.append(part("ceiling", "ceiling", ceiling, sheet((0, 0, z), (0, y, 0), (x, 0, 0), cell)))
    ground = box(0, 0, x, y)
    for name, low, high, albedo in blocks:
        parts.append(block(name, "stone", albedo, low, high, cell))
        ground = ground.difference(box(low[0], low[1], high[0], high[1]))
    room = Room(
        title="box",
        corners=np.array([each[0] for each in _walls(size)], dtype=float),
        outline=box(0, 0, x, y),
        height=z,
        baseboard=0.0,
        wall_thickness=depth,
        north=north,
        openings=tuple(room_openings),
        obstacles=(),
        vents=(),
        floor=ground,
        inside_border=ground,
        field=ground,
        edge=0.0,
        strip_line=0.1,
        border_line=0.1,
        misclosure=None,
        warnings=(),
    )
    model = Model((), tuple(parts), tuple(panes), np.array([[0, 0, 0], [x, y, z]], dtype=float), (floor,) * 3)
    return model, room


FLOOR_SQUARE = 0.25  # metres: the squares over which the reference room's floor is compared


def reference_room():
    """The room that was path traced for tests/published/reference: two windows, a low hearth and a column."""
    windows = [(0, 0.8, 1.4, 0.9, 2.1), (1, 1.2, 1.0, 0.5, 2.2)]
    blocks = [("hearth", (2.0, 3.4, 0.0), (3.4, 4.0, 0.06), 0.4), ("column", (3.2, 2.0, 0.0), (3.5, 2.3, 2.5), 0.6)]
    return box_room((5.0, 4.0, 2.5), windows, blocks=blocks, walls=0.6, ceiling=0.8, floor=0.3, depth=0.15)


def bare(model):
    """A model whose surfaces reflect in all what their albedo says, as though they had no gloss."""

    def under(albedo, gloss):
        return tuple((each - gloss) / (1 - gloss) for each in albedo)

    parts = tuple(replace(each, albedo=under(each.albedo, SHEEN)) for each in model.parts)
    return replace(model, parts=parts, coat=(0.01, 1.0))
