"""Pictures drawn through OpenGL: where things land, how bright they are, and that they hold still."""

from dataclasses import replace

import numpy as np
import pytest
from colour.models import eotf_inverse_sRGB, eotf_sRGB
from shapely import box
from skimage.color import deltaE_ciede2000, rgb2lab
from synthetic_room import DEPTH, PASSED, WIDTH, room

from preview.colour import LUMINANCE
from preview.light.result.lighting import FloorLight, Lighting
from preview.light.sources.glass import DOUBLE_GLAZING
from preview.light.sources.sky import overcast_sky
from preview.model.model import FloorMesh, Part
from preview.picture import draw
from preview.picture.draw import open_engine
from preview.picture.exposure import exposure_for
from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import floor_share
from preview.room.room import Room

UP = np.array([0.0, 0, 1])
SIZE = (480, 300)


def camera(position, target, fov=60, size=SIZE):
    return Camera("test", np.array(position, float), np.array(target, float), UP, np.radians(fov), 0.0, size)


@pytest.fixture(scope="module")
def lit_room():
    return room()


@pytest.fixture(scope="module")
def engine(lit_room):
    with open_engine(*lit_room) as opened:
        yield opened


CAMERAS = [
    camera((2.3, 0.2, 1.6), (2.4, 3.0, 0.0)),
    camera((0.4, 0.5, 1.6), (3.6, 2.9, 0.4), 75),
    Camera("plan", np.array([2.35, 1.9, 1.2]), np.array([2.35, 1.9, 0.0]), np.array([0.0, 1, 0]), None, 6.0, SIZE),
]


@pytest.mark.parametrize("view", CAMERAS, ids=["along", "corner", "plan"])
def test_a_board_corner_lands_where_the_pinhole_formula_puts_it(lit_room, view):
    """One quarter of a floor is white, the rest black: the corner where the quarters meet is found to a fraction of a
    pixel from the white areas' edges near it. The pinhole formula is worked out here by itself."""
    corner = np.array([2.5, 2.2, 0.0])
    model, boards, lighting = marked(*lit_room, corner)
    with open_engine(model, boards, lighting) as opened:
        seen = opened.draw(view, 1e-3).hdr[..., 1]
    expected = pinhole(corner, view)
    found = meeting_point(seen / seen.max() > 0.5, expected)
    assert np.hypot(*(found - expected)) < 1.0
    assert view.project(corner[None])[0] == pytest.approx(expected, abs=1e-9)


def pinhole(point, view):
    """x = w/2 + f X/Z, y = h/2 - f Y/Z in the eye's own axes; parallel: metres times pixels a metre."""
    forward = (view.target - view.position) / np.linalg.norm(view.target - view.position)
    right = np.cross(forward, view.up) / np.linalg.norm(np.cross(forward, view.up))
    offset = point - view.position
    x, y, z = offset @ right, offset @ np.cross(right, forward), offset @ forward
    width, height = view.size
    scale = width / view.span if view.fov is None else width / 2 / np.tan(view.fov / 2) / z
    return np.array([width / 2 + scale * x, height / 2 - scale * y])


def marked(model, boards, lighting, corner):
    """A floor of four quarters that meet in `corner`, opposite ones white and black, under even light."""
    vertices, faces, tint = [], [], []
    x0, y0, _ = corner
    for n, (xa, xb, ya, yb) in enumerate(
        [(x0, WIDTH, y0, DEPTH), (0, x0, y0, DEPTH), (0, x0, 0, y0), (x0, WIDTH, 0, y0)]
    ):
        vertices += [(xa, ya, 0), (xb, ya, 0), (xb, yb, 0), (xa, yb, 0)]
        faces += [(4 * n, 4 * n + 1, 4 * n + 2), (4 * n, 4 * n + 2, 4 * n + 3)]
        tint += [[1.0 - n % 2] * 3] * 4
    n = len(vertices)
    mesh = FloorMesh(
        0, np.float32(vertices), np.float32([[0, 0, 1]] * n), np.zeros((n, 2), np.float32), np.float32([[1, 0]] * n),
        np.float32(tint), np.zeros(n, np.int32), np.zeros(n, np.float32), np.int32(faces),
    )  # fmt: skip
    lux = np.full((1, 1, 3), 300, np.float32)
    flat = FloorLight((0.0, 0.0), 5.0, lux, PASSED * lux, np.zeros((1, 1, 3), np.float32))
    page = (np.full((8, 8, 3), 255, np.uint8),)
    dark = {name: np.zeros_like(each) for name, each in lighting.parts.items()}
    return (
        replace(model, floor=(mesh,)),
        replace(boards, pages=page),
        replace(lighting, floor=flat, parts=dark, emitters=(), mean_floor_lux=300.0),
    )


