"""Meshing grows linearly with the boards: a ratio of two sizes in one run, not a time."""

from time import perf_counter

import numpy as np
import shapely

from preview.floor.layout import Board, Layout, Pieces
from preview.model.floor import floor_meshes
from preview.wood.boards import Boards, Finish


def floor_of(n):
    """n boards side by side, turned 45 degrees, and their textures."""
    row, column = np.divmod(np.arange(n), 200)
    square = np.array([[0, 0], [0.5, 0], [0.5, 0.1], [0, 0.1]])
    corners = square + np.stack([column * 0.5, row * 0.1], axis=1)[:, None]
    turn = np.array([[1, 1], [-1, 1]]) / 2**0.5
    zeros = np.zeros(n, np.int32)
    pieces = Pieces(
        shapely.polygons(corners @ turn), zeros.astype(np.int8), zeros, np.full(n, np.pi / 4), corners[:, 0] @ turn,
        np.tile([0.5, 0.1], (n, 1)), np.ones(n, bool), np.zeros((n, 2), np.int32), zeros.astype(np.int8), np.zeros(n),
    )  # fmt: skip
    none = Pieces(*(getattr(pieces, name)[:0] for name in Pieces.__dataclass_fields__))
    line = np.zeros((2, 2))
    laid = Layout(
        "", "", Board(0.1, 0.5, 0.02, 0.0), 0.0, 1, 0.35, line, (), 0.0, (), 0.0, 0.0, shapely.Polygon(),
        pieces, (), none, {}, (),
    )  # fmt: skip
    ones = np.ones((n, 3), np.float32)
    finish = Finish("", 30, 0.3, 1.5)
    page = np.zeros((8, 8, 3), np.uint8)
    places = np.zeros((n, 2), np.float32)
    return laid, Boards((page,), zeros, places, places + 1, ones, 1.0, ones[0], ones[0], finish, finish)


def best(n, tries):
    laid, wood = floor_of(n)
    times = []
    for _ in range(tries):
        start = perf_counter()
        (mesh,) = floor_meshes(laid, wood)
        times.append(perf_counter() - start)
    assert len(mesh.faces) == n * (2 + 8)
    return min(times)


def test_forty_thousand_boards_cost_ten_times_four_thousand():
    """Quadratic growth would cost a hundred times as much; 25 leaves room for caches and a busy machine."""
    best(4_000, 1)
    assert best(40_000, 2) < 25 * best(4_000, 4)


def test_forty_thousand_boards_against_drawing_their_outlines():
    """Meshing costs at most some tens of times what it takes merely to read the same outlines."""
    laid, _ = floor_of(40_000)
    start = perf_counter()
    for _ in range(5):
        shapely.get_coordinates(shapely.get_rings(shapely.orient_polygons(laid.pieces.polygons)))
    peer = (perf_counter() - start) / 5
    assert best(40_000, 2) < 80 * peer
