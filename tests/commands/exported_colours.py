"""The colours of boards as a model's file has them, beside those that pictures are drawn with."""

from __future__ import annotations

from dataclasses import dataclass

import colour
import numpy as np
import shapely
import trimesh

from preview.colour import srgb_to_linear
from preview.floor.layout import Role

TRIED = 40
"""Boards, of which 400 places each."""


@dataclass(frozen=True, eq=False)
class Sheet:
    """Faces on one texture as another program read them: plan (v, 2) metres, faces (f, 3), uv (v, 2) from the image's
    upper left corner, image (h, w, 3) bytes, sRGB, tint (v, 3) linear."""

    plan: np.ndarray
    faces: np.ndarray
    uv: np.ndarray
    image: np.ndarray
    tint: np.ndarray


def sampled(image, places):
    """The colours (n, 3) of an image at places (n, 2) from 0 to 1, its first row at v = 0."""
    height, width = image.shape[:2]
    x, y = np.clip((places * (width, height)).astype(int), 0, (width - 1, height - 1)).T
    return image[y, x]


def difference(one, other):
    """CIEDE2000 between two colours, linear sRGB."""
    labs = [colour.XYZ_to_Lab(colour.RGB_to_XYZ(each, "sRGB")) for each in (one, other)]
    return float(colour.delta_E(*labs, method="CIE 2000"))


def colours_apart(pieces, boards, sheets):
    """CIEDE2000 of each of `TRIED` boards between the mean that a file shows and the mean that pictures are drawn with,
    at the same places."""
    rng, apart = np.random.default_rng(3), []
    trees = [shapely.STRtree(shapely.polygons(each.plan[each.faces])) for each in sheets]
    field = np.flatnonzero(pieces.role == Role.BOARD)
    for number in rng.choice(field, min(TRIED, len(field)), replace=False):
        inner = pieces.polygons[number].buffer(-0.006)
        if inner.is_empty:
            continue
        low, high = np.reshape(inner.bounds, (2, 2))
        places = low + rng.random((400, 2)) * (high - low)
        places = places[shapely.contains_xy(inner, *places.T)]
        seen, found = np.zeros(3), 0
        for sheet, tree in zip(sheets, trees, strict=True):
            point, face = tree.query(shapely.points(places), predicate="within")
            if len(point):
                corners = sheet.faces[face]
                share = trimesh.triangles.points_to_barycentric(
                    np.pad(sheet.plan[corners], ((0, 0), (0, 0), (0, 1))), np.pad(places[point], ((0, 0), (0, 1)))
                )
                at, own = ((share[..., None] * each[corners]).sum(axis=1) for each in (sheet.uv, sheet.tint))
                seen, found = (
                    seen + (srgb_to_linear(sampled(sheet.image, at) / 255) * own).sum(axis=0),
                    found + len(point),
                )
        assert found >= 0.9 * len(places), f"board {number} is not all there"
        off = places - pieces.origin[number]
        way = np.array([np.cos(pieces.grain[number]), np.sin(pieces.grain[number])])
        within = np.column_stack([off @ way, off @ (-way[1], way[0])])
        meant_at = boards.uv_origin[number] + boards.uv_scale[number] * within
        page = sampled(boards.pages[boards.page[number]][..., :3], meant_at)
        meant = srgb_to_linear(page / 255) * boards.tint[number]
        apart.append(difference(seen / found, meant.mean(axis=0)))
    assert len(apart) > TRIED / 2
    return np.array(apart)
