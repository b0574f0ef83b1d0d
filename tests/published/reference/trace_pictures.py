"""Remake the path traced pictures that finished pictures are held against: picture_*.npz beside this file.

Run from the top folder::

    python tests/published/reference/trace_pictures.py

(mitsuba 3.9, the extra `reference`; days on two cores, three quarters of an hour on a graphics card.) In two steps, so
that the second needs mitsuba and numpy only; and at another size, such as the table of pictures asks for, in one or in
two::

    python tests/published/reference/trace_pictures.py export FOLDER [WIDTHxHEIGHT]
    python tests/published/reference/trace_pictures.py trace FOLDER TARGET SAMPLES
    python tests/published/reference/trace_pictures.py both TARGET SAMPLES WIDTHxHEIGHT

(1,024 samples at 1600x1000 cost what 16,384 at 400x250 do.)

Those kept are of 29 runs of 4,096 samples with other seeds, added up: 118,784 a pixel. The two halves of the runs are
0.010 to 0.013 FLIP from each other.

They show the floors as laid: remake them when layouts, boards or the room's shell come out otherwise.

The scenes are those of picture_scenes.py. The floor is `roughplastic` (GGX, linear), its colours a plan of the floor
as a bitmap, since that material takes no mesh attribute; field and border have their own coat, and the wood under it
is made up for what its rough interface loses (see `compensation`). The shell is diffuse. The sky is an environment
map seen through open holes, or where Mitsuba compiles, the windows are emitters of that sky; a next room is an even
dim light in the plane of its opening, as the bake has it. What is kept: linear radiance without the windows' sky, and
how much of each pixel is not sky.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
NAMES = ("dining-room", "kitchen")
SAMPLES = 262144
PASS = 6_400_000  # paths traced at once, which is what a graphics card's memory must hold
KEPT_BITS = 9  # of a half float's mantissa of ten: steps of 0.2 %, under what noise is left


def scene_of(arrays):
    """Return a Mitsuba scene without a sensor."""
    import mitsuba as mi

    portals = mi.variant() != "scalar_rgb"  # a plugin in Python is quick only where it is compiled
    if portals:
        register_sky_pane(mi)
    scene = {"type": "scene"}
    names = sorted({key.split(".")[0] for key in arrays if "." in key})
    coats = {}
    for coat in (0, 1):
        alpha, ior = float(arrays["roughness"][coat]), float(arrays["ior"][coat])
        bright = np.clip(arrays["colours"].astype(np.float32) * compensation(mi, alpha, ior), 0, 0.99)
        coats[coat] = mi.load_dict(
            rough_coat(alpha, ior) | {"diffuse_reflectance": {
                "type": "bitmap", "bitmap": mi.Bitmap(bright), "raw": True, "wrap_mode": "clamp",
            }}
        )  # fmt: skip
    for name in names:
        own = {key.split(".")[1]: arrays[key] for key in arrays if key.startswith(name + ".")}
        if name.startswith("part"):
            rgb = {"type": "rgb", "value": [float(each) for each in own["reflectance"]]}
            material = {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": rgb}}
            scene[name] = _mesh(mi, name, own, {"bsdf": mi.load_dict(material)})
        elif name.startswith("floor"):
            scene[name] = _mesh(mi, name, own, {"bsdf": coats[int(name[5])]})
        elif name.startswith("curtain") or portals:
            count = len(own["corners"])
            own["vertices"] = own["corners"]
            own["faces"] = np.array([[0, k, k + 1] for k in range(1, count - 1)])
            emitter = {"type": "sky_pane"}
            emitter |= {key: mi.ScalarColor3f(arrays[key].tolist()) for key in ("zenith", "ground")}
            if name.startswith("curtain"):
                emitter = {"type": "area", "radiance": {"type": "rgb", "value": own["radiance"].tolist()}}
            emitter["sampling_weight"] = _area(own["corners"])
            black = {"type": "diffuse", "reflectance": {"type": "rgb", "value": 0.0}}
            scene[name] = _mesh(mi, name, own, {"bsdf": mi.load_dict(black), "emitter": mi.load_dict(emitter)})
    if not portals:
        image = np.ascontiguousarray(np.repeat(arrays["sky"][:, None], 8, axis=1))
        upright = mi.ScalarTransform4f().rotate([1, 0, 0], 90)
        holes = sum(_area(arrays[f"{name}.corners"]) for name in names if name.startswith("pane"))
        scene["sky"] = {"type": "envmap", "bitmap": mi.Bitmap(image), "to_world": upright, "sampling_weight": holes}
    return mi.load_dict(scene)


def _area(corners):
    """Return the area of a plane polygon with corners (n, 3)."""
    out = corners[1:] - corners[0]
    return float(np.linalg.norm(np.cross(out[:-1], out[1:]).sum(axis=0)) / 2)


def rough_coat(alpha, ior):
    """Return Mitsuba's diffuse surface under a rough coat, its wood not yet coloured."""
    return {"type": "roughplastic", "distribution": "ggx", "alpha": alpha, "int_ior": ior, "nonlinear": False}


