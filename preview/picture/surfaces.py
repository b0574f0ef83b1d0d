"""What the engine uploads, as plain arrays: the model's meshes with their light, and the light's uniforms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.light.lighting import Lighting
from preview.model.model import Model, Part
from preview.wood.boards import Boards

F32 = NDArray[np.float32]

MAX_PANES, MAX_BEAMS = 16, 8  # as in the shaders
BEVEL = 0.001  # plan width in metres below which an eased edge fades into the board's face
KINDS = ("wall", "ceiling", "trim", "stone", "cabinet", "grille", "duct", "subfloor", "glass", "outside")


@dataclass(frozen=True, eq=False)
class Arrays:
    """Vertex arrays of one draw: positions (v, 3), normals (v, 3), uv (v, 2), extra (v, 4), colour (v, 3),
    faces (f, 3); `page` of the texture, -1 for none."""

    positions: F32
    normals: F32
    uv: F32
    extra: F32
    colour: F32
    faces: NDArray[np.int32]
    page: int = -1

    def fields(self) -> tuple[Any, ...]:
        """Return the arrays in the order that the engine takes them."""
        return self.positions, self.normals, self.uv, self.extra, self.colour, self.faces


def floor_surfaces(model: Model) -> list[Arrays]:
    """Return each floor mesh: colour its tint, extra its grain, coat, and a number in 0..1 of the board's own."""
    surfaces = []
    for mesh in model.floor:
        own = (mesh.piece.astype(np.uint32) * np.uint32(2654435761)).astype(np.float64) / 2**32
        extra = np.column_stack([mesh.grain, mesh.coat, own]).astype(np.float32)
        surfaces.append(Arrays(mesh.vertices, mesh.normals, mesh.uv, extra, mesh.tint, mesh.faces, mesh.page))
    return surfaces


def part_surfaces(model: Model, lighting: Lighting) -> tuple[Arrays | None, Arrays | None]:
    """Return the shell without the ceiling, and the ceiling: colour is irradiance, extra albedo and surface kind."""
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
    extra = np.array([[*part.albedo, KINDS.index(part.surface)] for part in parts], np.float32).repeat(counts, axis=0)
    return Arrays(
        np.concatenate([part.vertices for part in parts]),
        np.concatenate([part.normals for part in parts]),
        np.zeros((sum(counts), 2), np.float32),
        extra,
        np.concatenate([lighting.parts[part.name] for part in parts]),
        np.concatenate([part.faces + start for part, start in zip(parts, first, strict=True)]).astype(np.int32),
    )


def pane_surfaces(model: Model, lighting: Lighting) -> Arrays | None:
    """Return the glazed panes as fans of triangles: colour is radiance. Through open ones the next room is seen."""
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
        np.zeros_like(positions),
        np.zeros((len(positions), 2), np.float32),
        np.zeros((len(positions), 4), np.float32),
        np.repeat([each.radiance for each in emitters], counts, axis=0).astype(np.float32),
        np.array(faces, np.int32),
    )


def light_uniforms(model: Model, boards: Boards, lighting: Lighting) -> tuple[dict[str, Any], dict[str, F32]]:
    """Return the floor shader's uniforms and its maps (h, w, 3) float32."""
    light = lighting.floor
    height, width = light.irradiance.shape[:2]
    panes = sorted(lighting.emitters, key=lambda each: -_flux(each.corners, each.radiance))[:MAX_PANES]
    frames = [_rectangle(each.corners) for each in panes]
    uniforms: dict[str, Any] = {
        "light_frame": np.array([*light.origin, 1 / (width * light.texel), 1 / (height * light.texel)]),
        "coat_alpha": np.array([boards.finish.roughness, boards.border_finish.roughness]),
        "coat_ior": np.array([boards.finish.ior, boards.border_finish.ior]),
        "bevel": BEVEL,
        "pane_count": len(panes),
        "mean_irradiance": light.irradiance.reshape(-1, 3).mean(axis=0).astype(float),
        "room_low": np.asarray(model.bounds[0], float),
        "room_high": np.asarray(model.bounds[1], float),
        "wall_radiance": _mean_radiance(model, lighting, "wall"),
        "ceiling_radiance": _mean_radiance(model, lighting, "ceiling"),
    }
    if panes:
        uniforms["pane_corner"] = np.array([frame[0] for frame in frames])
        uniforms["pane_side"] = np.array([frame[1] for frame in frames])
        uniforms["pane_rise"] = np.array([frame[2] for frame in frames])
        uniforms["pane_inward"] = np.array([frame[3] for frame in frames])
        lengths = np.array([[np.linalg.norm(frame[1]), np.linalg.norm(frame[2])] for frame in frames])
        uniforms["pane_extent"] = np.column_stack([lengths, lengths.prod(axis=1)])
        uniforms["pane_radiance"] = np.array([each.radiance for each in panes], float)
    uniforms |= _sun_uniforms(lighting)
    return uniforms, {"irradiance_map": light.irradiance, "direction_map": light.direction}


def _sun_uniforms(lighting: Lighting) -> dict[str, Any]:
    """The sun's beams. A disc's penumbra is 2 r wide at a metre and the Gaussian that stands for it r / 2, r = tan of
    its radius: a uniform disc's edge profile has that deviation."""
    if lighting.sun is None or not lighting.sun.beams:
        return {"beam_count": 0, "sun_way": np.array([0.0, 0, 1]), "sun_blur": 0.0}
    beams = sorted(lighting.sun.beams, key=lambda each: -_flux(each.corners, each.irradiance))[:MAX_BEAMS]
    frames = [_rectangle(each.corners) for each in beams]
    return {
        "beam_count": len(beams),
        "beam_corner": np.array([frame[0] for frame in frames]),
        "beam_side": np.array([frame[1] for frame in frames]),
        "beam_rise": np.array([frame[2] for frame in frames]),
        "beam_irradiance": np.array([each.irradiance for each in beams], float),
        "sun_way": np.asarray(lighting.sun.direction, float),
        "sun_blur": float(np.tan(lighting.sun.radius) / 2),
    }


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


def _mean_radiance(model: Model, lighting: Lighting, surface: str) -> NDArray[np.float64]:
    """Return the mean of albedo E / pi over a surface kind's vertices, (3,); half the floor's irradiance for none."""
    found = [np.asarray(part.albedo) * lighting.parts[part.name] for part in model.parts if part.surface == surface]
    if not found:
        found = [0.5 * lighting.floor.irradiance.reshape(-1, 3)]
    return np.concatenate(found).mean(axis=0).astype(float) / np.pi