def meeting_point(white, near):
    """Where the two edges between white and black cross, by the pixels within 24 of `near`: along both edges the
    white share of every row and column changes sides, so the point is the saddle of the pattern."""
    cx, cy = np.round(near).astype(int)
    best = (0.0, near)
    for dy in range(-4, 5):
        for dx in range(-4, 5):
            x, y = cx + dx, cy + dy
            box = white[y - 12 : y + 12, x - 12 : x + 12].astype(float) - 0.5
            symmetry = (box * box[::-1, ::-1]).sum()  # opposite quarters are alike, so the pattern maps on itself
            if symmetry > best[0] + 1e-9:
                best = (symmetry, np.array([x, y], float))
    return best[1]


@pytest.mark.parametrize(
    ("surface", "share"), [("wall", (0.712, 0.52, 0.328)), ("cabinet", (0.712, 0.52, 0.328)), ("duct", (0.7, 0.5, 0.3))]
)
def test_a_painted_wall_has_the_radiance_of_a_matt_surface(lit_room, surface, share):
    """L = (albedo + 0.04 (1 - albedo)) E / pi, but ducts, which lie in the dark, have no sheen; through compressed
    multisamples and half floats, to 1 %."""
    model, boards, lighting = lit_room
    patch = Part(
        "patch", surface, np.float32([[0, 3, 0], [WIDTH, 3, 0], [WIDTH, 3, 3], [0, 3, 3]]),
        np.float32([[0, -1, 0]] * 4), np.int32([[0, 1, 2], [0, 2, 3]]), (0.7, 0.5, 0.3),
    )  # fmt: skip
    light = {**lighting.parts, "patch": np.full((4, 3), [100, 400, 1600], np.float32)}
    with open_engine(replace(model, parts=(*model.parts, patch)), boards, replace(lighting, parts=light)) as opened:
        picture = opened.draw(camera((2, 0.5, 1.6), (2, 3, 1.6)), 0.004)
    middle = picture.hdr[140:160, 230:250].reshape(-1, 3).mean(axis=0)
    assert middle == pytest.approx(np.multiply(share, (100, 400, 1600)) / np.pi, rel=0.01)
    assert picture.depth[150, 240] == pytest.approx(2.5, abs=1e-3)


def test_the_floor_without_coat_or_direction_is_diffuse(lit_room):
    """Straight down, no windows and an index of 1: albedo E / pi."""
    model, boards, lighting = marked(*lit_room, np.array([2.0, 2.0, 0.0]))
    bare = replace(boards.finish, ior=1.0)
    with open_engine(model, replace(boards, finish=bare, border_finish=bare), lighting) as opened:
        hdr = opened.draw(CAMERAS[2], 0.005).hdr
    assert hdr.max() == pytest.approx(272 / np.pi, rel=0.01)  # of what enters


def test_tiles_put_together_equal_the_whole(lit_room, engine, monkeypatch):
    monkeypatch.setattr(draw, "COAT_PIXELS", 10_000)  # so few that what is mirrored is drawn alike for all
    view = replace(CAMERAS[0], size=(400, 250))
    whole = engine.draw(view, 0.004)
    with open_engine(*lit_room, tile=400 * 67) as opened:
        tiled = opened.draw(view, 0.004)
        opened._longest = 170
        squares = opened.draw(view, 0.004)
    for other in (tiled, squares):
        difference = np.abs(whole.rgb.astype(int) - other.rgb)
        assert difference.mean() < 0.03  # pixels are drawn in fours, and tiles begin at odd ones too
        assert (difference > 6).mean() < 1e-3
        assert np.abs(whole.depth - other.depth).mean() < 5e-3  # each keeps the depth of any one of a pixel's samples