def compensation(mi, alpha, ior):
    """Return what `roughplastic`'s diffuse reflectance is to be multiplied by, so that light from all round comes
    back from the wood as it does through a smooth coat: reflectance times one less the coat's mean reflectance.

    Its rough interface passes less and less light as alpha grows (light that facets scatter twice is lost), 35 % at
    alpha 0.25; the colours of wood in our pages are those of finished wood, that loss included.
    """
    surface = mi.load_dict(rough_coat(alpha, ior) | {
        "diffuse_reflectance": {"type": "rgb", "value": 0.5}, "specular_reflectance": {"type": "rgb", "value": 0.0},
    })  # fmt: skip
    node, weight = np.polynomial.legendre.leggauss(16)
    cosines, weight = (node + 1) / 2, weight / 2
    context, si = mi.BSDFContext(), mi.SurfaceInteraction3f()
    total = 0.0
    for cos_in, weight_in in zip(cosines, weight, strict=True):
        for cos_out, weight_out in zip(cosines, weight, strict=True):
            si.wi = mi.Vector3f(float(np.sqrt(1 - cos_in**2)), 0, float(cos_in))
            way = mi.Vector3f(0, float(np.sqrt(1 - cos_out**2)), float(cos_out))
            value = np.array(surface.eval(context, si, way)).ravel()[0]  # times the cosine of the way out
            total += 2 * np.pi * value * 2 * cos_in * weight_in * weight_out
    smooth = (1 - _fresnel(cosines, ior)) @ (2 * cosines * weight)
    return float(0.5 * smooth / total)


def _fresnel(cosine, ior):
    """Reflectance of a smooth dielectric for unpolarised light (Fresnel)."""
    inside = np.sqrt(1 - (1 - cosine**2) / ior**2)
    across = ((cosine - ior * inside) / (cosine + ior * inside)) ** 2
    along = ((ior * cosine - inside) / (ior * cosine + inside)) ** 2
    return (across + along) / 2


def register_sky_pane(mi):
    """Make the plugin `sky_pane`: an emitter that shows the overcast sky and the ground through a window's shape, so
    that the path tracer finds its light; the same light as an environment map's, with far less noise."""
    import drjit as dr

    class SkyPane(mi.Emitter):
        def __init__(self, props):
            super().__init__(props)
            self.zenith, self.ground = mi.Color3f(props["zenith"]), mi.Color3f(props["ground"])
            self.m_flags = int(mi.EmitterFlags.Surface)

        def _radiance(self, way):
            sky = self.zenith * ((1 + 2 * way.z) / 3)  # Moon and Spencer 1942
            return dr.select(way.z > 0, sky, self.ground)

        def eval(self, si, active=True):
            return dr.select(active & (mi.Frame3f.cos_theta(si.wi) > 0), self._radiance(-si.to_world(si.wi)), 0.0)

        def sample_direction(self, it, sample, active=True):
            found = self.get_shape().sample_direction(it, sample, active)
            active &= (dr.dot(found.d, found.n) < 0) & (found.pdf > 0)
            found.emitter = mi.EmitterPtr(self)
            return found, dr.select(active, self._radiance(found.d) / found.pdf, 0.0)

        def pdf_direction(self, it, found, active=True):
            pdf = self.get_shape().pdf_direction(it, found, active)
            return dr.select(active & (dr.dot(found.d, found.n) < 0), pdf, 0.0)

        def eval_direction(self, it, found, active=True):
            return dr.select(active & (dr.dot(found.d, found.n) < 0), self._radiance(found.d), 0.0)

    mi.register_emitter("sky_pane", SkyPane)


