"""Remake the path traced pictures that finished pictures are held against: room_*.npz beside this file.

Run from the top folder, in two steps so that the second needs mitsuba 3.9 (the extra `reference`) and numpy only::

    python tests/published/reference/trace_rooms.py export FOLDER [ROOM ...]
    python tests/published/reference/trace_rooms.py trace FOLDER TARGET SAMPLES [--seed N] [--part K/N]

    python tests/published/reference/trace_rooms.py join ONE OTHER

A graphics card takes a minute or two a picture, two cores days (`DRJIT_LIBLLVM_PATH` names a library of LLVM 19).
`--part K/N` traces every Nth picture, so that several cards share them. Of two runs with other seeds `join` takes the
noise that is left out of each (denoise.py), says how far they are then from each other, and keeps their mean.

The floor is the surface of wood_reflection.py on the boards' own geometry: eased edges, the dark of tight joints, each
board tilted as the program tilts it. The shell is diffuse. Windows are emitters of the sky and the ground that the
program bakes with, by direction, through its glass; a next room is an even dim light in the plane of its opening, as
the bake has it. The sun is traced for itself, light being additive: windows are open then, and in every pass of
`PASS` paths it stands at other points of its disc; windows that let other shares of it through, one after another. What
is kept: linear radiance without the windows themselves, and how much of each pixel is not window.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np
from wood_reflection import MATERIALS, register_wood

HERE = Path(__file__).resolve().parent
PASS = 6_400_000  # paths traced at once, which is what a graphics card's memory must hold
DISC = 8  # points of the sun's disc in one pass
KEPT_BITS = 9  # of a half float's mantissa of ten: steps of 0.2 %, under what noise is left


def register_window(mi):
    """Make the plugin `window`: an emitter in a window's shape that shows what is outside, by direction, through the
    glass; `WINDOW` has both."""
    import drjit as dr

    class Window(mi.Emitter):
        def __init__(self, props):
            super().__init__(props)
            self.m_flags = int(mi.EmitterFlags.Surface) | int(mi.EmitterFlags.SpatiallyVarying)

        def _radiance(self, way, normal):
            outside, glass = WINDOW
            height, width = outside.shape[:2]
            share = mi.Point2f(dr.atan2(way.y, way.x) / (2 * dr.pi) + 0.5, dr.asin(dr.clip(way.z, -1, 1)) / dr.pi + 0.5)
            at = (share * mi.Point2f(width - 1, height - 1) + 0.5) / mi.Point2f(width, height)
            found = outside.eval(at)
            passed = glass.eval(
                mi.Point2f((dr.abs(dr.dot(way, normal)) * (glass.shape[1] - 1) + 0.5) / glass.shape[1], 0.5)
            )
            return mi.Color3f(found[0], found[1], found[2]) * passed[0]

        def eval(self, si, active=True):
            front = active & (mi.Frame3f.cos_theta(si.wi) > 0)
            return dr.select(front, self._radiance(-si.to_world(si.wi), si.n), 0.0)

        def sample_direction(self, it, sample, active=True):
            found = self.get_shape().sample_direction(it, sample, active)
            active &= (dr.dot(found.d, found.n) < 0) & (found.pdf > 0)
            found.emitter = mi.EmitterPtr(self)
            return found, dr.select(active, self._radiance(found.d, found.n) / found.pdf, 0.0)

        def pdf_direction(self, it, found, active=True):
            pdf = self.get_shape().pdf_direction(it, found, active)
            return dr.select(active & (dr.dot(found.d, found.n) < 0), pdf, 0.0)

        def eval_direction(self, it, found, active=True):
            return dr.select(active & (dr.dot(found.d, found.n) < 0), self._radiance(found.d, found.n), 0.0)

    mi.register_emitter("window", Window)


WINDOW = []  # what is outside and the glass, as textures, of the room that is traced


def scene_of(mi, arrays, beam=None):
    """Return a Mitsuba scene without a sensor: lit through its windows, or where `beam` (3,) is the sun's irradiance
    past the glass, by the sun through those windows that let so much of it through."""
    import drjit as dr

    WINDOW[:] = [
        mi.Texture2f(mi.TensorXf(np.ascontiguousarray(each, np.float32)), filter_mode=dr.FilterMode.Linear)
        for each in (arrays["outside.radiance"], arrays["outside.glass"].reshape(1, -1, 1))
    ]
    scene = {"type": "scene"}
    names = sorted({key.split(".")[0] for key in arrays if key.endswith((".vertices", ".corners"))})
    wood = {key.split(".")[1]: float(arrays[key]) for key in arrays if key.startswith("wood.")}
    black = {"type": "diffuse", "reflectance": {"type": "rgb", "value": 0.0}}
    for name in names:
        own = {key.split(".")[1]: arrays[key] for key in arrays if key.startswith(name + ".")}
        if name.startswith("part"):
            rgb = {"type": "rgb", "value": [float(each) for each in own["reflectance"]]}
            material = {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": rgb}}
            scene[name] = _mesh(mi, name, own, {"bsdf": mi.load_dict(material)})
        elif name.startswith("floor"):
            page, coat = (int(each) for each in name[5:].split("_"))
            key = f"{page}.{coat}"
            MATERIALS[key] = {
                "page": arrays[f"page{page}"], "grain": arrays.get(f"grain{page}"), "wood": wood,
                "alpha": float(arrays["coat.alpha"][coat]), "ior": float(arrays["coat.ior"][coat]),
                "passes": arrays["coat.passes"][coat], "mean_passed": float(arrays["coat.mean_passed"][coat]),
            }  # fmt: skip
            scene[name] = _mesh(mi, name, own, {"bsdf": mi.load_dict({"type": "wood", "material": key})})
        elif name == "hairline":
            corner = np.arange(len(own["vertices"])).reshape(-1, 4)
            own["faces"] = np.concatenate([corner[:, [0, 1, 2]], corner[:, [0, 2, 3]]])
            dark = {"type": "diffuse", "reflectance": {"type": "rgb", "value": 0.3 * wood["gap_light"]}}
            scene[name] = _mesh(mi, name, own, {"bsdf": mi.load_dict({"type": "twosided", "bsdf": dark})})
        elif beam is None or not np.array_equal(own.get("sun"), beam):
            count = len(own["corners"])
            own["vertices"] = own["corners"]
            own["faces"] = np.array([[0, k, k + 1] for k in range(1, count - 1)])
            made = {"bsdf": mi.load_dict(black)}
            if beam is None:
                light = {"type": "window"}
                if name.startswith("curtain"):
                    light = {"type": "area", "radiance": {"type": "rgb", "value": own["radiance"].tolist()}}
                light["sampling_weight"] = _area(own["corners"]) * float(np.mean(own["radiance"]))
                made["emitter"] = mi.load_dict(light)
            scene[name] = _mesh(mi, name, own, made)
    if beam is not None:
        for number in range(DISC):
            scene[f"sun{number}"] = {
                "type": "directional",
                "irradiance": {"type": "rgb", "value": [float(each) / DISC for each in beam]},
                "to_world": _towards(mi, -arrays["sun.direction"]),
            }
    return mi.load_dict(scene)


def _towards(mi, way):
    up = [0, 0, 1] if abs(way[2]) < 0.9 else [1, 0, 0]
    return mi.ScalarTransform4f().look_at([0, 0, 0], [float(each) for each in way], up)


def _area(corners):
    """Return the area of a plane polygon with corners (n, 3)."""
    out = corners[1:] - corners[0]
    return float(np.linalg.norm(np.cross(out[:-1], out[1:]).sum(axis=0)) / 2)


def _mesh(mi, name, own, made):
    props = mi.Properties()
    for key, value in made.items():
        props[key] = value
    mesh = mi.Mesh(
        name,
        vertex_count=len(own["vertices"]),
        face_count=len(own["faces"]),
        has_vertex_normals="normals" in own,
        has_vertex_texcoords="uv" in own,
        props=props,
    )
    for attribute in ("tint", "grain"):
        if attribute in own:
            mesh.add_attribute(f"vertex_{attribute}", 3, np.ascontiguousarray(own[attribute], np.float32).ravel())
    values = mi.traverse(mesh)
    values["vertex_positions"] = np.ascontiguousarray(own["vertices"], np.float32).ravel()
    values["faces"] = np.ascontiguousarray(own["faces"], np.uint32).ravel()
    if "uv" in own:
        values["vertex_texcoords"] = np.ascontiguousarray(own["uv"], np.float32).ravel()
    if "normals" in own:
        values["vertex_normals"] = np.ascontiguousarray(own["normals"], np.float32).ravel()
    values.update()
    return mesh


def beams(arrays):
    """Return the different irradiances (3,) of the sun past windows' glass, none where no sun comes in."""
    found = [arrays[key] for key in arrays if key.endswith(".sun") and np.any(arrays[key])]
    return list(np.unique(found, axis=0)) if found else []


