"""What the floor's coat mirrors: the room, blurred, Fresnel's share of it, and nothing that something stands before."""

from dataclasses import replace

import numpy as np
import pytest
from synthetic_room import DEPTH, WIDTH, part, room

from preview.fresnel import fresnel
from preview.light.coat import coat_of
from preview.light.geometry.ray_tracing import Tracer
from preview.light.result.lighting import FloorLight
from preview.light.sources.glass import DOUBLE_GLAZING
from preview.light.sources.sky import overcast_sky
from preview.picture.draw import open_engine
from preview.picture.reflection.surface_radiance import surface_radiance
from preview.picture.view.camera import Camera

UP = np.array([0.0, 0, 1])
VIEW = Camera("test", np.array([2.35, 0.3, 1.2]), np.array([2.35, 3.0, 0.0]), UP, np.radians(50), 0.0, (480, 300))


def further(*cases):
    """Cases between those of the quick run, for the slow one."""
    return (pytest.param(*each, marks=pytest.mark.slow) for each in cases)


def black_floor(boards, alpha, ior=1.5):
    """A floor that sends nothing but what its coat mirrors."""
    coat = replace(boards.finish, roughness=alpha, ior=ior)
    return replace(boards, pages=(np.zeros((8, 8, 3), np.uint8),), finish=coat, border_finish=coat)


def seen(model, boards, lighting, view=VIEW, fibre=True):
    with open_engine(model, boards, lighting, fibre=fibre) as engine:
        return engine.draw(view, 0.01)


def closed_room(radiance=100.0):
    """A room that sends `radiance` from everywhere but the floor: white walls without sheen under even light."""
    model, boards, lighting = room()
    front = part(
        "front", "wall", [(0, DEPTH, 0), (WIDTH, DEPTH, 0), (WIDTH, DEPTH, 2.6), (0, DEPTH, 2.6)], (0, -1, 0), (1,) * 3
    )
    parts = tuple(replace(each, albedo=(1.0, 1.0, 1.0)) for each in (*model.parts[:4], front))
    light = {each.name: np.full_like(each.vertices, np.pi * radiance) for each in parts}
    model = replace(model, parts=parts, panes=())
    return model, boards, replace(lighting, parts=light, emitters=())


def floor_point(picture, point):
    x, y = picture.camera.project(np.array([[*point, 0.0]]))[0].astype(int)
    return picture.hdr[y - 2 : y + 3, x - 2 : x + 3].reshape(-1, 3).mean(axis=0)


@pytest.mark.parametrize(("angle", "share"), [(20, 0.04027), (60, 0.08919), (75, 0.25306)])
def test_an_even_room_is_mirrored_by_fresnels_share(angle, share):
    """A smooth coat of n = 1.5: Fresnel's equations worked out, as in tests/published."""
    distance = 1.2 * np.tan(np.radians(angle))
    view = replace(VIEW, position=np.array([2.35, 0.1, 1.2]), target=np.array([2.35, 0.1 + distance, 0.0]))
    if distance > DEPTH - 0.3:
        view = replace(view, position=np.array([2.35, 0.1, 0.6]), target=np.array([2.35, 0.1 + distance / 2, 0.0]))
    model, boards, lighting = closed_room()
    picture = seen(model, black_floor(boards, 0.02), lighting, view)
    assert floor_point(picture, view.target[:2])[1] / 100 == pytest.approx(share, rel=0.02)


def test_a_smooth_coat_mirrors_a_stripe_where_a_mirror_shows_it():
    """A bright stripe on the far wall stands below the floor as high as it stands above: found on the floor by the
    pinhole formula within 2 pixels of the coarser drawing."""
    model, boards, lighting = closed_room(0.0)
    stripe = part(
        "stripe",
        "wall",
        [(0, DEPTH - 0.02, 1.0), (WIDTH, DEPTH - 0.02, 1.0), (WIDTH, DEPTH - 0.02, 1.2), (0, DEPTH - 0.02, 1.2)],
        (0, -1, 0),
        (1,) * 3,
    )
    light = {**lighting.parts, "stripe": np.full_like(stripe.vertices, 1000.0)}
    picture = seen(
        replace(model, parts=(*model.parts, stripe)), black_floor(boards, 0.005), replace(lighting, parts=light)
    )
    x, y = VIEW.project(np.array([[2.35, DEPTH - 0.02, -1.1]]))[0]
    column = picture.hdr[:, round(x), 1].copy()
    column[picture.depth[:, round(x)] == 0] = 0
    floor_from = VIEW.project(np.array([[2.35, DEPTH, 0.0]]))[0][1]
    column[: int(floor_from) + 2] = 0
    rows = np.arange(len(column))
    assert (column * rows).sum() / column.sum() == pytest.approx(y, abs=2 * 4)