def test_the_far_floor_does_not_shimmer_between_two_near_viewpoints(engine):
    """The eye moves by 1 mm. Pixels move by under a pixel, so the picture changes little: the far half of the floor
    by under 1/255 on the mean, and next to nowhere by much."""
    rgb = [
        engine.draw(camera((2.3 + dx, 0.2, 1.6), (2.4 + dx, 3.5, 0.6), 60, (800, 500)), 0.004).rgb.astype(int)
        for dx in (0.0, 0.001)
    ]
    far = slice(330, 420)
    difference = np.abs(rgb[0] - rgb[1])[far]
    assert difference.mean() < 1.0
    assert (difference > 24).mean() < 1e-3


def test_a_plan_leaves_the_ceiling_out_and_paper_round_the_room(engine):
    picture = engine.draw(replace(CAMERAS[2], span=9.0), 0.004)
    assert (picture.rgb[2, 2] == (250, 249, 247)).all()
    inside = picture.camera.project(np.array([[WIDTH / 2, DEPTH / 2, 0]]))[0].astype(int)
    assert picture.depth[inside[1], inside[0]] == pytest.approx(1.2, abs=2e-3)


def test_windows_keep_their_gradient_and_are_not_burnt_out(engine):
    picture = engine.draw(camera((2.35, 0.3, 1.5), (2.35, DEPTH, 1.5)), exposure_for_room())
    x, y = picture.camera.project(np.array([[1.4, DEPTH, 1.9], [1.4, DEPTH, 1.0]])).astype(int).T
    high, low = picture.rgb[y[0], x[0]].astype(int), picture.rgb[y[1], x[1]].astype(int)
    assert high.max() < 255
    assert high.min() > 180
    assert high.sum() > low.sum()


def test_a_window_shows_the_radiance_that_it_sheds(engine):
    """Along a ray through a pane: the radiance of sky or ground, times what the glass lets through of it."""
    picture = engine.draw(camera((2.35, 0.3, 1.5), (2.35, DEPTH, 1.5)), exposure_for_room())
    model, _, _ = room()
    sky = overcast_sky()
    for point in np.array([[1.4, DEPTH, 1.9], [1.2, DEPTH, 1.7], [1.4, DEPTH, 1.0]]):
        way = point - picture.camera.position
        way /= np.linalg.norm(way)
        passed = DOUBLE_GLAZING.transmittance(np.array([-way @ model.panes[0].inward]))
        x, y = picture.camera.project(point[None])[0].astype(int)
        assert picture.hdr[y, x] == pytest.approx(sky.radiance(way) * passed, rel=0.03)


def exposure_for_room():
    model, _, lighting = room()
    return exposure_for(lighting, "auto", model.floor_albedo)


def flat_light(colour, parts=None):
    """Light of one colour everywhere, on the floor and (where `parts` are named) on the room."""
    colour = np.asarray(colour, np.float32)
    every = colour[None, None]
    flat = FloorLight((-1.0, -1.0), 8.0, every, PASSED * every, np.zeros((1, 1, 3), np.float32))
    lux = float(colour @ LUMINANCE)
    return Lighting(flat, {name: np.tile(colour, (count, 1)) for name, count in (parts or {}).items()}, (), lux)


@pytest.mark.parametrize("rho", [0.05, 0.70, pytest.param(0.30, marks=pytest.mark.slow)])
def test_the_metered_floor_is_drawn_at_its_own_reflectance(lit_room, rho):
    """A grey floor in even light, looked down on in a room that is six tenths as bright as its light."""
    model, boards, _ = lit_room
    parts = tuple(replace(each, albedo=(0.583,) * 3) for each in model.parts)
    grey = np.full((8, 8, 3), np.rint(255 * eotf_inverse_sRGB(rho)), np.uint8)
    plain = replace(model.floor[0], tint=np.ones_like(model.floor[0].tint))
    model = replace(model, parts=parts, panes=(), floor=(plain,), floor_albedo=(rho,) * 3)
    lighting = flat_light((300, 300, 300), {part.name: len(part.vertices) for part in parts})
    exposure = exposure_for(lighting, "auto", model.floor_albedo)
    with open_engine(model, replace(boards, pages=(grey,)), lighting, fibre=False) as opened:
        rgb = opened.draw(camera((2.35, 1.2, 1.6), (2.35, 2.0, 0.0)), exposure).rgb[60:240, 120:360]
    drawn = np.median(eotf_sRGB(rgb / 255))
    assert drawn == pytest.approx(rho, rel=0.06)


