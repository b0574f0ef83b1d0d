"""A small lit room made by formula, so that the picture step is tested by itself."""

from functools import cache

import numpy as np

from preview.light.bake import outside_of
from preview.light.result.lighting import Emitter, FloorLight, Lighting
from preview.light.sources.glass import DOUBLE_GLAZING
from preview.light.sources.sky import overcast_sky
from preview.model.model import FloorMesh, Model, Pane, Part, ReflectionProxy
from preview.wood.boards import Boards, Finish

WIDTH, DEPTH, HEIGHT = 4.7, 3.8, 2.6
BOARD = (0.5, 0.1)
EASE = 0.001
PASSED = np.float32(0.908)  # of light from all round, by a coat of n = 1.5


def quad(corners, normal, rows, columns):
    """A grid of rows x columns cells over a quadrilateral: vertices, normals, faces."""
    a, b, c, d = np.asarray(corners, float)
    v, u = (each.ravel()[:, None] for each in np.mgrid[0 : 1 : (rows + 1) * 1j, 0 : 1 : (columns + 1) * 1j])
    vertices = (1 - u) * (1 - v) * a + u * (1 - v) * b + u * v * c + (1 - u) * v * d
    first = (np.arange(rows)[:, None] * (columns + 1) + np.arange(columns)).ravel()
    faces = np.concatenate(
        [
            np.stack([first, first + 1, first + columns + 2], 1),
            np.stack([first, first + columns + 2, first + columns + 1], 1),
        ]
    )
    return vertices.astype(np.float32), np.tile(np.float32(normal), (len(vertices), 1)), faces.astype(np.int32)


def part(name, surface, corners, normal, albedo, proxies=None):
    """A rectangle; an upright one that is a wall is a reflection proxy too, unless others are given."""
    vertices, normals, faces = quad(corners, normal, 10, 18)
    if proxies is None:
        proxies = (wall_proxy(corners, normal),) if surface == "wall" and normal[2] == 0 else ()
    return Part(name, surface, vertices, normals, faces, albedo, proxies)


def wall_proxy(corners, normal, **what):
    corners = np.asarray(corners, float)
    low, high = corners.min(axis=0), corners.max(axis=0)
    ends = sorted((low[:2], high[:2]), key=lambda end: end @ (normal[1], -normal[0]))
    return ReflectionProxy(*ends, float(high[2]), **what)


def herringbone(page_count=1):
    """Boards of a herringbone over the room, tops and eased edges: FloorMesh, grain angle of each board."""
    length, width = BOARD
    root = np.sqrt(0.5)
    turn = np.array([[root, -root], [root, root]])
    vertices, normals, uv, grain, piece, faces = [], [], [], [], [], []
    number = 0
    for i in range(-60, 60):
        for j in range(-14, 14):
            corner = np.array([width, width]) * i + np.array([length, -length]) * j
            for direction, start in ((0.0, corner), (np.pi / 2, corner)):
                along = np.array([np.cos(direction), np.sin(direction)])
                across = np.array([-along[1], along[0]])
                middle = turn @ (start + along * length / 2 + across * width / 2) + (WIDTH / 2, DEPTH / 2)
                if not (-0.3 < middle[0] < WIDTH + 0.3 and -0.3 < middle[1] < DEPTH + 0.3):
                    continue
                base = 8 * number
                st = np.array([[0, 0], [length, 0], [length, width], [0, width]])
                inner = np.clip(st, EASE, [length - EASE, width - EASE])
                for ring, z in ((inner, 0.0), (st, -EASE)):
                    plan = (start + ring[:, :1] * along + ring[:, 1:] * across) @ turn.T + (WIDTH / 2, DEPTH / 2)
                    vertices.append(np.column_stack([plan, np.full(4, z)]))
                    row = number % 40
                    uv.append((ring / [length, width] + [0, row]) / [1, 40])
                out = (inner - st) / EASE
                outward = -(out[:, :1] * along + out[:, 1:] * across) @ turn.T * 0.35
                normals.append(np.tile([0, 0, 1], (4, 1)))
                normals.append(np.column_stack([outward, np.full(4, 0.8)]))
                grain.append(np.tile(turn @ along, (8, 1)))
                piece.append(np.full(8, number))
                faces.append(base + np.array([[0, 1, 2], [0, 2, 3]]))
                for k in range(4):
                    m = (k + 1) % 4
                    faces.append(base + np.array([[k, 4 + k, 4 + m], [k, 4 + m, m]]))
                number += 1
    stack = lambda arrays: np.concatenate(arrays).astype(np.float32)  # noqa: E731
    normals = stack(normals)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    piece = np.concatenate(piece).astype(np.int32)
    count = len(piece)
    tint = np.ones((count, 3), np.float32) * (1 + 0.14 * np.sin(piece * 12.9898)[:, None]).astype(np.float32)
    return FloorMesh(
        0, stack(vertices), normals, stack(uv), stack(grain), tint, piece, np.zeros(count, np.float32),
        np.concatenate(faces).astype(np.int32),
    )  # fmt: skip


