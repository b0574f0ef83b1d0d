"""White trim is drawn white in overcast light, also where walls and wood lend the light their warmth.

Seen as one sees a print: of what a picture shows of the trim, the brightest third is within 4 of neutral by CIEDE2000
(colour-science), which side by side is a difference that one has to look for; the bound is common practice, no
published source.
"""

from __future__ import annotations

import sys
from pathlib import Path

import colour
import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent / "reference"))

from traced_rooms import traced_room

NEUTRAL = 4.0
D65 = colour.CCS_ILLUMINANTS["cie_2_1931"]["D65"]
SEEN = 0.02  # metres: a point at this distance from what the picture shows there is what it shows
LEAST = 50  # pixels of trim, below which a view says nothing of it


def trim_pixels(model, picture):
    """Return the bytes (n, 3) of the pixels in which the middles of the trim's faces are seen."""
    parts = [each for each in model.parts if each.surface == "trim" and len(each.faces)]
    middles = np.concatenate([each.vertices[each.faces].mean(axis=1) for each in parts]).astype(float)
    ahead = picture.camera.ahead(middles)
    middles, ahead = middles[ahead > 0.1], ahead[ahead > 0.1]
    x, y = np.floor(picture.camera.project(middles)).astype(int).T
    width, height = picture.camera.size
    inside = (x >= 1) & (y >= 1) & (x < width - 1) & (y < height - 1)
    x, y, ahead = x[inside], y[inside], ahead[inside]
    seen = np.all([np.abs(picture.depth[y + r, x + c] - ahead) < SEEN for r in (-1, 0, 1) for c in (-1, 0, 1)], axis=0)
    return picture.rgb[y[seen], x[seen]]


@pytest.mark.parametrize("name", ["dining-room", pytest.param("kitchen", marks=pytest.mark.slow)])
def test_the_brightest_third_of_white_trim_is_neutral(name):
    room = traced_room(name)
    told = 0
    for picture in room.pictures(finer=1):
        found = trim_pixels(room.model, picture).astype(float)
        if len(found) < LEAST:
            continue
        bright = found[found.sum(axis=1) >= np.quantile(found.sum(axis=1), 2 / 3)].mean(axis=0)
        lab = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(bright / 255), D65)
        assert colour.delta_E(lab, lab * [1, 0, 0], method="CIE 2000") < NEUTRAL, (picture.camera.name, bright)
        told += 1
    assert told