def test_an_exposure_value_saturates_at_its_luminance():
    """ISO 12232's saturation-based speed (from memory): EV 8 is white at 1.2 x 2^8 = 307.2 cd/m2."""
    assert exposure_for(flat_light((300, 300, 300)), 8.0, (0.3, 0.3, 0.3)) * 307.2 == pytest.approx(1)


def test_grey_is_drawn_grey_whatever_the_colour_of_the_floors_light():
    light = np.array([420.0, 380.0, 350.0])
    exposure = exposure_for(flat_light(light), "auto", (0.4, 0.4, 0.4))
    assert exposure * light == pytest.approx(exposure[0] * light[0])


def test_wood_keeps_its_mean_colour(lit_room):
    """Under warm light that is the same everywhere, in a room as bright as a floor of its own, the field is drawn in
    the boards' mean colour, from above and by an eye in the room: CIEDE2000 under 3."""
    model, boards, _ = lit_room
    flat = flat_light((420, 380, 350), {part.name: len(part.vertices) for part in model.parts})
    albedo = field_albedo(model, boards)
    model = replace(model, floor_albedo=tuple(albedo), panes=())
    with open_engine(model, boards, flat) as opened:
        for view in (CAMERAS[2], CAMERAS[0]):
            rgb = opened.draw(view, exposure_for(flat, "auto", model.floor_albedo)).rgb
            floor = rgb[60:240, 150:330] if view.fov is None else rgb[200:290, 100:380]
            drawn = eotf_sRGB(floor / 255).reshape(-1, 3).mean(axis=0)
            lab = [rgb2lab(eotf_inverse_sRGB(each)[None, None])[0, 0] for each in (drawn, albedo)]
            assert deltaE_ciede2000(*lab) < 3, view.name


def field_albedo(model, boards):
    """Mean linear colour of the boards: the page's, times the mean tint of the faces by area (all are alike here)."""
    page = eotf_sRGB(boards.pages[0] / 255).reshape(-1, 3).mean(axis=0)
    return page * model.floor[0].tint.mean(axis=0)


def test_left_and_right_leaning_boards_read_differently(lit_room):
    """Two boards of one colour, turned by a quarter: the fibre highlight tells them apart, and swaps when they swap."""
    model, boards, lighting = lit_room
    plain = replace(boards, pages=(np.full((8, 8, 3), 150, np.uint8),))
    views = camera((2.35, 0.3, 1.6), (2.35, 2.6, 0.0))
    means = []
    for angle in (np.pi / 4, 3 * np.pi / 4):
        mesh = model.floor[0]
        grain = np.tile(np.float32([np.cos(angle), np.sin(angle)]), (len(mesh.vertices), 1))
        flat = replace(mesh, grain=grain, tint=np.ones_like(mesh.tint), piece=np.zeros_like(mesh.piece))
        with open_engine(replace(model, floor=(flat,)), plain, lighting) as opened:
            means.append(opened.draw(views, 0.004).hdr[150:290, 20:120, 1].mean())
    assert abs(means[0] - means[1]) > 0.02 * max(means)


def test_without_the_fibre_highlight_turned_boards_read_alike(lit_room):
    """The lobe can be switched off; what is left doesn't know which way the grain runs."""
    model, boards, lighting = lit_room
    means = []
    for angle in (np.pi / 4, 3 * np.pi / 4):
        grain = np.tile(np.float32([np.cos(angle), np.sin(angle)]), (len(model.floor[0].vertices), 1))
        turned = replace(model, floor=(replace(model.floor[0], grain=grain),))
        with open_engine(turned, boards, lighting, fibre=False) as opened:
            means.append(opened.draw(CAMERAS[0], 0.004).hdr[150:290, 20:120, 1].mean())
    assert means[0] == pytest.approx(means[1], rel=1e-5)


@pytest.mark.parametrize(("right", "down"), [(0, 60), (-80, 0), (48, 100)])
def test_a_shifted_picture_is_a_part_of_a_larger_one(engine, right, down):
    """A level camera shifted by whole pixels sees what lies there in a picture with the same pixels and no shift: by
    depth exactly, and as bright but for the coarser map of the coat's reflections."""
    small = camera((2.3, 0.4, 1.6), (2.4, 3.0, 1.6), 60, (320, 200))
    shifted = replace(small, shift=(right * small.pixel, -down * small.pixel))
    wide = replace(small, size=(640, 400), fov=2 * np.arctan(2 * np.tan(small.fov / 2)))
    part, whole = engine.draw(shifted, 0.004), engine.draw(wide, 0.004)
    rows, columns = slice(100 + down, 300 + down), slice(160 + right, 480 + right)
    np.testing.assert_allclose(part.depth, whole.depth[rows, columns], rtol=2e-3)
    apart = np.abs(part.rgb.astype(int) - whole.rgb[rows, columns].astype(int))
    assert apart.mean() < 1.5 and np.percentile(apart, 99) < 16


