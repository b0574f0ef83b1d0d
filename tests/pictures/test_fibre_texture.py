"""What the floor's second texture does: fibres by the pixel, and nothing at all without the fibre highlight."""

from dataclasses import replace

import numpy as np
import pytest

from preview.picture.draw import open_engine
from preview.wood.strip import STEEPEST
from tests.pictures.test_engine import camera, lit_room  # noqa: F401 (a fixture)

VIEW = camera((2.35, 0.3, 1.6), (2.35, 2.6, 0.0))
PLAIN = (np.full((8, 8, 4), (150, 150, 150, 0), np.uint8),)


def page(angle=128, lean=128, shine=128):
    return (np.full((8, 8, 3), (angle, lean, shine), np.uint8),)


def floor(lit_room, direction, turned=None):  # noqa: F811
    """The room with all boards of one tint, their grain in one direction (2,)."""
    model, boards, lighting = lit_room
    mesh = model.floor[0]
    count = len(mesh.vertices)
    signs = None if turned is None else np.tile(np.float32(turned), (count, 1))
    flat = replace(
        mesh, grain=np.tile(np.float32(direction), (count, 1)), tint=np.ones_like(mesh.tint),
        piece=np.zeros_like(mesh.piece), turned=signs,
    )  # fmt: skip
    return replace(model, floor=(flat,)), boards, lighting


def drawn(lit_room, direction, grain, turned=None, pages=PLAIN, fibre=True):  # noqa: F811
    model, boards, lighting = floor(lit_room, direction, turned)
    with open_engine(model, replace(boards, pages=pages, grain=grain), lighting, fibre=fibre) as opened:
        return opened.draw(VIEW, 0.004).hdr[150:290, 20:380]


@pytest.mark.parametrize(
    "turned", [(-1, 1), *(pytest.param(each, marks=pytest.mark.slow) for each in ((1, 1), (-1, -1), (1, -1)))]
)
def test_an_angle_in_the_texture_turns_the_fibres(lit_room, turned):  # noqa: F811
    """As if the board lay turned by that angle, from u towards v, however the board lies on its page."""
    grain = np.array([np.cos(0.6), np.sin(0.6)])
    angle = 64 * STEEPEST / 127
    u, v = turned[0] * grain, turned[1] * np.array([-grain[1], grain[0]])
    as_turned = (u + angle * v) / np.hypot(1, angle)
    found = drawn(lit_room, grain, page(angle=192), turned)
    expected = drawn(lit_room, as_turned, page())
    assert np.abs(found - expected).max() < 0.02 * expected.max()
    assert np.abs(found - drawn(lit_room, grain, page(), turned)).max() > 0.02 * expected.max()


@pytest.mark.slow
def test_lean_shows_and_dull_fibres_shine_less(lit_room):  # noqa: F811
    """Fibres that lean towards the eye's side of the mirror direction shine elsewhere; dull ones differ less by it."""
    towards = np.array([0.0, 1.0])

    def difference(shine):
        one, other = (drawn(lit_room, towards, page(lean=lean, shine=shine)) for lean in (100, 156))
        return np.abs(one - other).mean() / one.mean()

    assert difference(128) > 0.03
    assert difference(40) < 0.6 * difference(128)


def test_without_the_fibre_highlight_only_the_albedo_counts(lit_room):  # noqa: F811
    """What the picture is compared with a path tracer by."""
    direction = np.array([0.6, 0.8])
    porous = (np.full((8, 8, 4), (150, 150, 150, 200), np.uint8),)
    rng = np.random.default_rng(0)
    wild = (rng.integers(0, 255, (8, 8, 3)).astype(np.uint8),)
    plain = drawn(lit_room, direction, page(), fibre=False)
    assert np.array_equal(plain, drawn(lit_room, direction, wild, (-1, 1), porous, fibre=False))
    assert not np.allclose(
        drawn(lit_room, direction, page()), drawn(lit_room, direction, wild, pages=porous), rtol=1e-3
    )
