"""Border, feature strip, field and floor over generated rooms: an exact partition, whatever collides."""

import numpy as np
import shapely

from preview.floor.border import lay_border
from preview.floor.layout import Role
from preview.floor.thresholds import lay_thresholds
from preview.room.measured import build_room
from preview.room.offset import edges
from preview.room.outline import signed_area
from tests.strategies import checked, outlines, rooms

SAME_AREA = 1e-9  # square metres, the accuracy asked of the whole floor
NO_OVERLAP = 1e-12  # square metres, the accuracy asked of any two pieces


def largest_overlap(polygons):
    first, second = shapely.STRtree(polygons).query(polygons, predicate="intersects")
    once = first < second
    return shapely.area(shapely.intersection(polygons[first[once]], polygons[second[once]])).max(initial=0)


def check_partition(job):
    room = build_room(job)
    laid, _ = lay_border(room, job.border)
    if job.border.width == 0:
        assert len(laid) == 0 and room.field.equals(room.floor)
        return
    strip = laid.role == Role.STRIP
    assert strip.any() == (job.border.strip is not None)
    for pieces, outer, inner, width in (
        (laid.take(~strip), room.floor, room.inside_border, job.border.width),
        (laid.take(strip), room.inside_border, room.field, job.border.strip_width),
    ):
        assert abs(shapely.area(pieces.polygons).sum() - (outer.area - inner.area)) < SAME_AREA
        assert pieces.size[:, 0].max(initial=0) <= job.border.longest + 1e-9
        assert pieces.size[:, 1].max(initial=0) <= width + 1e-9
    assert shapely.is_valid(laid.polygons).all()
    assert (shapely.get_num_interior_rings(laid.polygons) == 0).all()
    whole = shapely.union_all([*laid.polygons, *shapely.get_parts(room.field)])
    assert shapely.symmetric_difference(whole, room.floor).area < SAME_AREA
    assert largest_overlap(np.array([*laid.polygons, *shapely.get_parts(room.field)])) < NO_OVERLAP


@checked(35, 150, rooms())
def test_border_is_an_exact_partition(job):
    check_partition(job)


@checked(35, 150, rooms(0.8, 2.4))
def test_border_is_an_exact_partition_in_closets(job):
    """Rooms a few borders wide, where runs collide nearly everywhere."""
    check_partition(job)


@checked(35, 150, rooms())
def test_field_keeps_its_distance(job):
    """No point of the field is nearer to the floor's edge than border and strip are wide."""
    room = build_room(job)
    assert shapely.distance(room.field, shapely.boundary(room.floor)) >= job.border.depth - 1e-9
    assert shapely.distance(room.inside_border, shapely.boundary(room.floor)) >= job.border.width - 1e-9
    assert shapely.difference(room.field, room.floor).area < NO_OVERLAP


@checked(35, 150, rooms())
def test_thresholds_overlap_neither_floor_nor_each_other(job):
    room = build_room(job)
    pieces = lay_thresholds(room).polygons
    assert len(pieces) <= sum(each.passable for each in room.openings)
    assert all(shapely.intersection(piece, room.floor).area < NO_OVERLAP for piece in pieces)
    assert len(pieces) == 0 or largest_overlap(pieces) < NO_OVERLAP


@checked(35, 150, outlines())
def test_edges_go_once_round(corners):
    """Turns add up to one turn, and the shoelace area is the polygon's."""
    shape = shapely.Polygon(corners)
    sides = edges(shape)
    assert np.isclose(2 * np.arctan(sides.slope).sum(), 2 * np.pi)
    assert np.isclose(abs(signed_area(np.array(corners))), shape.area)
