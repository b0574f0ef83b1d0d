"""The table of pictures: how long, how far from the converged one, how much memory.

    python -m tests.benchmarks.picture_table [WIDTHxHEIGHT] [--cycles-python PATH] [--reference FOLDER] [--only WAY,WAY]

One viewpoint of the dining room (the third of tests/published/reference/picture_scenes.py), drawn by this program, by
Mitsuba at 8, 32 and 128 samples (mitsuba and flip-evaluator: the extra `reference`), by Cycles at 8 and 64 samples,
denoised (bpy, in a Python 3.11 that --cycles-python names; left out where there is none), and by pyrender's own shader
with a light in each window. Mitsuba sees the sky as an environment map, which it finds through windows by chance; it
would do better with a light in each window, as the converged picture had and Cycles has: `--only "mitsuba 128
compiled"` is Mitsuba so, compiled by LLVM (DRJIT_LIBLLVM_PATH names a library of 16 or later), compiling included.

Each is run in a process of its own, so that peak memory is its own; seconds are of the drawing alone, scene loaded and
light baked: by the clock, and of processor time on all cores, which others on the machine change less and which
`ours` counts: how many times our first picture's. FLIP is against the converged picture kept beside trace_pictures.py,
at 400x250; at another size, against one that FOLDER holds, made by `trace_pictures.py both FOLDER SAMPLES
WIDTHxHEIGHT`.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

TOP = Path(__file__).resolve().parents[2]
REFERENCE = TOP / "tests/published/reference"
sys.path[:0] = [str(TOP), str(REFERENCE), str(REFERENCE.parent)]

NAME, WHICH = "dining-room", 2
OURS = ("ours, first picture", "ours, a further one")
OTHERS = ("mitsuba 8", "mitsuba 32", "mitsuba 128", "cycles 8", "cycles 64", "pyrender")
CYCLES = Path(__file__).with_name("cycles_scene.py")


class Clock:
    """Seconds since it was made: by the clock and of this process's time on all cores."""

    def __init__(self) -> None:
        self.start = time.perf_counter(), time.process_time()

    def read(self) -> tuple[float, float]:
        return time.perf_counter() - self.start[0], time.process_time() - self.start[1]


def draw(way: str, size: tuple[int, int], folder: Path) -> tuple[np.ndarray, tuple[float, float]]:
    """Return what one way draws, (h, w, 3) bytes, and how many seconds that took (see Clock)."""
    from picture_scenes import lit_room

    from preview.picture import open_engine
    from preview.picture.view.footprint import floor_density

    if way.startswith("mitsuba"):
        return _traced(int(way.split()[1]), way.endswith("compiled"), folder)
    room = lit_room(NAME)
    cameras = room.cameras(size)
    room = lit_room(NAME, floor_density(cameras, room.floor.room))  # boards as fine as they are seen
    assert room.lighting.parts  # baked or read before the clock starts
    if way == "pyrender":
        return _plain(room, cameras[WHICH])
    clock = Clock()
    with open_engine(room.model, room.boards, room.lighting, fibre=False) as engine:
        if way == OURS[1]:
            engine.draw(cameras[0], room.exposure)
            clock = Clock()
        picture = engine.draw(cameras[WHICH], room.exposure)
        return picture.rgb, clock.read()


def _traced(samples: int, compiled: bool, folder: Path) -> tuple[np.ndarray, tuple[float, float]]:
    import mitsuba as mi
    from picture_compare import finish
    from trace_pictures import scene_of, trace

    mi.set_variant("llvm_ad_rgb" if compiled else "scalar_rgb")
    with np.load(folder / "scene.npz") as found:
        arrays = dict(found)
    scene = scene_of(arrays)
    clock = Clock()
    most = 64 if compiled else samples
    radiance, cover = trace(scene, arrays, WHICH, samples, most=most, sampler="independent")
    seconds = clock.read()
    return finish(radiance, cover, arrays["exposure"], arrays["backdrop"]), seconds


def _plain(room, camera) -> tuple[np.ndarray, tuple[float, float]]:
    """pyrender as it comes: metallic-roughness materials, the pages as textures, a point light in each pane whose
    flux is the pane's, ambient light for the rest; our exposure and tone mapping."""
    from preview.picture.device import gl_platform

    gl_platform.choose_platform()
    from preview.picture.device import engine

    pyrender = engine.pyrender  # made to run on today's numpy and PyOpenGL

    exposure = float(np.mean(room.exposure))
    mean = float(room.lighting.floor.irradiance.mean()) * exposure / np.pi
    scene = pyrender.Scene(ambient_light=[0.5 * mean] * 3, bg_color=[1.0, 1.0, 1.0, 1.0])
    for mesh in room.model.floor:
        page = room.boards.pages[mesh.page]
        material = pyrender.MetallicRoughnessMaterial(
            baseColorTexture=pyrender.Texture(source=page[..., :3], source_channels="RGB"),
            roughnessFactor=float(np.sqrt(room.boards.finish.roughness)), metallicFactor=0.0, doubleSided=True,
        )  # fmt: skip
        primitive = pyrender.Primitive(
            mesh.vertices, normals=mesh.normals, texcoord_0=mesh.uv * (1, -1), indices=mesh.faces, material=material
        )
        scene.add(pyrender.Mesh([primitive]))
    for part in room.model.parts:
        if part.surface not in ("glass", "outside") and len(part.faces):
            material = pyrender.MetallicRoughnessMaterial(
                baseColorFactor=[*part.albedo, 1.0], roughnessFactor=1.0, metallicFactor=0.0, doubleSided=True
            )
            primitive = pyrender.Primitive(part.vertices, normals=part.normals, indices=part.faces, material=material)
            scene.add(pyrender.Mesh([primitive]))
    for pane in room.lighting.emitters:
        corners = np.asarray(pane.corners)
        area = np.linalg.norm(np.cross(corners[1] - corners[0], corners[-1] - corners[0]))
        pose = np.eye(4)
        pose[:3, 3] = corners.mean(axis=0) + 0.1 * next(p.inward for p in room.model.panes if p.name == pane.name)
        bright = float(pane.radiance.mean()) * area * exposure
        scene.add(pyrender.PointLight(color=[1.0, 1.0, 1.0], intensity=bright), pose=pose)
    from preview.picture.device.stage import WindowCamera

    scene.add(WindowCamera(camera.window(), False, 0.05, 100.0), pose=camera.pose())
    renderer = pyrender.OffscreenRenderer(*camera.size)
    clock = Clock()
    colour, _ = renderer.render(scene)
    return np.asarray(colour), clock.read()