def _mesh(mi, name, own, made):
    props = mi.Properties()
    for key, value in made.items():
        props[key] = value
    mesh = mi.Mesh(
        name,
        vertex_count=len(own["vertices"]),
        face_count=len(own["faces"]),
        has_vertex_texcoords="uv" in own,
        props=props,
    )
    values = mi.traverse(mesh)
    values["vertex_positions"] = np.ascontiguousarray(own["vertices"], np.float32).ravel()
    values["faces"] = np.ascontiguousarray(own["faces"], np.uint32).ravel()
    if "uv" in own:
        values["vertex_texcoords"] = np.ascontiguousarray(own["uv"], np.float32).ravel()
    values.update()
    return mesh


def trace(scene, arrays, which, samples, seed=1, most=64, sampler="multijitter"):
    """Return linear radiance (h, w, 3) without the sky seen directly, and the share of each pixel that is not sky
    (h, w); in passes of `most` samples a pixel. Of Mitsuba's samplers only `independent` takes any number of them."""
    import mitsuba as mi

    position, target, up = arrays["camera"][which].tolist()
    width, height = (int(each) for each in arrays["size"])
    integrator = mi.load_dict({"type": "path", "max_depth": 32, "rr_depth": 8, "hide_emitters": True})
    sensor = mi.load_dict(
        {
            "type": "perspective",
            "fov": float(np.degrees(arrays["fov"][which])),
            "fov_axis": "x",
            "near_clip": float(arrays["near"][which]),
            "principal_point_offset_x": float(arrays["shift"][which][0]),  # of the width
            "principal_point_offset_y": float(-arrays["shift"][which][1]),  # of the height
            "to_world": mi.ScalarTransform4f().look_at(position, target, up),
            "film": {
                "type": "hdrfilm",
                "width": width,
                "height": height,
                "rfilter": {"type": "box"},
                "pixel_format": "rgba",
                "component_format": "float32",
            },
            "sampler": {"type": sampler, "sample_count": min(samples, most)},
        }
    )
    total, passes = 0.0, max(1, samples // most)
    for number in range(passes):
        seen = np.array(mi.render(scene, sensor=sensor, integrator=integrator, seed=seed * 1000 + number,
                                  spp=min(samples, most)))  # fmt: skip
        total = total + seen.astype(np.float64)
    total = total / passes
    return total[..., :3].astype(np.float32), total[..., 3].astype(np.float32)


def keep(path, radiance, cover):
    """Write a picture small: half floats of fewer bits, bytes of one weight together."""
    half = radiance.astype(np.float16).view(np.uint16)
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


def export_all(folder, size=""):
    """Write both scenes' arrays; `size` as 1600x1000, none being that of the pictures kept."""
    sys.path[:0] = [str(HERE.parents[2]), str(HERE)]
    from picture_scenes import SIZE, export, lit_room

    pixels = tuple(int(each) for each in size.split("x")) if size else SIZE
    for name in NAMES:
        np.savez_compressed(folder / f"{name}.npz", **export(lit_room(name), pixels))


def trace_all(folder, target, samples):
    import mitsuba as mi

    for variant in ("cuda_ad_rgb", "scalar_rgb"):
        try:
            mi.set_variant(variant)
            mi.load_dict({"type": "rectangle"})  # fails where there is no such device
            break
        except (ImportError, RuntimeError) as problem:
            sys.stdout.write(f"{variant}: {problem}\n")
    sys.stdout.write(f"{mi.variant()}\n")
    for name in NAMES:
        with np.load(folder / f"{name}.npz") as found:
            arrays = dict(found)
        scene = scene_of(arrays)
        most = max(1, PASS // int(np.prod(arrays["size"])))
        for which in range(len(arrays["camera"])):
            start = time.perf_counter()
            keep(target / f"picture_{name}_{which + 1}.npz", *trace(scene, arrays, which, samples, most=most))
            sys.stdout.write(f"{name} {which + 1}: {samples} samples, {time.perf_counter() - start:.1f} s\n")
            sys.stdout.flush()


if __name__ == "__main__":
    if sys.argv[1:2] == ["export"]:
        export_all(Path(sys.argv[2]))
    elif sys.argv[1:2] == ["trace"]:
        trace_all(Path(sys.argv[2]), Path(sys.argv[3]), int(sys.argv[4]))
    else:
        import tempfile

        own = sys.argv[2:5] if sys.argv[1:2] == ["both"] else (HERE, SAMPLES, "")
        with tempfile.TemporaryDirectory() as folder:
            export_all(Path(folder), own[2])
            trace_all(Path(folder), Path(own[0]), int(own[1]))
