"""The wood's reflection as the compiled shader gives it: drawn under one small far window, and integrated.

A floor is seen straight down by a pinhole camera, so that each pixel stands for a direction to the eye and the picture
for nearly the whole hemisphere: at height h a plan area dA subtends cos^2 dA / h^2 of solid angle times cosine (h = 1:
1 / r^4). What the window adds to a floor that is lit from all round is its irradiance times the difference of the
reflectance from 1 / pi; no formula of the shader stands here.
"""

import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from synthetic_room import room

from preview.light.result.lighting import Emitter, FloorLight
from preview.model.model import FloorMesh
from preview.picture.draw import open_engine
from preview.picture.shared import LEVEL_FIBRE
from preview.picture.view.camera import Camera

HEIGHT, HALF, PIXELS = 1.0, 11.0, 300  # metres; the camera sees as far as HALF each way, which is 0.8 % from all
AWAY, SOLID_ANGLE = 2000.0, 1e-3  # of the window: metres, steradians
ARRIVING = 100.0  # lux on the floor that come from the window
VIEW = Camera(
    "down", np.array([0, 0, HEIGHT]), np.zeros(3), np.array([0.0, 1, 0]), 2 * np.arctan(HALF / HEIGHT), 0.0,
    (PIXELS, PIXELS),
)  # fmt: skip
CENTRES = (np.arange(PIXELS) + 0.5) * (2 * HALF / PIXELS) - HALF
X, Y = np.meshgrid(CENTRES, -CENTRES)  # plan places of the pixels, row 0 farthest north
WEIGHT = (2 * HALF / PIXELS) ** 2 * HEIGHT**2 / (X**2 + Y**2 + HEIGHT**2) ** 2
# Pieces by how their fibres lean: the shader takes that from a hash of the piece's number.
UPRIGHT, LEANING, LEANING_BACK = 17, 0, 55


def way(elevation, bearing):
    """The unit direction at so many degrees over the floor, the bearing from the grain."""
    up, turn = np.radians(elevation), np.radians(bearing)
    return np.array([np.cos(up) * np.cos(turn), np.cos(up) * np.sin(turn), np.sin(up)])


def seen_from(row, column):
    """The direction to the eye from the place that a pixel shows."""
    to = np.array([-X[row, column], -Y[row, column], HEIGHT])
    return to / np.linalg.norm(to)


def window(towards):
    """A square that faces the origin, its lower side level."""
    side = AWAY * np.sqrt(SOLID_ANGLE)
    along = np.cross([0, 0, 1.0] if towards[2] < 0.9 else [0, 1.0, 0], -towards)
    along /= np.linalg.norm(along)
    rise = np.cross(-towards, along)
    square = ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))
    corners = [AWAY * towards + side * (u * along + v * rise) for u, v in square]
    radiance = np.float32([ARRIVING / (SOLID_ANGLE * towards[2])] * 3)
    return Emitter("window", np.array(corners), radiance, radiance / np.float32(1 + 2 * towards[2]))


def floor(grain, piece):
    reach = 2 * HALF
    corners = np.float32([[-reach, -reach, 0], [reach, -reach, 0], [reach, reach, 0], [-reach, reach, 0]])
    return FloorMesh(
        0, corners, np.float32([[0, 0, 1]] * 4), np.zeros((4, 2), np.float32), np.float32([grain] * 4),
        np.ones((4, 3), np.float32), np.full(4, piece, np.int32), np.zeros(4, np.float32),
        np.int32([[0, 1, 2], [0, 2, 3]]),
    )  # fmt: skip


@cache
def drawn(towards, grain, piece):
    """White wood under a coat that lets everything through and mirrors nothing, in even light and in that of a window
    in a direction, None for no window: green (PIXELS, PIXELS)."""
    model, boards, lighting = room()
    even = np.full((1, 1, 3), ARRIVING / 0.88, np.float32)  # the shader trusts windows up to 0.9 of the light
    light = FloorLight((-HALF, -HALF), 2 * HALF, even, even, np.zeros((1, 1, 3), np.float32))
    emitters = () if towards is None else (window(np.array(towards)),)
    white = replace(boards, pages=(np.full((8, 8, 3), 255, np.uint8),))
    bare = replace(model, floor=(floor(grain, piece),), parts=(), panes=())
    with open_engine(bare, white, replace(lighting, floor=light, parts={}, emitters=emitters)) as engine:
        engine._uniforms |= {"coat_passes": np.array([[1.0, 0, 0, 0]] * 2), "mean_passed": 1.0}
        return engine.draw(VIEW, 1 / ARRIVING).hdr[..., 1].astype(float)


def reflectance(towards, grain=(1.0, 0.0), piece=UPRIGHT):
    """The BRDF for light from a direction, times pi, (PIXELS, PIXELS)."""
    return 1 + np.pi * (drawn(tuple(towards), grain, piece) - drawn(None, grain, piece)) / ARRIVING


def returned(brdf):
    """The share of light that is sent back; beyond the picture's rim it counts as matt."""
    return 1 + ((brdf - 1) * WEIGHT).sum() / np.pi


@pytest.mark.parametrize(("elevation", "bearing"), [(89, 0), (60, 0), (60, 90), (35, 30), (20, 0), (20, 90)])
def test_white_wood_returns_all_the_light_and_no_more(elevation, bearing):
    assert returned(reflectance(way(elevation, bearing))) == pytest.approx(1, abs=0.005)


def test_leaning_fibres_return_all_the_light_in_the_mean_of_boards():
    """What is matt is fitted to level fibres: a board of leaning ones returns up to 5 % more or less."""
    towards = way(35, 30)
    both = [returned(reflectance(towards, piece=piece)) for piece in (LEANING, LEANING_BACK)]
    assert np.mean(both) == pytest.approx(1, abs=0.005)
    assert both == pytest.approx([1, 1], abs=0.05) and abs(both[0] - both[1]) > 0.02