def wood_page(seed=1):
    rng = np.random.default_rng(seed)
    lines = rng.normal(0, 1, (1280, 1)) * 0.5 + np.repeat(rng.normal(0, 1, (320, 1)), 4, axis=0)
    waves = rng.normal(0, 0.35, (1280, 1024))
    tone = np.clip(1 + 0.05 * (lines + waves), 0.6, 1.3)[..., None]
    return np.clip(np.array([172, 132, 92]) * tone, 0, 255).astype(np.uint8)


def boards():
    finish = Finish("satin", 30, 0.22, 1.5)
    zero = np.zeros((1, 2), np.float32)
    albedo = np.float32([0.41, 0.23, 0.107])
    return Boards(
        (wood_page(),),
        np.zeros(1, np.int32),
        zero,
        zero,
        np.ones((1, 3), np.float32),
        1000,
        albedo,
        albedo,
        finish,
        finish,
    )


def window(x0, x1, z0, z1):
    """A pane in the wall y = DEPTH, anticlockwise seen from the room."""
    return np.array([[x1, DEPTH, z0], [x0, DEPTH, z0], [x0, DEPTH, z1], [x1, DEPTH, z1]])


@cache
def room():
    """Model, Boards and Lighting of a room with two windows in its far wall; made once, and changed by nobody."""
    w, d, h = WIDTH, DEPTH, HEIGHT
    windows = {"left": window(0.9, 1.9, 0.9, 2.2), "right": window(2.8, 3.8, 0.9, 2.2)}
    paint, white = (0.72, 0.70, 0.66), (0.84, 0.84, 0.82)
    xs = [0.0, 0.9, 1.9, 2.8, 3.8, w]
    whole = wall_proxy([(0, d, 0), (w, d, h)], (0, -1, 0), panes=("left", "right"))
    far = []
    for k in range(5):
        spans = [(0, h)] if k % 2 == 0 else [(0, 0.9), (2.2, h)]
        far += [
            part(
                f"far {k} {z0}",
                "wall",
                [(xs[k], d, z0), (xs[k + 1], d, z0), (xs[k + 1], d, z1), (xs[k], d, z1)],
                (0, -1, 0),
                paint,
                (whole,) if k == 0 else (),
            )
            for z0, z1 in spans
        ]
    parts = (
        part("left", "wall", [(0, 0, 0), (0, d, 0), (0, d, h), (0, 0, h)], (1, 0, 0), paint),
        part("right", "wall", [(w, 0, 0), (w, d, 0), (w, d, h), (w, 0, h)], (-1, 0, 0), paint),
        part("near", "wall", [(0, 0, 0), (w, 0, 0), (w, 0, h), (0, 0, h)], (0, 1, 0), paint),
        part("ceiling", "ceiling", [(0, 0, h), (w, 0, h), (w, d, h), (0, d, h)], (0, 0, -1), white),
        *far,
    )
    panes = tuple(Pane(name, corners, np.array([0.0, -1, 0]), True) for name, corners in windows.items())
    model = Model((herringbone(),), parts, panes, np.array([[0, 0, 0], [w, d, h]]), (0.41, 0.23, 0.107))
    return model, boards(), light(model)


def light(model):
    """Plain light: what each pane sends by its solid angle, and an even remainder."""
    radiance = np.float32([3000, 3200, 3500])

    def irradiance(points, normals):
        total = np.full((len(points), 3), 90.0)
        for pane in model.panes:
            middle = pane.corners.mean(axis=0) + 0.02 * pane.inward
            to = middle - points
            square = (to**2).sum(axis=1)
            way = to / np.sqrt(square)[:, None]
            gain = 1.3 * np.clip((way * normals).sum(1), 0, 1) * np.clip(-way @ pane.inward, 0, 1) / (square + 0.5)
            total += gain[:, None] * radiance
        return total.astype(np.float32)

    texel = 0.1
    ys, xs = np.mgrid[0 : int(DEPTH / texel), 0 : int(WIDTH / texel) + 1]
    points = np.column_stack([(xs.ravel() + 0.5) * texel, (ys.ravel() + 0.5) * texel, np.zeros(xs.size)])
    floor = irradiance(points, np.array([0.0, 0, 1])).reshape(*xs.shape, 3)
    direction = np.zeros_like(floor)
    direction[...] = (0, 0.4, 0.4)
    return Lighting(
        FloorLight((0.0, 0.0), texel, floor, PASSED * floor, direction),
        {each.name: irradiance(each.vertices, each.normals) for each in model.parts},
        tuple(Emitter(pane.name, pane.corners, radiance, radiance / 2) for pane in model.panes),
        float((floor @ [0.2126, 0.7152, 0.0722]).mean()),
        outside=outside_of(overcast_sky(), DOUBLE_GLAZING),
    )
