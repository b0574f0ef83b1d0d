"""The feature strip in pictures: its own wood where its pieces lie, and its own coat over it."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from synthetic_room import room

from preview.floor.layout import Role
from preview.picture.draw import open_engine
from preview.picture.view.camera import Camera
from preview.scene.read import read_scene
from preview.session import draw_floors
from preview.steps import lay_jobs

SCENE = """
title = "Closet"
units = "mm"
[room]
corners = [[0, 0], [1800, 0], [1800, 1500], [0, 1500]]
height = 2400
baseboard = 10
[floor]
board_width = 70
[border]
width = 70
strip = { width = 40, species = "walnut" }
[wood]
species = "ash"
[[viewpoints]]
name = "plan"
kind = "plan"
"""


@pytest.fixture(scope="module")
def drawn():
    (picture,) = draw_floors(lay_jobs(read_scene(SCENE, "closet.toml")), ["plan"], (900, 700))
    return picture


def brightness(drawn, role):
    """Return the mean linear light of each piece of a role as its pixels show it, 4 mm clear of its edges."""
    pieces, picture = drawn.floor.layout.pieces, drawn.picture
    rows, columns = np.mgrid[0 : picture.hdr.shape[0], 0 : picture.hdr.shape[1]]
    found = []
    for polygon in pieces.polygons[pieces.role == role]:
        inner = shapely.buffer(polygon, -0.004, join_style="mitre")
        ring = shapely.get_coordinates(inner)
        pixels = picture.camera.project(np.column_stack([ring, np.zeros(len(ring))]))
        inside = shapely.contains_xy(shapely.Polygon(pixels), columns + 0.5, rows + 0.5)
        if inside.sum() > 20:
            found.append(picture.hdr[inside].mean())
    return np.array(found)


def test_every_piece_of_it_is_of_its_own_wood(drawn):
    """Walnut sends back less than a third of what ash does (linear means of their files); all four sides show it."""
    strip, border, field = (brightness(drawn, role) for role in (Role.STRIP, Role.BORDER, Role.BOARD))
    assert len(strip) == 4 and len(border) == 4 and len(field) > 20
    assert strip.max() < 0.6 * min(border.min(), field.min())
    assert border.mean() == pytest.approx(field.mean(), rel=0.15)


def test_its_coat_is_its_own():
    """A floor that is all feature strip looks as one that is all field under the strip's finish, within a bit or two of
    half floats: what each coat mirrors lies elsewhere in one texture."""
    model, boards, lighting = room()
    view = Camera(
        "test", np.array([2.35, 0.3, 1.2]), np.array([2.35, 3, 0]), np.array([0.0, 0, 1]), np.radians(50), 0, (240, 150)
    )
    sheen = replace(boards.finish, roughness=0.06)

    def picture(boards, coat):
        floor = tuple(replace(each, coat=np.full_like(each.coat, coat)) for each in model.floor)
        with open_engine(replace(model, floor=floor), boards, lighting) as engine:
            return engine.draw(view, 0.004).hdr

    as_strip = picture(replace(boards, strip_finish=sheen), 2)
    as_field = picture(replace(boards, finish=sheen), 0)
    assert as_strip == pytest.approx(as_field, rel=2e-3)
    plain = picture(boards, 2)
    assert as_strip != pytest.approx(plain, rel=2e-3)
    assert np.array_equal(plain, picture(boards, 1))  # without a finish of its own: the border's
