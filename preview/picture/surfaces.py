"""What the engine uploads, as plain arrays: the model's meshes with their light, and the light's uniforms."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.light.result.lighting import Lighting
from preview.model.model import Model, Part
from preview.picture.device.arrays import VertexArrays

F32 = NDArray[np.float32]


def part_surfaces(model: Model, lighting: Lighting) -> tuple[VertexArrays | None, VertexArrays | None]:
    """Return the shell without the ceiling, and the ceiling: colour is irradiance, extra albedo, uv sheen and
    whether it is clouded as stone is."""
    drawn = [part for part in model.parts if part.surface != "glass"]
    return (
        _joined([part for part in drawn if part.surface != "ceiling"], lighting),
        _joined([part for part in drawn if part.surface == "ceiling"], lighting),
    )


def _joined(parts: list[Part], lighting: Lighting) -> VertexArrays | None:
    if not parts:
        return None
    counts = [len(part.vertices) for part in parts]
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    extra = np.array([[*part.albedo, 0.0] for part in parts], np.float32).repeat(counts, axis=0)
    look = np.array([[part.sheen, part.surface == "stone"] for part in parts], np.float32).repeat(counts, axis=0)
    return VertexArrays(
        np.concatenate([part.vertices for part in parts]),
        np.concatenate([part.normals for part in parts]),
        look,
        extra,
        np.concatenate([part_irradiance(part, lighting) for part in parts]),
        np.concatenate([part.faces + start for part, start in zip(parts, first, strict=True)]).astype(np.int32),
    )


def part_irradiance(part: Part, lighting: Lighting) -> F32:
    """Return a part's irradiance (v, 3). Sashes reach out of doors, where the bake leaves them dark; what is seen of
    that through the glass takes the light of the rest of its part."""
    found = lighting.parts[part.name]
    if part.surface != "trim" or not len(found):
        return found
    lux = found @ LUMINANCE
    usual = np.median(lux)
    dark = lux < 0.03 * usual
    return np.where(dark[:, None], np.median(found, axis=0), found).astype(np.float32)


def pane_surfaces(model: Model, lighting: Lighting) -> VertexArrays | None:
    """Return the glazed panes as fans of triangles: colour is their mean radiance, extra what the floor sees
    (see `Emitter`); normals point into the room. Through open ones the next room is seen."""
    inward = {pane.name: pane.inward for pane in model.panes if pane.glazed}
    emitters = [each for each in lighting.emitters if each.name in inward]
    if not emitters:
        return None
    counts = [len(each.corners) for each in emitters]
    positions = np.concatenate([each.corners for each in emitters]).astype(np.float32)
    faces, start = [], 0
    for count in counts:
        faces += [(start, start + i, start + i + 1) for i in range(1, count - 1)]
        start += count
    return VertexArrays(
        positions,
        np.repeat([inward[each.name] for each in emitters], counts, axis=0).astype(np.float32),
        np.zeros((len(positions), 2), np.float32),
        np.pad(np.repeat([each.above for each in emitters], counts, axis=0), ((0, 0), (0, 1))).astype(np.float32),
        np.repeat([each.radiance for each in emitters], counts, axis=0).astype(np.float32),
        np.array(faces, np.int32),
    )
