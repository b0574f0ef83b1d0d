"""A path traced picture finished as ours is, what of both is compared, and how far apart they look.

FLIP: Andersson et al., "FLIP: A difference evaluator for alternating images", HPG 2020, by the package flip-evaluator,
at its own viewing distance (67 pixels a degree).

What is seen through a window or an opening is compared in neither picture, nor where the floor mirrors an opening: the
tracer has no outside and no next room.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_dilation, uniform_filter
from traced_rooms import nearest

from preview.colour import linear_to_srgb
from preview.picture.highlights import hold_highlights
from preview.picture.tone import to_bytes, tone_map

BESIDE = 0.15  # metres round an opening within which its image in the floor is taken to be it; coats blur
FLAT = 0.01  # metres within which what is seen is the floor
SEEN = 0.999  # of a pixel, less of which the tracer has not seen
PART = 25  # pixels: the side of the parts of a picture of which the worst is told


@dataclass(frozen=True)
class Likeness:
    """One picture beside the traced one: their mean FLIP, that of its worst part (`PART` pixels wide, most of it
    compared), and its mean light over the traced one's by channel (3,)."""

    flip: float
    worst: float
    level: tuple[float, float, float]


def likeness(room, picture, radiance, cover):
    """Return how like a picture of a room is to the traced radiance (h, w, 3), of which `cover` (h, w) is no window."""
    told = compared(room, picture, nearest(picture.camera, room)) & ~binary_dilation(cover < SEEN)
    error = np.where(told, flip(finish(room, picture, radiance, told), picture.rgb), 0.0)
    share = uniform_filter(told.astype(float), PART)
    part = np.where(share > 0.5, uniform_filter(error, PART) / np.maximum(share, 0.5), 0.0)
    level = picture.hdr[told].mean(axis=0) / radiance[told].mean(axis=0)
    return Likeness(float(error[told].mean()), float(part.max()), tuple(map(float, level)))


def finish(room, picture, radiance, compared):
    """Return traced radiance (h, w, 3) as the picture's bytes: our exposure, white balance and tone mapping, with our
    own picture where nothing is `compared` (h, w)."""
    traced = to_bytes(_held(room, picture, radiance, compared))
    return np.where(compared[..., None], traced, picture.rgb)


def _held(room, picture, radiance, compared):
    exposure = np.asarray(room.exposure, np.float32)
    traced = np.where(compared[..., None], radiance, picture.hdr) * exposure
    return hold_highlights(traced.astype(np.float32))


def apart(room, picture, one, other):
    """Return the mean FLIP between two traced radiances (h, w, 3) of one room, finished as ours but not rounded to
    bytes, which alone would set equal pictures 0.01 apart; and where they are compared, (h, w)."""
    told = compared(room, picture, nearest(picture.camera, room))
    both = (linear_to_srgb(np.clip(tone_map(_held(room, picture, each, told)), 0, 1)) for each in (one, other))
    return float(flip(*both)[told].mean())


def compared(room, picture, near):
    """Return which pixels of a picture are compared, (h, w); `near` is how far from the eye the tracer begins."""
    camera = picture.camera
    width, height = camera.size
    middles = np.stack(np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5), axis=-1).reshape(-1, 2)
    rays, depth = camera.rays(middles), picture.depth.ravel().astype(float)
    eye = np.asarray(camera.position, float)
    place = eye + depth[:, None] * rays
    mirrored = (depth > 0) & (np.abs(place[:, 2]) < FLAT)
    hidden = (depth > 0) & (depth < near)
    for pane in room.model.panes:
        far = _met(pane, np.broadcast_to(eye, rays.shape), rays, 0.0)
        hidden |= (far < np.inf) & ((depth == 0) | (depth > far - FLAT))
        if not pane.glazed:
            hidden |= mirrored & (_met(pane, place, rays * (1, 1, -1), BESIDE) < np.inf)
    return ~binary_dilation(hidden.reshape(height, width))


def _met(pane, starts, rays, beside):
    """Return how far rays (n, 3) from `starts` (n, 3) go to a pane that they meet from within, or within so many metres
    of it, in their own lengths; infinity where they don't. (n,)"""
    corners, inward = np.asarray(pane.corners, float), np.asarray(pane.inward, float)
    towards = -(rays @ inward)
    far = ((starts - corners[0]) @ inward) / np.where(towards > 1e-6, towards, np.inf)
    ahead = (towards > 1e-6) & (far > 1e-6)
    place = starts + np.where(ahead, far, 0.0)[:, None] * rays
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
    normal /= np.linalg.norm(normal)
    for one, two in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        edge = (two - one) / np.linalg.norm(two - one)
        ahead &= (place - one) @ np.cross(normal, edge) >= -beside - 1e-6
    return np.where(ahead, far, np.inf)


def flip(reference, test):
    """Return the FLIP error map (h, w) of two pictures (h, w, 3), of bytes or of sRGB from 0 to 1."""
    import flip_evaluator

    both = (np.float32(each / 255 if each.dtype == np.uint8 else each) for each in (reference, test))
    found = flip_evaluator.evaluate(*both, "LDR", applyMagma=False)
    return np.asarray(found[0]).reshape(*reference.shape[:2], -1)[..., 0]
