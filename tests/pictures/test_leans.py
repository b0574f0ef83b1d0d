"""The two leans of a herringbone in what is drawn: a course must not read as one long timber."""

import numpy as np
import pytest
import shapely

import preview
from preview.colour import LUMINANCE
from preview.floor.layout import Role
from preview.light.bake import light_room
from preview.model.build import build_model
from preview.picture.draw import open_engine
from preview.picture.exposure import exposure_for
from preview.picture.view.footprint import floor_density
from preview.picture.view.viewpoints import camera_for
from preview.steps import lay_jobs
from preview.wood.boards import cut_boards

SIZE = (800, 500)
NEAR = 0.6  # metres within which boards are compared
SEEN = 40  # pixels of a board, or more, for its mean to count


def drawn(path):
    """A room's floor, and from its first viewpoint its picture with fibres and without."""
    job = preview.load(path)[0]
    floor = lay_jobs([job])[0]
    camera = camera_for(job.viewpoints[0], floor.room, SIZE)
    boards = cut_boards(floor.layout, job.wood, job.border_wood, None, floor_density([camera], floor.room))
    model = build_model(floor.room, floor.layout, boards)
    light = light_room(model, floor.room, job.light)
    exposure = exposure_for(light, "auto", model.floor_albedo, model.bounds)
    pictures = []
    for fibre in (True, False):
        with open_engine(model, boards, light, fibre=fibre) as engine:
            pictures.append(engine.draw(camera, exposure))
    return floor.layout.pieces, pictures


def seen_boards(pieces, picture):
    """The field boards that a picture shows well: their lightness L*, lean (0 or 1), middles and numbers."""
    camera = picture.camera
    height, width = picture.depth.shape
    rows, columns = np.mgrid[0:height, 0:width]
    ray = camera.rays(np.stack([columns.ravel() + 0.5, rows.ravel() + 0.5], axis=1))
    down = np.minimum(ray[:, 2], -1e-6)
    at = camera.position[:2] - (camera.position[2] / down)[:, None] * ray[:, :2]
    far = camera.ahead(np.column_stack([at, np.zeros(len(at))]))
    bare = np.flatnonzero((ray[:, 2] < -1e-6) & (abs(far - picture.depth.ravel()) < 0.01 + 0.002 * far))
    field = np.flatnonzero(pieces.role == Role.BOARD)
    found, board = shapely.STRtree(pieces.polygons[field]).query(shapely.points(at[bare]), predicate="within")
    light = picture.hdr.reshape(-1, 3)[bare[found]].astype(float) @ np.asarray(LUMINANCE)
    count = np.bincount(board, minlength=len(field))
    mean = np.bincount(board, light, len(field)) / np.maximum(count, 1)
    lean = (np.cos(2 * (pieces.grain[field] - pieces.grain[field[0]])) < 0).astype(int)
    return np.cbrt(mean), lean, shapely.get_coordinates(shapely.centroid(pieces.polygons[field])), count >= SEEN


@pytest.mark.slow
@pytest.mark.parametrize("path", ["scenes/dining-room.toml"])
def test_leans_differ_no_more_than_boards_do(path):
    """What fibres add to one lean and take from the other, against the spread of a lean's own boards around each, both
    in CIELAB lightness. What the light itself does is taken out: the same floor without fibres."""
    pieces, (with_fibres, without) = drawn(path)
    shiny, lean, middle, counts = seen_boards(pieces, with_fibres)
    matt, *_ = seen_boards(pieces, without)
    # The room's middle is taken for 0.4 of white, about as it is exposed.
    white = np.cbrt(float(np.median((without.hdr @ LUMINANCE)[without.depth > 0])) / 0.4)
    swings, spreads = [], []
    for one in np.flatnonzero(counts):
        near = counts & (np.hypot(*(middle - middle[one]).T) < NEAR)
        if min(np.bincount(lean[near], minlength=2)) < 4:
            continue
        added = 116 * (shiny - matt) / white
        swings.append(np.diff([added[near & (lean == each)].mean() for each in (0, 1)])[0])
        around = np.column_stack([np.ones(near.sum()), lean[near], middle[near] - middle[one]])
        level = 116 * shiny[near] / white
        rest = level - around @ np.linalg.lstsq(around, level, rcond=None)[0]
        spreads.append(rest.std() * (near.sum() / (near.sum() - 4)) ** 0.5)
    assert len(swings) > 50
    swing, spread = (float(np.sqrt(np.mean(np.square(each)))) for each in (swings, spreads))
    assert 0.4 * spread < swing < 1.1 * spread
