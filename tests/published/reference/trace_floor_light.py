"""Remake floor_light.npz: illuminance of a room's floor by path tracing, to hold the bake against.

Run from the top folder: ``python tests/published/reference/trace_floor_light.py`` (mitsuba 3.9; five minutes). The room
is `reference_room` of light_rooms.py: open windows, the traditional overcast sky, diffuse surfaces. A camera half a
metre over the floor looks straight down; what a square of floor shows, times pi over its reflectance, is its mean
illuminance. Luminance only, as sky and paints are grey.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import mitsuba as mi
import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[2]), str(HERE.parent)]
mi.set_variant("scalar_rgb")

from light_rooms import FLOOR_SQUARE, reference_room  # noqa: E402

RAYS = int(sys.argv[1]) if len(sys.argv) > 1 else 2**15
TARGET = Path(sys.argv[2]) if len(sys.argv) > 2 else HERE / "floor_light.npz"


def grey_diffuse(value: float) -> dict:
    rgb = {"type": "rgb", "value": [value] * 3}
    return {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": rgb}}


def scene_of(model, sky) -> mi.Scene:
    import trimesh

    parts = {"type": "scene"}
    with tempfile.TemporaryDirectory() as folder:
        for number, part in enumerate(model.parts):
            path = Path(folder) / f"{number}.ply"
            trimesh.Trimesh(part.vertices, part.faces, process=False).export(path)
            parts[f"part{number}"] = {"type": "ply", "filename": str(path), "bsdf": grey_diffuse(part.albedo[0])}
        (x0, y0, _), (x1, y1, _) = model.bounds
        ground = (
            mi.ScalarTransform4f().translate([(x0 + x1) / 2, (y0 + y1) / 2, 0]).scale([(x1 - x0) / 2, (y1 - y0) / 2, 1])
        )
        parts["floor"] = {"type": "rectangle", "to_world": ground, "bsdf": grey_diffuse(model.floor_albedo[0])}
        height = np.cos((np.arange(1024) + 0.5) / 1024 * np.pi)
        rows = sky.radiance(np.stack([np.sqrt(1 - height**2), 0 * height, height], axis=-1))[:, 1]
        image = np.repeat(np.repeat(rows[:, None], 8, axis=1)[..., None], 3, axis=2).astype(np.float32)
        upright = mi.ScalarTransform4f().rotate([1, 0, 0], 90)
        parts["sky"] = {"type": "envmap", "bitmap": mi.Bitmap(image), "to_world": upright}
        return mi.load_dict(parts)


def trace(scene: mi.Scene, size: tuple[float, float]) -> np.ndarray:
    """Return the mean illuminance of each square of the floor (h, w), rows along +y."""
    middle = [size[0] / 2, size[1] / 2]
    down = mi.ScalarTransform4f().look_at([*middle, 0.5], [*middle, 0], [0, 1, 0])
    sensor = mi.load_dict(
        {
            "type": "orthographic",
            "near_clip": 0.01,
            "to_world": down @ mi.ScalarTransform4f().scale([size[0] / 2, size[0] / 2, 1]),
            "film": {
                "type": "hdrfilm",
                "width": round(size[0] / FLOOR_SQUARE),
                "height": round(size[1] / FLOOR_SQUARE),
                "rfilter": {"type": "box"},
                "pixel_format": "luminance",
            },
            "sampler": {"type": "independent", "sample_count": RAYS},
        }
    )
    integrator = mi.load_dict({"type": "path", "max_depth": 40, "rr_depth": 12})
    return np.array(mi.render(scene, sensor=sensor, integrator=integrator, seed=7, spp=RAYS))[::-1, :, 0]


if __name__ == "__main__":
    from preview.light.sources.sky import overcast_sky

    model, room = reference_room()
    seen = trace(scene_of(model, overcast_sky()), (model.bounds[1][0], model.bounds[1][1]))
    light = np.pi * seen / model.floor_albedo[0]
    np.savez(TARGET, illuminance=light.astype(np.float32))
    sys.stdout.write(f"{light.round(0).astype(int)}\n")
