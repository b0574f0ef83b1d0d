"""What the engine uploads, as plain arrays: the model's meshes with their light, and the light's uniforms."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.light.coat import Coat, coat_of
from preview.light.result.lighting import Lighting
from preview.model.model import Model, Part
from preview.picture.device.arrays import Arrays
from preview.picture.exposure import floor_colour, metered_lux
from preview.picture.shared import MAX_BEAMS, MAX_PANES
from preview.picture.sun.sun_distance_map import sun_distance_map
from preview.wood.boards import Boards

F32 = NDArray[np.float32]

HELD = 0.65  # by eye
FLAT = np.radians(9)


def part_surfaces(model: Model, lighting: Lighting) -> tuple[Arrays | None, Arrays | None]:
    """Return the shell without the ceiling, and the ceiling: colour is irradiance, extra albedo, uv sheen and
    whether it is clouded as stone is."""
    drawn = [part for part in model.parts if part.surface != "glass"]
    return (
        _joined([part for part in drawn if part.surface != "ceiling"], lighting),
        _joined([part for part in drawn if part.surface == "ceiling"], lighting),
    )


def _joined(parts: list[Part], lighting: Lighting) -> Arrays | None:
    if not parts:
        return None
    counts = [len(part.vertices) for part in parts]
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    extra = np.array([[*part.albedo, 0.0] for part in parts], np.float32).repeat(counts, axis=0)
    look = np.array([[part.sheen, part.surface == "stone"] for part in parts], np.float32).repeat(counts, axis=0)
    return Arrays(
        np.concatenate([part.vertices for part in parts]),
        np.concatenate([part.normals for part in parts]),
        look,
        extra,
        np.concatenate([_irradiance(part, lighting) for part in parts]),
        np.concatenate([part.faces + start for part, start in zip(parts, first, strict=True)]).astype(np.int32),
    )


def _irradiance(part: Part, lighting: Lighting) -> F32:
    """Return a part's irradiance (v, 3). Sashes reach out of doors, where the bake leaves them dark; what is seen of
    that through the glass takes the light of the rest of its part."""
    found = lighting.parts[part.name]
    if part.surface != "trim" or not len(found):
        return found
    lux = found @ LUMINANCE
    usual = np.median(lux)
    dark = lux < 0.03 * usual
    return np.where(dark[:, None], np.median(found, axis=0), found).astype(np.float32)


def pane_surfaces(model: Model, lighting: Lighting) -> Arrays | None:
    """Return the glazed panes as fans of triangles: colour is radiance, normals what the floor
    sees (see `Emitter`). Through open ones the next room is seen."""
    glazed = {pane.name for pane in model.panes if pane.glazed}
    emitters = [each for each in lighting.emitters if each.name in glazed]
    if not emitters:
        return None
    counts = [len(each.corners) for each in emitters]
    positions = np.concatenate([each.corners for each in emitters]).astype(np.float32)
    faces, start = [], 0
    for count in counts:
        faces += [(start, start + i, start + i + 1) for i in range(1, count - 1)]
        start += count
    return Arrays(
        positions,
        np.repeat([each.above for each in emitters], counts, axis=0).astype(np.float32),
        np.zeros((len(positions), 2), np.float32),
        np.zeros((len(positions), 4), np.float32),
        np.repeat([each.radiance for each in emitters], counts, axis=0).astype(np.float32),
        np.array(faces, np.int32),
    )


def light_uniforms(model: Model, boards: Boards, lighting: Lighting) -> tuple[dict[str, Any], dict[str, F32]]:
    """Return the floor shader's uniforms and its maps (h, w, 3) float32."""
    light = lighting.floor
    height, width = light.irradiance.shape[:2]
    colour = floor_colour(lighting)
    panes = sorted(lighting.emitters, key=lambda each: -_flux(each.corners, each.radiance))[:MAX_PANES]
    frames = [_rectangle(each.corners) for each in panes]
    coats = [coat_of(each.roughness, each.ior) for each in (boards.finish, boards.border_finish)]
    uniforms: dict[str, Any] = {
        "light_frame": np.array([*light.origin, 1 / (width * light.texel), 1 / (height * light.texel)]),
        "coat_alpha": np.array([boards.finish.roughness, boards.border_finish.roughness]),
        "coat_ior": np.array([boards.finish.ior, boards.border_finish.ior]),
        "coat_passes": np.array([_cubic(coat) for coat in coats]),
        "mean_passed": coats[0].mean_passed,
        "density": float(boards.density),
        "pane_count": len(panes),
        "mean_irradiance": float(light.entering.mean() / max(light.irradiance.mean(), 1e-6))
        * colour
        * metered_lux(lighting, model.bounds)
        / max(float(colour @ LUMINANCE), 1e-6),
        "unseen": _mean_radiance(model, lighting),
    }
    if panes:
        uniforms["pane_corner"] = np.array([frame[0] for frame in frames])
        uniforms["pane_side"] = np.array([frame[1] for frame in frames])
        uniforms["pane_rise"] = np.array([frame[2] for frame in frames])
        uniforms["pane_inward"] = np.array([frame[3] for frame in frames])
        lengths = np.array([[np.linalg.norm(frame[1]), np.linalg.norm(frame[2])] for frame in frames])
        uniforms["pane_extent"] = np.column_stack([lengths, lengths.prod(axis=1)])
        uniforms["pane_above"] = np.array([each.above for each in panes], float)
    uniforms |= light_of_the_sun(lighting, model.bounds)
    patches = sun_distance_map(lighting.sun) if lighting.sun is not None else None
    maps = {"irradiance_map": light.entering}
    if patches is not None:
        uniforms["sun_frame"] = patches.frame
        maps["sun_distance_map"] = patches.values
    return uniforms, maps


