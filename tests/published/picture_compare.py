"""A path traced picture finished as ours is, and how far apart two pictures look.

FLIP: Andersson et al., "FLIP: A difference evaluator for alternating images", HPG 2020, by the package flip-evaluator,
at its own viewing distance (67 pixels a degree).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.ndimage import distance_transform_edt

from preview.picture import open_engine
from preview.picture.highlights import hold_highlights
from preview.picture.tone import to_bytes


def draw_room(room, size):
    """Return our pictures of a `LitRoom`'s viewpoints, without the fibre highlight, and what stands behind its
    windows in each, as exposed radiance (h, w, 3)."""
    cameras = room.cameras(size)
    with open_engine(room.model, room.boards, room.lighting, fibre=False) as engine:
        pictures = [engine.draw(camera, room.exposure) for camera in cameras]
    bare = replace(room.model, parts=(), floor=())
    with open_engine(bare, room.boards, room.lighting, fibre=False) as engine:
        outside = [engine.draw(camera, room.exposure) for camera in cameras]
    return pictures, [_backdrop(each, room.exposure) for each in outside]


def _backdrop(picture, exposure):
    """Return a picture of panes alone, exposed, spread over what lies beside them so that their edges don't matter."""
    inside = picture.depth > 0
    inside[1:-1, 1:-1] &= inside[:-2, 1:-1] & inside[2:, 1:-1] & inside[1:-1, :-2] & inside[1:-1, 2:]
    exposed = picture.hdr * np.asarray(exposure, np.float32)
    if not inside.any():
        return np.zeros_like(exposed)
    nearest = distance_transform_edt(~inside, return_distances=False, return_indices=True)
    return exposed[tuple(nearest)]


def finish(radiance, cover, exposure, backdrop):
    """Return traced radiance (h, w, 3) as the picture's bytes: our exposure, white balance and tone mapping, and our
    view through the windows, `cover` (h, w) being the share of each pixel that is room."""
    exposed = radiance * np.asarray(exposure, np.float32)
    return to_bytes(hold_highlights((exposed + (1 - cover)[..., None] * backdrop).astype(np.float32)))


def mean_flip(reference, test):
    """Return the mean FLIP of two pictures (h, w, 3) of bytes."""
    import flip_evaluator

    found = flip_evaluator.evaluate(*(each.astype(np.float32) / 255 for each in (reference, test)), "LDR")
    return float(found[1])