def one_white_board(mesh):
    corners = np.float32([[0, 0, 0], [WIDTH, 0, 0], [WIDTH, DEPTH, 0], [0, DEPTH, 0]])
    return replace(
        mesh, vertices=corners, normals=np.float32([UP] * 4), uv=np.zeros((4, 2), np.float32),
        tint=np.ones((4, 3), np.float32), grain=np.float32([[1, 0]] * 4), piece=np.zeros(4, np.int32),
        coat=np.zeros(4, np.float32), faces=np.int32([[0, 1, 2], [0, 2, 3]]),
    )  # fmt: skip


@pytest.mark.parametrize(("alpha", "lost"), [(0.02, 0.01), (0.25, 0.08), *further((0.05, 0.02), (0.4, 0.12))])
def test_a_white_floor_in_a_white_furnace(alpha, lost):
    """Where everything sends the same radiance, white wood and its coat together send that too, less what facets
    scatter twice, which the picture leaves out: next to nothing of a smooth coat, and never more than there is. What
    the shaders draw, by 256 facets a block of pixels, is what the coat of the bake says, by 4096."""
    model, boards, lighting = closed_room()
    coat = coat_of(alpha)
    finish = replace(boards.finish, roughness=alpha)
    white = replace(boards, pages=(np.full((8, 8, 3), 255, np.uint8),), finish=finish, border_finish=finish)
    even = np.full((1, 1, 3), np.pi * 100.0, np.float32)
    entering = even * np.float32(coat.mean_passed)
    light = FloorLight((-1.0, -1.0), 8.0, even, entering, np.zeros((1, 1, 3), np.float32))
    model = replace(model, floor=(one_white_board(model.floor[0]),), floor_albedo=(1.0, 1.0, 1.0))
    with open_engine(model, white, replace(lighting, floor=light)) as engine:
        hdr = engine.draw(VIEW, 0.01).hdr[..., 1]
    for y in (2.2, 2.6, 3.5):
        x, row = VIEW.project(np.array([[2.35, y, 0.0]]))[0].astype(int)
        drawn = hdr[row - 1 : row + 2, x - 40 : x + 40].mean() / 100
        cosine = VIEW.position[2] / np.hypot(VIEW.position[2], y - VIEW.position[1])
        assert drawn == pytest.approx(coat.mirrors(cosine) + coat.passes(cosine), rel=0.01)
        assert 1 - lost < drawn < 1.005


def test_what_stands_before_a_window_blocks_its_reflection():
    """A dark column between the floor and the left window: its reflection goes, the right one's stays."""
    model, boards, lighting = room()
    bare = black_floor(boards, 0.1)
    spots = [VIEW.project(np.array([[x, DEPTH, -1.5]]))[0].astype(int) for x in (1.4, 3.3)]
    board = part(
        "board", "wall", [(0.8, 3.6, 0), (2.0, 3.6, 0), (2.0, 3.6, 2.6), (0.8, 3.6, 2.6)], (0, -1, 0), (0.01,) * 3
    )
    dark = {**lighting.parts, "board": np.zeros_like(board.vertices)}
    open_, blocked = (
        seen(replace(model, parts=parts), bare, replace(lighting, parts=dark))
        for parts in (model.parts, (*model.parts, board))
    )
    before, after = ([each.hdr[y, x, 1] for x, y in spots] for each in (open_, blocked))
    assert after[0] < 0.1 * before[0]
    assert after[1] > 0.8 * before[1]


