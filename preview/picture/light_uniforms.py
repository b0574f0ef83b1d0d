"""The light of a room as the shaders take it: uniforms by name, and maps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.light.coat import Coat, coat_of
from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.device.arrays import F32, Value
from preview.picture.exposure import floor_colour, metered_lux
from preview.picture.rectangle import rectangle_round
from preview.picture.shared import MAX_PANES
from preview.picture.sun.sun_beams import sun_beams
from preview.picture.sun.sun_distance_map import sun_distance_map
from preview.wood.boards import Boards

Array = NDArray[np.float64]

FLAT = np.radians(9)


@dataclass(frozen=True, eq=False)
class LightUniforms:
    """`uniforms` by name, and `maps` (h, w, 3) by name."""

    uniforms: dict[str, Value]
    maps: dict[str, F32]


def coat_uniforms(boards: Boards) -> dict[str, Value]:
    """Return what the shaders take for the floor's coats and textures."""
    coats = [coat_of(each.roughness, each.ior) for each in boards.finishes]
    return {
        "coat_alpha": np.array([each.roughness for each in boards.finishes]),
        "coat_ior": np.array([each.ior for each in boards.finishes]),
        "coat_passes": np.array([cubic_of(coat) for coat in coats]),
        "mean_passed": coats[0].mean_passed,
        "density": float(boards.density),
    }


def light_uniforms(model: Model, lighting: Lighting) -> LightUniforms:
    """Return what the shaders take for the light in a model's room."""
    light = lighting.floor
    height, width = light.irradiance.shape[:2]
    colour = floor_colour(lighting)
    entering = float(light.entering.mean() / max(light.irradiance.mean(), 1e-6))
    uniforms: dict[str, Value] = {
        "light_frame": np.array([*light.origin, 1 / (width * light.texel), 1 / (height * light.texel)]),
        "mean_irradiance": entering * colour * metered_lux(lighting, model.bounds) / max(colour @ LUMINANCE, 1e-6),
        "outside_known": 0.0,
        **_panes(lighting),
        **sun_beams(lighting).uniforms(),
    }
    maps = {"irradiance_map": light.entering}
    if lighting.outside is not None:
        maps["outside_map"] = lighting.outside.radiance
        uniforms |= {
            "outside_known": 1.0,
            "glass_passes": np.repeat(lighting.outside.glass[:, None], 3, axis=1).astype(float),
        }
    patches = sun_distance_map(lighting.sun) if lighting.sun is not None else None
    if patches is not None:
        uniforms["sun_frame"] = patches.frame
        maps["sun_distance_map"] = patches.values
    return LightUniforms(uniforms, maps)


def _panes(lighting: Lighting) -> dict[str, Value]:
    panes = sorted(lighting.emitters, key=lambda each: -_flux(each.corners, each.radiance))[:MAX_PANES]
    if not panes:
        return {"pane_count": 0}
    frames = [rectangle_round(each.corners) for each in panes]
    lengths = np.array([[np.linalg.norm(frame.side), np.linalg.norm(frame.rise)] for frame in frames])
    return {
        "pane_count": len(panes),
        "pane_corner": np.array([frame.corner for frame in frames]),
        "pane_side": np.array([frame.side for frame in frames]),
        "pane_rise": np.array([frame.rise for frame in frames]),
        "pane_inward": np.array([frame.inward for frame in frames]),
        "pane_extent": np.column_stack([lengths, lengths.prod(axis=1)]),
        "pane_above": np.array([[*each.above, each.passed] for each in panes], float),
    }


def _flux(corners: Array, radiance: F32) -> float:
    fan = np.cross(corners[1:-1] - corners[0], corners[2:] - corners[0])
    return float(np.linalg.norm(fan.sum(axis=0)) / 2 * np.sum(radiance))


def cubic_of(coat: Coat) -> Array:
    """Return what a coat passes by the cosine, over its mean, as a cubic's coefficients (4,), the constant first; it is
    fitted to angles of more than `FLAT` to the floor."""
    share = coat.passed / coat.mean_passed
    weight = np.where(coat.cosines > np.sin(FLAT), 1.0, 0.1)
    return np.asarray(np.polynomial.polynomial.polyfit(coat.cosines, share, 3, w=weight), float)


def unseen_radiance(model: Model, lighting: Lighting) -> Array:
    """Return the radiance (3,) of what is nowhere to be seen, the mean of the walls."""
    walls = [part for part in model.parts if part.surface == "wall" and len(part.vertices)]
    sent = [np.asarray(part.albedo) * lighting.parts[part.name].mean(axis=0) / np.pi for part in walls]
    return np.average(sent, axis=0, weights=[len(part.vertices) for part in walls]) if sent else np.zeros(3)
