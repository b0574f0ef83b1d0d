"""Draw an exported room with Cycles, the path tracer of Blender, and its denoiser.

    python tests/benchmarks/cycles_scene.py SCENE.npz WHICH SAMPLES TARGET.npz [--noisy]

Run by picture_table.py with a Python that has the package bpy (4.5 wants Python 3.11); needs that and numpy only. The
scene is what Mitsuba gets (tests/published/reference/trace_pictures.py), in Cycles's own terms: the shell diffuse, the
floor a Principled surface, which is diffuse under a rough GGX coat, windows emitters of the overcast sky that the
camera does not see. Cycles's coat dims the wood by the way it is seen from only, Mitsuba's by the way light comes in
too: in grazing light the wood is a little brighter here. Nothing is clamped or blurred: the mean is right at any count
of samples.

Written to TARGET: linear radiance (h, w, 3), `cover` (h, w) as by `trace_pictures.trace`; seconds by the clock and of
processor time, of the drawing alone, scene loaded; peak memory in MiB.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import bpy
import numpy as np


class Material:
    """Nodes of one material: `add` a node with its inputs, each a value or another node's output."""

    def __init__(self, name):
        self.made = bpy.data.materials.new(name)
        self.made.use_nodes = True
        self.made.cycles.emission_sampling = "FRONT"
        self.made.node_tree.nodes.clear()

    def add(self, kind, settings=(), **inputs):
        """Return a new node; inputs by name, spaces as _, or as in2 for the third; a node gives its first output."""
        node = self.made.node_tree.nodes.new("ShaderNode" + kind)
        for key, value in dict(settings).items():
            setattr(node, key, value)
        for key, value in inputs.items():
            numbered = key.startswith("in") and key[2:].isdigit()
            into = node.inputs[int(key[2:])] if numbered else node.inputs[key.replace("_", " ")]
            value = value.outputs[0] if isinstance(value, bpy.types.Node) else value
            if isinstance(value, bpy.types.NodeSocket):
                self.made.node_tree.links.new(value, into)
            else:
                into.default_value = value
        return node

    def done(self, surface):
        self.add("OutputMaterial", Surface=surface)
        return self.made


def matt(rgb):
    made = Material("matt")
    return made.done(made.add("BsdfDiffuse", Color=(*rgb, 1)))


def coated(image, alpha, ior):
    """Diffuse wood under a rough clear coat; Cycles squares its roughness to get alpha."""
    made = Material("coated")
    colour = made.add("TexImage", {"image": image, "extension": "EXTEND"})
    passed = made.add("VectorMath", {"operation": "SCALE"}, in0=colour, Scale=compensation(alpha, ior))
    inputs = {"Base_Color": passed, "Roughness": float(np.sqrt(alpha)), "IOR": float(ior)}
    return made.done(made.add("BsdfPrincipled", {"distribution": "GGX"}, **inputs))


def compensation(alpha, ior):
    """Return what the wood's colour is to be multiplied by, as for Mitsuba, so that light from all round comes back
    from it as through a smooth coat: Principled gives it what its rough coat leaves, a little more."""
    return float((1 - mean_reflectance(1e-4, ior)) / (1 - mean_reflectance(alpha, ior)))


def mean_reflectance(alpha, ior, steps=64):
    """Return the share of light from all round that a GGX interface reflects, scattering it once (Walter et al. 2007,
    EGSR), by sums over the way in and over facets as likely as they are."""
    middle = (np.arange(steps) + 0.5) / steps
    square, turn, likely = np.meshgrid(middle, np.pi * middle, middle, indexing="ij")
    cos_in = np.sqrt(square)  # so that light from all round comes evenly
    cos_facet = 1 / np.sqrt(1 + alpha**2 * likely / (1 - likely))
    met = cos_in * cos_facet + np.sqrt((1 - square) * (1 - cos_facet**2)) * np.cos(turn)
    cos_out = 2 * met * cos_facet - cos_in
    good = (met > 0) & (cos_out > 0)
    cos_out, met = np.where(good, cos_out, 1), np.where(good, met, 1)
    shadowed = 1.0
    for cosine in (cos_in, cos_out):
        shadowed = shadowed * 2 / (1 + np.sqrt(1 + alpha**2 * (1 / cosine**2 - 1)))
    inside = np.sqrt(1 - (1 - met**2) / ior**2)
    across, along = (met - ior * inside) / (met + ior * inside), (ior * met - inside) / (ior * met + inside)
    fresnel = (across**2 + along**2) / 2
    return np.mean(good * fresnel * shadowed * met / (cos_in * cos_facet))


def emitter(arrays, radiance=None):
    """An even emitter of `radiance` (3,), or one that shows the overcast sky and the ground (Moon and Spencer 1942);
    from its front only."""
    made = Material("emitter")
    geometry = made.add("NewGeometry").outputs
    if radiance is None:
        height = made.add("SeparateXYZ", Vector=geometry["Incoming"]).outputs["Z"]  # less the way's own height
        gradient = made.add("Math", {"operation": "MULTIPLY_ADD"}, in0=height, in1=-2 / 3, in2=1 / 3)
        zenith = made.add("VectorMath", {"operation": "SCALE"}, in0=arrays["zenith"].tolist(), Scale=gradient)
        up = made.add("Math", {"operation": "LESS_THAN"}, in0=height, in1=0.0)
        ground = arrays["ground"].tolist()
        colour = made.add("Mix", {"data_type": "VECTOR"}, in0=up, in4=ground, in5=zenith).outputs[1]
    else:
        colour = (*radiance, 1)
    front = made.add("Math", {"operation": "SUBTRACT"}, in0=1.0, in1=geometry["Backfacing"])
    return made.done(made.add("Emission", Color=colour, Strength=front))