def draw_with_cycles(python: str, samples: int, folder: Path) -> dict[str, float]:
    """Have cycles_scene.py draw, write its picture finished as ours, and return its figures."""
    from picture_compare import finish

    scene, target = folder / "scene.npz", folder / "cycles.npz"
    subprocess.run([python, CYCLES, scene, str(WHICH), str(samples), target], capture_output=True, check=True)
    with np.load(scene) as arrays, np.load(target) as found:
        picture = finish(found["radiance"], found["cover"], arrays["exposure"], arrays["backdrop"])
        np.save(folder / "picture.npy", picture)
        return {key: float(found[key]) for key in ("wall", "processor", "memory")}


def has_cycles(python: str) -> bool:
    return subprocess.run([python, "-c", "import bpy"], capture_output=True, check=False).returncode == 0


def prepare(folder: Path, size: tuple[int, int], reference: Path) -> np.ndarray | None:
    """Write the scene for the path tracers and return the converged picture of this size, finished as ours."""
    from picture_compare import draw_room, finish
    from picture_scenes import export, lit_room
    from trace_pictures import kept

    room = lit_room(NAME)
    backdrop = draw_room(room, size)[1][WHICH]
    np.savez(folder / "scene.npz", **export(room, size), exposure=np.asarray(room.exposure), backdrop=backdrop)
    path = reference / f"picture_{NAME}_{WHICH + 1}.npz"
    if not path.exists():
        return None
    radiance, cover = kept(path)
    return finish(radiance, cover, room.exposure, backdrop) if cover.shape == size[::-1] else None


def _peak_memory() -> float:
    """Return this process's peak memory, MiB; by Linux's own account, as rusage would count its parent's too."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


def figures_of(way: str, size: str, folder: Path, python: str) -> dict[str, float]:
    """Draw one way in a process of its own, leave picture.npy in the folder, and return seconds and MiB."""
    if way.startswith("cycles"):
        return draw_with_cycles(python, int(way.split()[1]), folder)
    command = [sys.executable, "-m", "tests.benchmarks.picture_table", size, "--one", way, "--into", str(folder)]
    run = subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=True)
    return json.loads(run.stdout.strip().splitlines()[-1])


def options() -> argparse.Namespace:
    found = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    found.add_argument("size", nargs="?", default="400x250", help="pixels, such as 1600x1000")
    found.add_argument("--cycles-python", default=sys.executable, help="a Python that has bpy")
    found.add_argument("--reference", type=Path, default=REFERENCE, help="folder of converged pictures of this size")
    found.add_argument("--only", type=lambda text: text.split(","), default=OTHERS, help=", ".join(OTHERS))
    found.add_argument("--one", help=argparse.SUPPRESS)  # draw this way only, and print its figures as JSON
    found.add_argument("--into", type=Path, help=argparse.SUPPRESS)
    return found.parse_args()


def main() -> None:
    """Print the table."""
    asked = options()
    size = tuple(map(int, asked.size.split("x")))
    if asked.one:
        picture, (wall, processor) = draw(asked.one, size, asked.into)
        np.save(asked.into / "picture.npy", picture)
        sys.stdout.write(json.dumps({"wall": wall, "processor": processor, "memory": _peak_memory()}))
        return
    from picture_compare import mean_flip

    ways = [*OURS, *asked.only]
    if any(way.startswith("cycles") for way in ways) and not has_cycles(asked.cycles_python):
        sys.stdout.write(f"no bpy in {asked.cycles_python}: without Cycles; name one that has it by --cycles-python\n")
        ways = [way for way in ways if not way.startswith("cycles")]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        converged = prepare(folder, size, asked.reference)
        if converged is None:
            sys.stdout.write("no reference at this size; name a folder that has one by --reference\n")
        sys.stdout.write(f"{asked.size:20s} {'clock s':>8s} {'CPU s':>8s} {'ours':>6s} {'FLIP':>6s} {'MiB':>6s}\n")
        ours = 0.0
        for way in ways:
            found = figures_of(way, asked.size, folder, asked.cycles_python)
            ours = ours or found["processor"]
            flip = "" if converged is None else f"{mean_flip(converged, np.load(folder / 'picture.npy')):.3f}"
            seconds = f"{found['wall']:8.2f} {found['processor']:8.2f} {found['processor'] / ours:6.1f}"
            sys.stdout.write(f"{way:20s} {seconds} {flip:>6s} {found['memory']:6.0f}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
