"""The room shell: closed-form areas, faces that look into the room, panes, and rooms of awkward shapes."""

import numpy as np
import pytest
import shapely
from model_values import INCH, boards, dining_room, grille, herringbone, layout, obstacle, opening, pieces, room

from preview.model.build import UNDER, build_model
from preview.model.opening_parts import SASH
from preview.model.paints import room_paints
from preview.model.room_beyond import next_room
from preview.model.surface import CELL
from preview.model.walls import LIP

X, Y, HEIGHT = 186 * INCH, 148 * INCH, 2.59
BAY = [(0, 0), (5.2, 0), (5.2, 2.6), (3.0, 2.6), (3.0, 5.0), (2.3, 5.6), (0.7, 5.6), (0, 5.0)]


def laid_in(plan, slots=()):
    polygons, grain = herringbone(plan.floor)
    return layout(pieces(polygons, 0, grain), slots=slots)


def model_of(plan, slots=()):
    floor = laid_in(plan, slots)
    return build_model(plan, floor, boards(floor))


def kitchen():
    """An L with a bay, an open door, garden doors, an island, a tall cabinet and a post."""
    openings = [
        opening(BAY, 5, 0.25, 1.1, 1.3, kind="window", sill=0.8, name="bay"),
        opening(BAY, 4, 0.15, 0.6, 1.3, kind="window", sill=0.8, name="bay right"),
        opening(BAY, 0, 1.0, 0.9, 2.05, kind="door", beyond=2.5, name="door"),
        opening(BAY, 2, 0.6, 1.0, 2.05, beyond=3.0, name="arch"),
        opening(BAY, 0, 3.0, 1.4, 2.1, kind="window", name="garden doors"),
    ]
    things = [
        obstacle("island", "island", [(1.0, 1.9), (1.9, 1.9), (1.9, 3.7), (1.0, 3.7)], 0.915),
        obstacle("cabinet", "cabinet", [(4.6, 0), (5.2, 0), (5.2, 2.6), (4.6, 2.6)], 2.2),
        obstacle("post", "column", [(2.6, 2.2), (2.8, 2.2), (2.8, 2.4), (2.6, 2.4)], 0.0, baseboard=0.016),
    ]
    return room(BAY, height=2.5, baseboard=0.016, openings=openings, obstacles=things)


ROOMS = {
    "dining room": dining_room(),
    "the same, walked the other way": room(
        dining_room().corners[::-1], openings=dining_room().openings, obstacles=dining_room().obstacles
    ),
    "kitchen": kitchen(),
    "bare, without baseboard": room([(0, 0), (4, 0), (4, 3), (0, 3)], baseboard=0.0),
    "triangle": room([(0, 0), (5, 0), (1.5, 4)]),
}


@pytest.fixture(scope="module")
def models():
    return {name: model_of(plan) for name, plan in ROOMS.items()}


def corners(part):
    return part.vertices[part.faces].astype(float)


def areas(part):
    return np.linalg.norm(np.cross(*np.moveaxis(np.diff(corners(part), axis=1), 1, 0)), axis=1) / 2


def named(model, start):
    return [each for each in model.parts if each.name.startswith(start)]


def test_walls_are_perimeter_times_height_less_openings(models):
    """Height counts what runs on under the floor and over the ceiling; the firebox opening is not in the count."""
    plan = dining_room(hearth=False)
    whole = sum(areas(each).sum() for each in named(model_of(plan), "wall "))
    under = 0.019 + UNDER
    holes = sum(np.linalg.norm(o.b - o.a) * (o.height + (under if o.passable else 0)) for o in plan.openings)
    assert whole == pytest.approx(2 * (X + Y) * (HEIGHT + under + LIP) - holes, rel=1e-6)


@pytest.mark.parametrize("name", ROOMS)
def test_ceiling_is_the_outline_less_what_reaches_it(models, name):
    plan = ROOMS[name]
    (ceiling,) = (each for each in models[name].parts if each.name == "ceiling")
    reaching = shapely.union_all([each.polygon for each in plan.obstacles if each.kind == "column"])
    assert areas(ceiling).sum() == pytest.approx(plan.outline.difference(reaching).area, rel=1e-6)
    assert (ceiling.normals == [0, 0, -1]).all()


@pytest.mark.parametrize("name", ROOMS)
def test_parts_are_sound(models, name):
    """Own names, unit normals that agree with the faces, nothing undefined, no face without size."""
    parts = models[name].parts
    assert len({each.name for each in parts}) == len(parts)
    for each in parts:
        assert len(each.faces), each.name
        assert np.isfinite(each.vertices).all()
        assert np.linalg.norm(each.normals, axis=1) == pytest.approx(1, abs=1e-4)
        cross = np.cross(*np.moveaxis(np.diff(corners(each), axis=1), 1, 0))
        size = np.linalg.norm(cross, axis=1)
        big = size > 1e-5  # thinner ones are beyond what 32-bit corners can tell
        agree = (cross / np.maximum(size, 1e-12)[:, None] * each.normals[each.faces[:, 0]]).sum(1)
        assert agree[big].min() > 0.99, each.name
        assert all(0 < channel < 1 for channel in each.albedo)


@pytest.mark.parametrize("name", ROOMS)
def test_faces_are_small_enough_for_light(models, name):
    """No edge longer than the diagonal of a cell, a little more at the skewed cells of a mitre."""
    for each in models[name].parts:
        if each.surface in ("wall", "ceiling", "trim", "stone", "cabinet"):
            edges = np.linalg.norm(corners(each) - np.roll(corners(each), 1, axis=1), axis=2)
            assert edges.max() <= CELL * 1.6, each.name


