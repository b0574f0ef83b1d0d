"""What `fibre=False` leaves out of a picture, and joints, whose light has a closed form where it does."""

from dataclasses import replace

import numpy as np
import pytest
from colour.models import eotf_sRGB
from synthetic_room import DEPTH, WIDTH, part, room

from preview.model.ease import BEVEL
from preview.model.model import FloorMesh, FloorOutline
from preview.picture.draw import open_engine
from preview.picture.view.camera import Camera
from tests.pictures.test_engine import camera, marked

GREY = (np.full((8, 8, 4), (170, 170, 170, 0), np.uint8),)
BLACK = (np.zeros((8, 8, 4), np.uint8),)
JOINT = (2.0, 2.0)  # in plan: where two boards meet, along y


@pytest.fixture(scope="module")
def lit_room():
    return room()


def drawn(model, boards, lighting, view, fibre):
    with open_engine(model, boards, lighting, fibre=fibre) as engine:
        return engine.draw(view, 0.004).hdr


@pytest.mark.parametrize("pages", [BLACK, GREY], ids=["the coat alone", "wood"])
def test_boards_own_numbers_matter_with_the_fibres_only(lit_room, pages):
    """They say how a board tilts and how its fibres lean: other numbers, another picture; but not without fibres."""
    model, boards, lighting = lit_room
    finish = replace(boards.finish, roughness=0.05)
    boards = replace(boards, pages=pages, finish=finish, border_finish=finish)
    mesh = replace(model.floor[0], tint=np.ones_like(model.floor[0].tint))
    other = replace(mesh, piece=mesh.piece.max() - mesh.piece)
    view = camera((2.35, 0.3, 1.2), (2.35, 3.0, 0.0), size=(200, 125))
    for fibre in (False, True):
        one, two = (drawn(replace(model, floor=(each,)), boards, lighting, view, fibre) for each in (mesh, other))
        if fibre:
            assert (np.abs(one - two).max(axis=2) > 0.02 * one.max()).mean() > 1e-3
        else:
            assert np.array_equal(one, two)


def test_stone_is_of_one_colour_without_fibres_and_clouded_with_them(lit_room):
    model, boards, lighting = lit_room
    slab = part("slab", "stone", [(0, 3, 0), (WIDTH, 3, 0), (WIDTH, 3, 2), (0, 3, 2)], (0, -1, 0), (0.4, 0.4, 0.4))
    light = {**lighting.parts, "slab": np.full_like(slab.vertices, 300.0)}
    clouded, plain = (
        drawn(replace(model, parts=(*model.parts, slab)), boards, replace(lighting, parts=light),
              camera((2.35, 1.5, 1.0), (2.35, 3.0, 1.0), 40), fibre)[100:200, 150:330, 1]
        for fibre in (True, False)
    )  # fmt: skip
    assert np.ptp(plain) < 1e-3 * plain.mean()
    assert plain.mean() == pytest.approx((0.4 + 0.04 * 0.6) * 300 / np.pi, rel=0.01)
    assert clouded.std() > 0.01 * clouded.mean() and clouded.mean() == pytest.approx(plain.mean(), rel=0.05)


def two_boards(drawn_back=None):
    """Two boards with edges eased at 45 degrees that meet at `JOINT`; their long edges `drawn_back` metres each."""
    vertices, normals, piece, faces = [], [], [], []
    for number, (x0, x1) in enumerate(((0.0, JOINT[0]), (JOINT[0], WIDTH))):
        low = np.array([(x0, 0, 0), (x1, 0, 0), (x1, DEPTH, 0), (x0, DEPTH, 0)], float) - (0, 0, BEVEL)
        high = low + BEVEL * np.array([(1, 1, 1), (-1, 1, 1), (-1, -1, 1), (1, -1, 1)])
        for k in range(4):
            m = (k + 1) % 4
            out = np.cross(low[m] - low[k], (0, 0, 1))
            faces += [np.array([(0, 1, 2), (0, 2, 3)]) + 4 * len(normals)]
            vertices += [low[k], low[m], high[m], high[k]]
            normals.append(out / np.linalg.norm(out) + (0, 0, 1))
        piece.append(np.full(16, number))
    count = len(vertices)
    back = (drawn_back or 0.0) * (np.abs(np.array(normals)[:, 0]) > 0)
    normals = np.repeat(normals, 4, axis=0) / np.sqrt(2)
    row = np.arange(8)
    outline = FloorOutline(4 * row, row // 4 * 4 + (row + 1) % 4, row // 4, np.ones(8, bool), back.astype(np.float32))
    return FloorMesh(
        0, np.float32(vertices), np.float32(normals), np.zeros((count, 2), np.float32),
        np.tile(np.float32([0, 1]), (count, 1)), np.ones((count, 3), np.float32),
        np.concatenate(piece).astype(np.int32),
        np.zeros(count, np.float32), np.concatenate(faces).astype(np.int32), outline=outline,
    )  # fmt: skip


def joint_seen(lit_room, drawn_back, fibre):
    """How bright the joint is beside the board from straight above, by the pixel, each of a twentieth of a millimetre;
    wood of an albedo of 0.4 without a coat, under even light."""
    model, boards, lighting = marked(*lit_room, np.array([2.0, 2.0, 0.0]))
    bare = replace(boards.finish, ior=1.0)
    boards = replace(boards, pages=GREY, finish=bare, border_finish=bare)
    across = np.array([*JOINT, 0.0])
    view = Camera("above", across + np.array([0, 0, 1]), across, np.array([0.0, 1, 0]), None, 0.012, (240, 60))
    row = drawn(replace(model, floor=(two_boards(drawn_back),)), boards, lighting, view, fibre)[30, :, 1]
    return row / row[:20].mean()


def test_a_tight_joint_is_a_groove_of_matt_sides(lit_room):
    """A cavity whose opening is cos 45 degrees of its sides, of albedo r: a r / (1 - (1 - a) r) comes out of it
    (Sumpner's integrating-sphere argument), as against r; and it is as wide as both eased edges."""
    seen = joint_seen(lit_room, None, fibre=False)
    albedo = float(eotf_sRGB(170 / 255))
    opening = np.cos(np.radians(45))
    expected = opening / (1 - (1 - opening) * albedo)
    assert seen.min() == pytest.approx(expected, rel=0.01)
    dark = (1 - seen).sum() / (1 - expected) * 0.012 / 240
    assert dark == pytest.approx(2 * BEVEL, rel=0.05)


def test_a_tight_joints_hairline_goes_with_the_fibres(lit_room):
    plain, lined = (joint_seen(lit_room, None, fibre) for fibre in (False, True))
    assert lined.min() < 0.3 * plain.min()
    assert ((lined < 0.5).sum()) * 0.012 / 240 < BEVEL, "thinner than the groove that it lies in"


@pytest.mark.parametrize("fibre", [True, False])
def test_a_winter_gap_is_darker_than_a_tight_joint(lit_room, fibre):
    """As wide as both edges have drawn back, and next to no light out of it, in either kind of picture."""
    tight, open_ = (joint_seen(lit_room, back, fibre) for back in (None, 0.0006))
    assert open_.min() < 0.12
    assert (1 - open_).sum() > 1.5 * (1 - tight).sum()
    assert (open_ < 0.4).sum() * 0.012 / 240 == pytest.approx(0.0012, rel=0.15)