def _cubic(coat: Coat) -> NDArray[np.float64]:
    """Return what a coat passes by the cosine, over its mean, as a cubic's coefficients (4,), the constant first; it is
    fitted to angles of more than `FLAT` to the floor."""
    share = coat.passed / coat.mean_passed
    weight = np.where(coat.cosines > np.sin(FLAT), 1.0, 0.1)
    return np.asarray(np.polynomial.polynomial.polyfit(coat.cosines, share, 3, w=weight), float)


def light_of_the_sun(lighting: Lighting, bounds: NDArray[np.float64]) -> dict[str, Any]:
    """Return what the shaders take for the sun: its beams, each held back to `HELD` of its stops over the room's light,
    as a photographer holds them back by a second, shorter exposure: what they fall on keeps its colour and its
    grain."""
    metered = metered_lux(lighting, bounds)
    if lighting.sun is None or not lighting.sun.beams:
        return {"beam_count": 0, "sun_way": np.array([0.0, 0, 1])}
    beams = lighting.sun.beams[:MAX_BEAMS]
    frames = [_rectangle(each.corners) for each in beams]
    return {
        "beam_count": len(beams),
        "beam_corner": np.array([frame[0] for frame in frames]),
        "beam_side": np.array([frame[1] for frame in frames]),
        "beam_rise": np.array([frame[2] for frame in frames]),
        "beam_irradiance": np.array([_held(np.asarray(each.irradiance, float), metered) for each in beams]),
        "sun_way": np.asarray(lighting.sun.direction, float),
        "sun_radius": float(np.tan(lighting.sun.radius)),
    }


def _held(irradiance: NDArray[np.float64], metered: float) -> NDArray[np.float64]:
    """Return sunshine (3,) with `HELD` of the stops that it lies over the `metered` light."""
    over = float(irradiance @ LUMINANCE) / max(metered, 1e-6)
    return irradiance * over ** (HELD - 1) if over > 1 else irradiance


def _mean_radiance(model: Model, lighting: Lighting) -> NDArray[np.float64]:
    """Return the mean radiance of the walls, (3,)."""
    walls = [part for part in model.parts if part.surface == "wall" and len(part.vertices)]
    sent = [np.asarray(part.albedo) * lighting.parts[part.name].mean(axis=0) / np.pi for part in walls]
    return np.average(sent, axis=0, weights=[len(part.vertices) for part in walls]) if sent else np.zeros(3)


def _flux(corners: NDArray[np.float64], radiance: F32) -> float:
    fan = np.cross(corners[1:-1] - corners[0], corners[2:] - corners[0])
    return float(np.linalg.norm(fan.sum(axis=0)) / 2 * np.sum(radiance))


def _rectangle(corners: NDArray[np.float64]) -> tuple[Any, Any, Any, Any]:
    """Return corner, side, rise and normal of the upright rectangle round a pane: what reflections take it for."""
    normal = np.cross(corners[1:-1] - corners[0], corners[2:] - corners[0]).sum(axis=0)
    normal = normal / np.linalg.norm(normal)
    up = np.array([0.0, 0.0, 1.0]) if abs(normal[2]) < 0.9 else np.array([0.0, 1.0, 0.0])
    along = np.cross(up, normal)
    along /= np.linalg.norm(along)
    rise = np.cross(normal, along)
    x, y = (corners - corners[0]) @ along, (corners - corners[0]) @ rise
    return corners[0] + x.min() * along + y.min() * rise, np.ptp(x) * along, np.ptp(y) * rise, normal