@pytest.mark.parametrize("name", ROOMS)
def test_walls_look_into_the_room(models, name):
    """A step from each wall face along its normal is inside the outline, a step back outside."""
    for each in named(models[name], "wall "):
        middle, normal = corners(each).mean(axis=1)[:, :2], each.normals[each.faces[:, 0], :2]
        assert shapely.contains_xy(ROOMS[name].outline, middle + 0.01 * normal).all()
        assert not shapely.contains_xy(ROOMS[name].outline, middle - 0.01 * normal).any()


@pytest.mark.parametrize("name", ROOMS)
def test_baseboards_face_the_room_and_leave_the_doorways_free(models, name):
    plan = ROOMS[name]
    boards_found = [each for each in models[name].parts if each.name == "baseboard"]
    assert len(boards_found) == (plan.baseboard > 0)
    for each in boards_found:
        face = np.abs(each.normals[each.faces[:, 0], 2]) < 0.01
        middle, normal = corners(each).mean(axis=1)[face, :2], each.normals[each.faces[face, 0], :2]
        assert shapely.contains_xy(plan.outline.buffer(-0.001), middle + 0.05 * normal).mean() > 0.95
        for gap in (o for o in plan.openings if o.passable):
            doorway = shapely.LineString([gap.a, gap.b]).buffer(0.05)
            assert not shapely.contains_xy(doorway, each.vertices[:, :2]).any()


def test_baseboard_closes_where_nothing_breaks_it():
    """Round a plain room its front face has the length of the outline moved in by its thickness."""
    plan = room([(0, 0), (4, 0), (4, 3), (0, 3)], baseboard=0.02)
    (board,) = named(model_of(plan), "baseboard")
    front = np.abs(
        shapely.distance(shapely.box(0.02, 0.02, 3.98, 2.98).exterior, shapely.points(board.vertices[:, :2]))
    )
    on_front = (front < 1e-5)[board.faces].all(axis=1)
    high = board.vertices[board.faces[on_front], 2].max() + 0.004
    assert areas(board)[on_front].sum() == pytest.approx(2 * (3.96 + 2.96) * high, rel=1e-4)


def test_panes(models):
    """Windows within their sashes, doorways whole; anticlockwise from the room; a closed door is none."""
    model, plan = models["dining room"], ROOMS["dining room"]
    panes = {each.name: each for each in model.panes}
    assert set(panes) == {"hall archway", "north window", "south window"}
    for name, each in panes.items():
        hole = plan.opening(name)
        a, b, c = each.corners[:3]
        normal = np.cross(b - a, c - b)
        assert normal / np.linalg.norm(normal) == pytest.approx(each.inward)
        assert each.inward[:2] == pytest.approx(hole.inward)
        assert each.glazed is (hole.kind == "window")
        margin = SASH if each.glazed else 0.0
        width = np.linalg.norm(hole.b - hole.a) - 2 * margin
        assert np.linalg.norm(normal) == pytest.approx(width * (hole.height - 2 * margin))
        assert each.corners[:, 2].min() == pytest.approx(hole.sill + margin)


def test_a_door_is_open_where_the_scene_shows_what_lies_beyond(models):
    assert named(models["dining room"], "kitchen door leaf")
    assert not named(models["kitchen"], "door leaf")
    assert named(models["kitchen"], "ceiling beyond door")


def test_next_rooms_keep_out_of_the_measured_one():
    """The archway of the L's inner wall lies beside the room's other arm."""
    plan = kitchen()
    shown = {each.name: next_room(each, plan) for each in plan.openings}
    assert {name for name, each in shown.items() if each is not None} == {"door", "arch"}
    for each in shown.values():
        assert each is None or each.intersection(plan.outline).area < 1e-9
    width = 0.9 + 2 * 0.6
    assert shown["door"].area == pytest.approx(width * 2.5)


def test_a_hearth_on_a_wall_gets_a_fireplace_where_there_is_room():
    plain = dining_room()
    assert {"hearth slips", "hearth firebox", "hearth mantel"} < {each.name for each in model_of(plain).parts}
    window = opening(plain.corners, 2, X / 2 - 0.5, 1.0, 1.2, kind="window", sill=0.9, name="over the hearth")
    assert not named(model_of(dining_room(extra=[window])), "hearth mantel")
    small = obstacle("stove", "hearth", [(1, 0), (1.5, 0), (1.5, 0.5), (1, 0.5)], 0.02)
    assert not named(model_of(room([(0, 0), (4, 0), (4, 3), (0, 3)], obstacles=[small])), "stove mantel")


def test_grille_has_a_dark_duct_and_no_subfloor_over_it():
    _, slots, vent = grille((2.0, 1.0))
    plan = room([(0, 0), (4, 0), (4, 3), (0, 3)], vents=[vent])
    model = model_of(plan, slots)
    (duct,) = named(model, "duct A")
    assert duct.vertices[:, 2].min() < -0.25
    assert duct.normals[:, 2].min() > -1e-6  # it is looked into
    (subfloor,) = named(model, "subfloor")
    hull = shapely.convex_hull(shapely.union_all(slots))
    middles = corners(subfloor).mean(axis=1)
    assert not shapely.contains_xy(hull, middles[:, :2]).any()


def test_bounds_and_floor_colour(models):
    model = models["dining room"]
    assert model.bounds == pytest.approx(np.array([[0, 0, 0], [X, Y, HEIGHT]]))
    assert model.floor_albedo == pytest.approx((0.36, 0.24, 0.14))


def test_paints_are_reflectances_marked_as_estimates():
    paints = room_paints()
    assert all(0 < channel < 1 for colour in vars(paints).values() for channel in colour)
    assert min(paints.ceiling) > max(paints.stone) > max(paints.soot)