def mesh(name, vertices, faces, material, uv=None):
    made = bpy.data.meshes.new(name)
    made.from_pydata(vertices.tolist(), [], faces.tolist())
    if uv is not None:
        made.uv_layers.new().uv.foreach_set("vector", uv[faces].astype(np.float32).ravel())
    made.materials.append(material)
    thing = bpy.data.objects.new(name, made)
    bpy.context.scene.collection.objects.link(thing)
    return thing


def fill(arrays):
    """Make the room's meshes and emitters in the empty scene."""
    height, width = arrays["colours"].shape[:2]
    plan = bpy.data.images.new("plan", width, height, float_buffer=True)
    plan.colorspace_settings.name = "Non-Color"  # linear already
    bright = np.ones((height, width, 4), np.float32)
    bright[..., :3] = np.clip(arrays["colours"], 0, 0.99)
    plan.pixels.foreach_set(bright.ravel())
    coats = [coated(plan, *both) for both in zip(arrays["roughness"], arrays["ior"], strict=True)]
    for name in sorted({key.split(".")[0] for key in arrays if "." in key}):
        own = {key.split(".")[1]: arrays[key] for key in arrays if key.startswith(name + ".")}
        if name.startswith("part"):
            mesh(name, own["vertices"], own["faces"], matt(own["reflectance"]))
        elif name.startswith("floor"):
            mesh(name, own["vertices"], own["faces"], coats[int(name[5])], own["uv"])
        else:
            light = emitter(arrays, own["radiance"] if name.startswith("curtain") else None)
            mesh(name, own["corners"], np.arange(len(own["corners"]))[None], light).visible_camera = False


def look(arrays, which):
    """Put the camera where the exported one stands."""
    scene = bpy.context.scene
    position, target, up = arrays["camera"][which]
    back = (position - target) / np.linalg.norm(position - target)
    right = np.cross(up, back) / np.linalg.norm(np.cross(up, back))
    lens = bpy.data.cameras.new("camera")
    lens.sensor_fit, lens.angle = "HORIZONTAL", float(arrays["fov"][which])
    right, up = arrays["shift"][which].tolist()
    lens.shift_x, lens.shift_y = right, up * float(arrays["size"][1] / arrays["size"][0])  # both of the width
    lens.clip_start = float(arrays["near"][which])
    scene.camera = bpy.data.objects.new("camera", lens)
    pose = np.eye(4)
    pose[:3] = np.stack([right, np.cross(back, right), back, position], axis=1)
    scene.camera.matrix_world = pose.T.tolist()  # Blender takes columns
    scene.collection.objects.link(scene.camera)
    scene.render.resolution_x, scene.render.resolution_y = (int(each) for each in arrays["size"])


def choose(denoise):
    """Set Cycles as Mitsuba is set: box pixels, 32 bounces, no clamps; then its denoiser."""
    scene = bpy.context.scene
    scene.world = None
    scene.render.engine = "CYCLES"
    scene.render.film_transparent = True
    scene.render.use_persistent_data = True
    cycles = scene.cycles
    cycles.pixel_filter_type = "BOX"
    cycles.max_bounces = cycles.diffuse_bounces = cycles.glossy_bounces = 32
    cycles.sample_clamp_direct = cycles.sample_clamp_indirect = cycles.blur_glossy = cycles.light_sampling_threshold = 0
    cycles.use_adaptive_sampling = False
    cycles.use_denoising = denoise
    cycles.denoiser = "OPENIMAGEDENOISE"
    cycles.denoising_input_passes = "RGB_ALBEDO_NORMAL"
    settings = scene.render.image_settings
    settings.file_format, settings.color_mode, settings.color_depth = "OPEN_EXR", "RGBA", "32"  # linear, no view


def drawn(samples, folder):
    """Return the picture's radiance and cover, and the seconds by the clock and of processor time it took."""
    scene = bpy.context.scene
    scene.render.filepath = str(Path(folder) / "picture.exr")
    scene.cycles.samples = samples
    start = time.perf_counter(), time.process_time()
    bpy.ops.render.render(write_still=True)
    seconds = time.perf_counter() - start[0], time.process_time() - start[1]
    image = bpy.data.images.load(scene.render.filepath)
    image.alpha_mode, image.colorspace_settings.name = "CHANNEL_PACKED", "Non-Color"
    pixels = np.empty(image.size[0] * image.size[1] * 4, np.float32)
    image.pixels.foreach_get(pixels)
    pixels = pixels.reshape(image.size[1], image.size[0], 4)[::-1]  # Blender begins at the bottom
    return pixels[..., :3], pixels[..., 3], seconds


def peak_memory():
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


def main():
    source, which, samples, target = sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), sys.argv[4]
    bpy.ops.wm.read_factory_settings(use_empty=True)
    with np.load(source) as found:
        arrays = dict(found)
    fill(arrays)
    look(arrays, which)
    choose("--noisy" not in sys.argv)
    with tempfile.TemporaryDirectory() as folder:
        drawn(1, folder)  # loads the scene and keeps it loaded
        radiance, cover, (wall, processor) = drawn(samples, folder)
    np.savez(target, radiance=radiance, cover=cover, wall=wall, processor=processor, memory=peak_memory())


if __name__ == "__main__":
    main()