def sensor_of(mi, arrays, which, spp):
    position, target, up = arrays["view.camera"][which].tolist()
    width, height = (int(each) for each in arrays["view.size"])
    return mi.load_dict(
        {
            "type": "perspective",
            "fov": float(np.degrees(arrays["view.fov"][which])),
            "fov_axis": "x",
            "near_clip": float(arrays["view.near"][which]),
            "principal_point_offset_x": float(arrays["view.shift"][which][0]),  # of the width
            "principal_point_offset_y": float(-arrays["view.shift"][which][1]),  # of the height
            "to_world": mi.ScalarTransform4f().look_at(position, target, up),
            "film": {
                "type": "hdrfilm",
                "width": width,
                "height": height,
                "rfilter": {"type": "box"},
                "pixel_format": "rgba",
                "component_format": "float32",
            },
            "sampler": {"type": "independent", "sample_count": spp},
        }
    )


def trace(mi, arrays, which, samples, seed=1):
    """Return linear radiance (h, w, 3) without windows seen directly, and the share of each pixel that is not window
    (h, w); a room that the sun shines into takes the samples once more for each of its beams."""
    pixels = int(np.prod(arrays["view.size"]))
    spp = max(1, min(samples, PASS // pixels))
    passes = max(1, round(samples / spp))
    integrator = mi.load_dict({"type": "path", "max_depth": 32, "rr_depth": 8, "hide_emitters": True})
    sensor = sensor_of(mi, arrays, which, spp)
    total, cover = 0.0, None
    for beam in [None, *beams(arrays)]:
        scene = scene_of(mi, arrays, beam)
        chance = np.random.default_rng([seed, which])
        part = 0.0
        for number in range(passes):
            if beam is not None:
                _move_sun(mi, scene, arrays, chance)
            part = part + np.array(
                mi.render(scene, sensor=sensor, integrator=integrator, seed=seed * 100_003 + number, spp=spp)
            ).astype(np.float64)
        total = total + part[..., :3] / passes
        cover = part[..., 3] / passes if cover is None else cover
    return total.astype(np.float32), cover.astype(np.float32)


def guides(mi, arrays, which, spp=256):
    """Return what a denoiser is guided by: the surfaces' own colour and their normals, (h, w, 3) each."""
    integrator = mi.load_dict({"type": "aov", "aovs": "colour:albedo,normal:sh_normal"})
    sensor = sensor_of(mi, arrays, which, spp)
    found = np.array(mi.render(scene_of(mi, arrays), sensor=sensor, integrator=integrator, seed=7, spp=spp))
    return found[..., -6:-3].astype(np.float32), found[..., -3:].astype(np.float32)


def _move_sun(mi, scene, arrays, chance):
    """Put the suns of a pass at points of the disc, spread evenly and turned by chance."""
    towards = arrays["sun.direction"] / np.linalg.norm(arrays["sun.direction"])
    right = np.cross(towards, [0, 0, 1] if abs(towards[2]) < 0.9 else [1, 0, 0])
    right /= np.linalg.norm(right)
    up = np.cross(right, towards)
    values = mi.traverse(scene)
    radius = np.sqrt((np.arange(DISC) + chance.random()) / DISC) * np.tan(float(arrays["sun.radius"]))
    turn = np.arange(DISC) * 2.39996323 + chance.random() * 2 * np.pi
    for number in range(DISC):
        way = towards + radius[number] * (np.cos(turn[number]) * right + np.sin(turn[number]) * up)
        values[f"sun{number}.to_world"] = mi.Transform4f(_towards(mi, -way / np.linalg.norm(way)).matrix)
    values.update()


def keep(path, radiance, cover):
    """Write a picture small: half floats of fewer bits, bytes of one weight together."""
    half = np.minimum(radiance, 6e4).astype(np.float16).view(np.uint16)
    spare = 10 - KEPT_BITS
    half = ((half.astype(np.uint32) + (1 << (spare - 1))) >> spare).astype(np.uint16)
    np.savez_compressed(
        path,
        high=(half >> 8).astype(np.uint8).transpose(2, 0, 1),
        low=(half & 255).astype(np.uint8).transpose(2, 0, 1),
        cover=np.round(cover * 255).astype(np.uint8),
    )


def kept(path):
    """Read what `keep` wrote: radiance (h, w, 3) and cover (h, w)."""
    with np.load(path) as found:
        half = (found["high"].astype(np.uint16) << 8) | found["low"]
        half = (half << (10 - KEPT_BITS)).astype(np.uint16)
        return half.view(np.float16).astype(np.float32).transpose(1, 2, 0), found["cover"].astype(np.float32) / 255


def export_rooms(folder, rooms):
    sys.path[:0] = [str(HERE.parents[2]), str(HERE)]
    from traced_rooms import HELD_OUT, TUNED, export, traced_room

    for name in rooms or (*TUNED, *HELD_OUT):
        np.savez_compressed(folder / f"{name}.npz", **export(traced_room(name)))


def trace_rooms(folder, target, samples, seed, part):
    import mitsuba as mi

    for variant in ("cuda_ad_rgb", "llvm_ad_rgb"):
        try:
            mi.set_variant(variant)
            mi.load_dict({"type": "rectangle"})  # fails where there is no such device
            break
        except (ImportError, RuntimeError) as problem:
            sys.stdout.write(f"{variant}: {problem}\n")
    sys.stdout.write(f"{mi.variant()}\n")
    register_wood(mi)
    register_window(mi)
    own, many = (int(each) for each in part.split("/"))
    views = []
    for path in sorted(Path(folder).glob("*.npz")):
        with np.load(path) as found:
            views += [(path, which) for which in range(len(found["view.camera"]))]
    for path, which in views[own - 1 :: many]:
        with np.load(path) as found:
            arrays = dict(found)
        start = time.perf_counter()
        name = f"room_{path.stem}_{which + 1}.npz"
        radiance, cover = trace(mi, arrays, which, samples, seed)
        colour, normal = guides(mi, arrays, which)
        found = {"radiance": np.minimum(radiance, 6e4), "cover": cover, "colour": colour, "normal": normal}
        np.savez_compressed(Path(target) / name, **{key: each.astype(np.float16) for key, each in found.items()})
        sys.stdout.write(f"{name}: {samples} samples, {time.perf_counter() - start:.1f} s\n")
        sys.stdout.flush()


def join_rooms(one, other):
    sys.path[:0] = [str(HERE.parents[2]), str(HERE.parent), str(HERE)]
    from denoise import denoised
    from picture_compare import apart
    from traced_rooms import traced_room

    for path in sorted(Path(one).glob("room_*.npz")):
        runs = []
        for each in (path, Path(other) / path.name):
            with np.load(each) as found:
                values = {key: found[key].astype(np.float32) for key in found}
            runs.append(denoised(values["radiance"], values["colour"], values["normal"]))
        keep(HERE / path.name, (runs[0] + runs[1]) / 2, values["cover"])
        name, number = path.stem.removeprefix("room_").rsplit("_", 1)
        room, which = traced_room(name), int(number) - 1
        picture = room.pictures()[which]
        noise = apart(room, picture, *runs)
        sys.stdout.write(f"{path.name}: {noise:.4f} apart\n")
        sys.stdout.flush()


def options():
    found = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ways = found.add_subparsers(dest="way", required=True)
    export = ways.add_parser("export")
    export.add_argument("folder", type=Path)
    export.add_argument("rooms", nargs="*")
    tracing = ways.add_parser("trace")
    tracing.add_argument("folder", type=Path)
    tracing.add_argument("target", type=Path)
    tracing.add_argument("samples", type=int)
    tracing.add_argument("--seed", type=int, default=1)
    tracing.add_argument("--part", default="1/1")
    joining = ways.add_parser("join")
    joining.add_argument("one", type=Path)
    joining.add_argument("other", type=Path)
    return found.parse_args()


if __name__ == "__main__":
    asked = options()
    if asked.way == "export":
        export_rooms(asked.folder, asked.rooms)
    elif asked.way == "join":
        join_rooms(asked.one, asked.other)
    else:
        trace_rooms(asked.folder, asked.target, asked.samples, asked.seed, asked.part)