def test_an_upright_edge_is_upright_in_the_picture(lit_room):
    """A black post before a white wall, drawn by a level camera shifted down: each of its edges is found in every row,
    and a line through them leans by less than 0.1 degrees; by the same camera tipped it leans by many times that."""
    model, boards, lighting = lit_room
    post = Part(
        "post", "wall", np.float32([[1.3, 3, 0], [1.5, 3, 0], [1.5, 3, 2.5], [1.3, 3, 2.5]]),
        np.float32([[0, -1, 0]] * 4), np.int32([[0, 1, 2], [0, 2, 3]]), (0.0, 0.0, 0.0),
    )  # fmt: skip
    light = {**lighting.parts, "post": np.zeros((4, 3), np.float32)}
    level = camera((2.35, 0.4, 1.6), (2.35, 3.0, 1.6), 60, (640, 400))
    level = replace(level, shift=(0.0, -0.25))
    tipped = camera((2.35, 0.4, 1.6), (2.35, 3.0, 0.95), 60, (640, 400))
    with open_engine(replace(model, parts=(*model.parts, post)), boards, replace(lighting, parts=light)) as opened:
        leans = [lean_of_edges(opened.draw(view, 0.004), view) for view in (level, tipped)]
    assert leans[0] < 0.1 < 2 < leans[1]


def lean_of_edges(picture, view):
    """The larger lean in degrees of the post's two edges in a picture, to a fraction of a pixel by what is dark."""
    rows = np.arange(*np.sort(view.project(np.array([[1.4, 3, 1.5], [1.4, 3, 0.3]]))[:, 1].astype(int)))
    middle = view.project(np.column_stack([np.full(9, 1.4), np.full(9, 3.0), np.linspace(0, 2.4, 9)]))
    at = np.interp(rows, middle[::-1, 1], middle[::-1, 0]).astype(int)
    left, right = [], []
    for row, x in zip(rows, at, strict=True):
        seen = picture.hdr[row, :, 1]
        for edge, side in ((left, -1), (right, 1)):
            along = seen[x : x + side * 40 : side]  # from the post's middle on to the wall
            first = int(np.argmax(along > seen[x + side * 39] / 2))
            wall = along[first + 2]
            edge.append(x + side * (first + 1 - along[first - 1 : first + 2].sum() / wall + 1))
    return max(abs(np.degrees(np.arctan(np.polyfit(rows, edge, 1)[0]))) for edge in (left, right))


@pytest.mark.parametrize("shift", [0.0, -0.2, -0.35])
def test_floor_in_the_drawn_picture_is_what_floor_share_says(engine, lit_room, shift):
    """Each pixel's depth is carried back along its ray: what lies on the floor's plane inside the room is floor."""
    room = flat_room()
    view = replace(camera((1.2, 0.4, 1.5), (3.0, 3.5, 1.5), 65, (320, 200)), shift=(0.0, shift))
    depth = engine.draw(view, 0.004).depth
    x, y = np.meshgrid(np.arange(320) + 0.5, np.arange(200) + 0.5)
    places = view.position + depth.reshape(-1, 1) * view.rays(np.column_stack([x.ravel(), y.ravel()]))
    drawn = (np.abs(places[:, 2]) < 0.02) & (depth.ravel() > 0)
    assert floor_share(view, room) == pytest.approx(drawn.mean(), abs=0.02)


def flat_room():
    """The synthetic room as the plan has it."""
    outline = box(0, 0, WIDTH, DEPTH)
    return Room(
        title="", corners=np.asarray(outline.exterior.coords)[:-1], outline=outline, height=2.6, baseboard=0.0,
        wall_thickness=0.1, north=0.0, openings=(), obstacles=(), vents=(), floor=outline, inside_border=outline,
        field=outline, edge=0.0, strip_line=0.0, border_line=0.0, misclosure=None, warnings=(),
    )  # fmt: skip