@pytest.mark.parametrize(("alpha", "within"), [(0.05, 0.12), (0.25, 0.06), *further((0.1, 0.06))])
def test_what_is_mirrored_is_what_rays_find(alpha, within):
    """Ten thousand rays from facets as likely as the eye sees them (E. Heitz, "Sampling the GGX distribution of visible
    normals", JCGT 7(4), 2018), traced by Embree to what shines there, before a window and beside it: in windows the sky
    that is outside, as much of it as their glass lets through where the ray meets it."""
    model, boards, lighting = room()
    picture = seen(model, black_floor(boards, alpha), lighting, fibre=False)
    surfaces = surface_radiance(model, lighting)
    for x, z in ((1.4, -1.5), (2.35, -1.5), (3.3, -0.6), (2.8, -1.2)):
        column, row = VIEW.project(np.array([[x, DEPTH, z]]))[0].astype(int)
        drawn = picture.hdr[row - 2 : row + 3, column - 2 : column + 3, 1].mean()
        assert drawn == pytest.approx(traced(surfaces, column, row, alpha), rel=within)


def traced(surfaces, column, row, alpha, count=10_000):
    """The radiance of the coat at a pixel, green, in cd/m2 for photometric RGB."""
    focal = VIEW.size[0] / (2 * np.tan(VIEW.fov / 2))
    way = np.array([(column + 0.5 - VIEW.size[0] / 2) / focal, (VIEW.size[1] / 2 - row - 0.5) / focal, -1]) @ VIEW.axes
    eye = -way / np.linalg.norm(way)
    place = VIEW.position + eye * VIEW.position[2] / -eye[2]
    first, second = np.moveaxis(np.random.default_rng(3).random((count, 2)), 1, 0)
    stretched = eye * [alpha, alpha, 1]
    stretched /= np.linalg.norm(stretched)
    across = np.cross([0, 0, 1], stretched)
    across /= np.linalg.norm(across)
    up = np.cross(stretched, across)
    x, y = np.sqrt(first) * np.cos(2 * np.pi * second), np.sqrt(first) * np.sin(2 * np.pi * second)
    lean = (1 + stretched[2]) / 2
    y = (1 - lean) * np.sqrt(1 - x**2) + lean * y
    rest = np.sqrt(np.maximum(1 - x**2 - y**2, 0))
    facet = (x[:, None] * across + y[:, None] * up + rest[:, None] * stretched) * [alpha, alpha, 1]
    facet /= np.linalg.norm(facet, axis=1, keepdims=True)
    cosine = facet @ eye
    ray = 2 * cosine[:, None] * facet - eye
    masked = [np.sqrt(alpha**2 + (1 - alpha**2) * each**2) for each in (eye[2], ray[:, 2])]
    seen_of_eye = 2 * eye[2] / (eye[2] + masked[0])
    weight = fresnel(cosine, 1.5) * 2 * ray[:, 2] * eye[2] / (ray[:, 2] * masked[0] + eye[2] * masked[1]) / seen_of_eye
    up_there = ray[:, 2] > 0
    origins = np.tile(place + 1e-3 * UP, (count, 1))
    tracer = Tracer(surfaces.corners)
    hits = tracer.first(origins, ray)
    found = (hits.triangle >= 0) & up_there
    radiance = np.zeros(count)
    numbers = np.flatnonzero(found)
    radiance[found] = surfaces.radiance(hits, numbers, lambda these: (origins[these], ray[these]), tracer)[:, 1]
    panes = found & (hits.triangle >= surfaces.first_pane)
    sky = overcast_sky().radiance(ray[panes])[:, 1]
    radiance[panes] = sky * DOUBLE_GLAZING.transmittance(ray[panes, 1])  # the windows are in the north wall
    return (weight * radiance)[up_there].sum() / count


def test_roughness_spreads_a_reflection_without_adding_to_it():
    model, boards, lighting = room()
    smooth, rough = (seen(model, black_floor(boards, alpha), lighting) for alpha in (0.05, 0.3))
    floor = rough.depth > 0
    smooth, rough = smooth.hdr[..., 1], rough.hdr[..., 1]
    floor[: int(VIEW.project(np.array([[2.35, DEPTH, 0.0]]))[0][1]) + 3] = False
    assert rough[floor].max() < smooth[floor].max()
    assert rough[floor].mean() < 1.25 * smooth[floor].mean()