def test_light_and_eye_may_be_exchanged():
    """Helmholtz: f(a, b) = f(b, a), at pixels whose directions differ in elevation and bearing."""
    middle = PIXELS // 2
    pixels = [(middle + row, middle + column) for row, column in ((0, 11), (-8, -22), (22, 4), (4, 30))]
    brdf = {each: reflectance(seen_from(*each)) for each in pixels}
    values = np.array([[brdf[one][other] for other in pixels] for one in pixels])
    assert values == pytest.approx(values.T, rel=1e-3)
    assert np.ptp(values) > 0.5


def test_fibres_shine_where_the_eye_stands_across_from_the_light():
    """The highlight lies on the cone of ways that make the same angle with the fibre as the light (Marschner et al.
    2005): along the grain it is bright ahead of the light and dark behind it, across the grain as bright on both
    sides; and it turns with the grain."""
    middle, off = PIXELS // 2, 20
    along, across = (reflectance(way(34, bearing)) for bearing in (0, 90))
    assert along[middle, middle + off] > 1.5 * along[middle, middle - off]
    assert across[middle - off, middle] == pytest.approx(across[middle + off - 1, middle], rel=0.01)
    assert reflectance(way(34, 90), grain=(0.0, 1.0)) == pytest.approx(np.rot90(along), abs=0.005)


def test_the_highlight_is_as_wide_as_on_measured_woods():
    """A Gaussian of 10 degrees inside a coat of 1.5: with it the fits of Marschner, Westin, Arbree and Moon, "Measuring
    and modeling the appearance of finished wood" (ACM TOG 24(3), 2005), are drawn in S. McKenna's port of the authors'
    shader (github.com/mckennapsean/wood-shader, wood.c: width 0.1745, index 1.5; read). Of Gaussians on a smooth
    ground, the one that fits best what is seen along the grain under light from above."""
    row = reflectance(way(89.9, 90))[PIXELS // 2 - 1 : PIXELS // 2 + 1].mean(axis=0)
    sine = CENTRES / np.hypot(CENTRES, HEIGHT)
    inside, seen = np.degrees(np.arcsin(sine / 1.5)), abs(sine) < 0.9
    widths, misfits = np.arange(6.0, 16.0, 0.25), []
    for width in widths:
        terms = np.stack([sine**0, sine**2, sine**4, np.exp(-((inside / width) ** 2) / 2)], axis=1)[seen]
        misfits.append(np.linalg.lstsq(terms, row[seen], rcond=None)[1][0])
    assert widths[np.argmin(misfits)] == pytest.approx(10.0, abs=0.5)


@pytest.fixture(scope="module")
def traced_wood():
    """The wood that the path tracer is given (tests/published/reference), white, under a coat that lets everything
    through: its value without the cosine, times pi, for a way in, a way out, a grain and a piece."""
    mi = pytest.importorskip("mitsuba", reason="mitsuba is in the extra `reference`")
    sys.path.insert(0, str(Path(__file__).parents[1] / "published" / "reference"))
    from traced_rooms import wood_constants
    from wood_reflection import MATERIALS, register_wood

    mi.set_variant("scalar_rgb")
    register_wood(mi)
    white, level = np.full((8, 8, 4), 255, np.uint8), np.full((8, 8, 3), LEVEL_FIBRE, np.uint8)
    white[..., 3] = 0
    MATERIALS["white"] = {
        "page": white, "grain": level, "wood": wood_constants(), "alpha": 0.2, "ior": 1.5,
        "passes": np.array([1.0, 0, 0, 0]), "mean_passed": 1.0,
    }  # fmt: skip
    surface = mi.load_dict({"type": "wood", "material": "white"})

    def value(way_in, way_out, grain, piece):
        own = (piece * 2654435761 % 2**32 + 1) / 2**32
        mesh = mi.Mesh("floor", 3, 1, has_vertex_texcoords=True)
        mesh.add_attribute("vertex_tint", 3, [1.0] * 9)
        mesh.add_attribute("vertex_grain", 3, [*grain, own] * 3)
        values = mi.traverse(mesh)
        values["vertex_positions"], values["faces"] = [0, 0, 0, 1, 0, 0, 0, 1, 0], [0, 1, 2]
        values["vertex_texcoords"] = [0, 0, 1, 0, 0, 1]
        values.update()
        si = mi.load_dict({"type": "scene", "floor": mesh}).ray_intersect(mi.Ray3f([0.3, 0.3, 1], [0, 0, -1]))
        si.wi = si.to_local(mi.Vector3f(*map(float, way_in)))
        _, wood = surface._parts(si, si.to_local(mi.Vector3f(*map(float, way_out))), True)
        return float(np.array(wood)[1]) * np.pi / float(way_out[2])

    return value


@pytest.mark.slow
@pytest.mark.parametrize("piece", [UPRIGHT, LEANING, LEANING_BACK])
@pytest.mark.parametrize("grain", [(1.0, 0.0), (0.6, 0.8)])
def test_path_tracer_is_given_the_same_lobe(traced_wood, grain, piece):
    middle = PIXELS // 2
    for elevation, bearing in ((60, 0), (35, 30), (20, 90), (50, 200)):
        towards = way(elevation, bearing)
        drawn_as = reflectance(towards, grain=grain, piece=piece)
        for row, column in ((0, 11), (-8, -22), (22, 4), (4, 30), (-40, 12)):
            eye = seen_from(middle + row, middle + column)
            traced = traced_wood(towards, eye, grain, piece)
            assert drawn_as[middle + row, middle + column] == pytest.approx(traced, rel=0.02), (elevation, bearing, eye)
