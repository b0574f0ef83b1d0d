"""A room's faces straight on, on one sheet: where they lie there, what they show, and what the sun adds."""

from dataclasses import replace

import numpy as np
import pytest
from synthetic_room import DEPTH, HEIGHT, WIDTH, part, room

from preview.colour import LUMINANCE
from preview.light.result.lighting import SunBeam, SunLight
from preview.picture.reflection.reflection_atlas import BLOCK, build_reflection_atlas

UNSEEN = np.array([1.0, 2.0, 3.0])


def page_of(found, number):
    """The part of the sheet of an upright, or of the ceiling, number -1."""
    pages = np.vstack([found.uniforms["proxy_page"], found.uniforms["ceiling_page"]])
    height, width = found.image.shape[:2]
    x, y, across, up = np.rint(pages[number] * [width, height, width, height]).astype(int)
    return found.image[y : y + up, x : x + across]


def far_wall(found):
    starts, runs = found.uniforms["proxy_start"], found.uniforms["proxy_run"]
    whole = (np.abs(starts[:, 1] - DEPTH) < 1e-3) & (np.abs(runs[:, 1]) < 1e-3)
    assert whole.sum() == 1, "its pieces touch in plan: they are one face"
    return int(np.flatnonzero(whole)[0])


def right_wall(found):
    """The green of the wall x = WIDTH."""
    starts, runs = found.uniforms["proxy_start"], found.uniforms["proxy_run"]
    own = (np.abs(starts[:, 0] - WIDTH) < 1e-3) & (runs[:, 1] > 1)
    return page_of(found, int(np.flatnonzero(own)[0]))[..., 1]


@pytest.fixture(scope="module")
def found():
    model, _, lighting = room()
    return build_reflection_atlas(model, lighting, UNSEEN)


def test_faces_lie_side_by_side_on_whole_blocks(found):
    """No two overlap, and all begin and end where the coarsest mipmap's pixels do."""
    height, width = found.image.shape[:2]
    pages = np.vstack([found.uniforms["proxy_page"], found.uniforms["ceiling_page"]])
    boxes = pages * [width, height, width, height]
    assert boxes / BLOCK == pytest.approx(np.rint(boxes / BLOCK))
    taken = np.zeros((height // BLOCK, width // BLOCK), int)
    for x, y, across, up in np.rint(boxes / BLOCK).astype(int):
        taken[y : y + up, x : x + across] += 1
    assert taken.max() == 1


def test_a_wall_shows_its_windows_where_they_are(found):
    """From its start at the right, which lies at x = WIDTH as seen from the room: 2.8 to 3.8 m, 0.9 to 2.2 m high."""
    number = far_wall(found)
    page, run = page_of(found, number), found.uniforms["proxy_run"][number]
    x = found.uniforms["proxy_start"][number, 0] + (np.arange(page.shape[1]) + 0.5) / page.shape[1] * run[0]
    z = (np.arange(page.shape[0]) + 0.5) / page.shape[0] * HEIGHT
    inside = ((x > 0.9) & (x < 1.9) | (x > 2.8) & (x < 3.8))[None] & ((z > 0.9) & (z < 2.2))[:, None]
    assert np.array_equal(page[..., 0] > 1000, inside)
    assert page[inside][:, :3] == pytest.approx(np.tile([1500, 1600, 1750], (inside.sum(), 1)))
    assert found.uniforms["proxy_start"][number, 3] == pytest.approx(np.array([1500, 1600, 1750]) @ LUMINANCE)


def test_painted_faces_have_the_radiance_of_matt_paint(found):
    """L = (albedo + 0.04 (1 - albedo)) E / pi at the middle of the ceiling, between its corners' light."""
    model, _, lighting = room()
    ceiling = model.parts[3]
    share = np.array(ceiling.albedo) * 0.96 + 0.04
    corners = share * lighting.parts["ceiling"] / np.pi
    page = page_of(found, -1)
    middle = page[page.shape[0] // 2, page.shape[1] // 2, :3]
    assert (middle > corners.min(axis=0) - 1e-3).all() and (middle < corners.max(axis=0) + 1e-3).all()
    assert page[..., 3] == pytest.approx(0, abs=1e-3)


def test_nothing_is_seen_through_a_hole_without_a_pane():
    model, _, lighting = room()
    found = build_reflection_atlas(replace(model, panes=()), replace(lighting, emitters=()), UNSEEN)
    page = page_of(found, far_wall(found))
    assert np.array_equal(page[page.shape[0] // 2, page.shape[1] // 4, :3], UNSEEN)


def test_a_room_of_nothing_has_an_empty_sheet():
    model, _, lighting = room()
    found = build_reflection_atlas(replace(model, parts=(), panes=()), lighting, UNSEEN)
    assert (found.image[..., :3] == UNSEEN).all() and found.uniforms["proxy_count"] == 0


def test_the_sun_shines_on_the_wall_that_its_beam_meets():
    """Through the left window on to the right wall: the pane's outline, slid along the ray; what stands right across
    the way takes all of it."""
    model, _, lighting = room()
    way = np.array([-0.8, 0.5, 0.0])  # towards the sun: level, so that the patch is as high as the window
    way /= np.linalg.norm(way)
    pane = model.panes[0]
    beam = SunBeam("left", pane.corners, np.float32([9000, 8500, 8000]), ())
    lit = replace(lighting, sun=SunLight(way, 0.0047, (beam,)))
    found = build_reflection_atlas(model, lit, UNSEEN)
    dark = build_reflection_atlas(model, lighting, UNSEEN)
    gain = right_wall(found) - right_wall(dark)
    y = (np.arange(gain.shape[1]) + 0.5) / gain.shape[1] * DEPTH
    z = (np.arange(gain.shape[0]) + 0.5) / gain.shape[0] * HEIGHT
    # From the wall x = WIDTH back along the ray to the plane of the panes, y = DEPTH.
    ends = [DEPTH - (WIDTH - x) * way[1] / -way[0] for x in (0.9, 1.9)]
    sure = (y > min(ends) + 0.05) & (y < max(ends) - 0.05)
    outside = (y < min(ends) - 0.05) | (y > max(ends) + 0.05)
    band = (z > 0.95) & (z < 2.15)
    assert (gain[np.ix_(band, sure)] > 10).all()
    assert np.abs(gain[:, outside]).max() < 1e-3 and np.abs(gain[z < 0.8]).max() < 1e-3
    screen = part(
        "screen", "wall", [(3.0, 0, 0), (3.0, DEPTH, 0), (3.0, DEPTH, 3), (3.0, 0, 3)], (-1, 0, 0), (0.5,) * 3
    )
    with_screen = replace(model, parts=(*model.parts, screen))
    light = {**lit.parts, "screen": np.full_like(screen.vertices, 90.0)}
    behind = build_reflection_atlas(with_screen, replace(lit, parts=light), UNSEEN)
    assert np.abs(right_wall(behind) - right_wall(dark)).max() < 1e-3
