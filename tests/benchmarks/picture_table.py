"""The table of pictures: how long, how far from the converged one, how much memory.

    python -m tests.benchmarks.picture_table [WIDTHxHEIGHT]

One viewpoint of the dining room (the third of tests/published/reference/picture_scenes.py), drawn by this program, by
Mitsuba at 8, 32 and 128 samples (mitsuba and flip-evaluator: the extra `reference`) and by pyrender's own shader with a
light in each window. Mitsuba sees the sky as an environment map, which it finds through windows by chance; it would do
better with a light in each window, as the converged picture had. FLIP is against the converged picture kept beside
trace_pictures.py, at its size only. Each is run in a process of its own, so that peak memory is its own; seconds are of
the drawing alone, scene loaded and light baked.
"""

from __future__ import annotations

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
WAYS = ("ours, first picture", "ours, a further one", "mitsuba 8", "mitsuba 32", "mitsuba 128", "pyrender")


def draw(way: str, size: tuple[int, int], folder: Path) -> tuple[np.ndarray, float]:
    """Return what one way draws, (h, w, 3) bytes, and how many seconds that took."""
    from picture_scenes import lit_room

    from preview.picture import open_engine

    if way.startswith("mitsuba"):
        return _traced(int(way.split()[1]), folder)
    room = lit_room(NAME)
    cameras = room.cameras(size)
    assert room.lighting.parts  # baked or read before the clock starts
    if way == "pyrender":
        return _plain(room, cameras[WHICH])
    start = time.perf_counter()
    with open_engine(room.model, room.boards, room.lighting, fibre=False) as engine:
        if way.endswith("further one"):
            engine.draw(cameras[0], room.exposure)
            start = time.perf_counter()
        picture = engine.draw(cameras[WHICH], room.exposure)
        return picture.rgb, time.perf_counter() - start


def _traced(samples: int, folder: Path) -> tuple[np.ndarray, float]:
    import mitsuba as mi
    from picture_compare import finish
    from trace_pictures import scene_of, trace

    mi.set_variant("scalar_rgb")
    with np.load(folder / "scene.npz") as found:
        arrays = dict(found)
    scene = scene_of(arrays)
    start = time.perf_counter()
    radiance, cover = trace(scene, arrays, WHICH, samples, most=samples)
    seconds = time.perf_counter() - start
    return finish(radiance, cover, arrays["exposure"], arrays["backdrop"]), seconds


def _plain(room, camera) -> tuple[np.ndarray, float]:
    """pyrender as it comes: metallic-roughness materials, the pages as textures, a point light in each pane whose
    flux is the pane's, ambient light for the rest; our exposure and tone mapping."""
    from preview.picture import gl_platform

    gl_platform.choose_platform()
    from preview.picture import engine

    pyrender = engine.pyrender  # made to run on today's numpy and PyOpenGL

    exposure = float(np.mean(room.exposure))
    mean = float(room.lighting.floor.irradiance.mean()) * exposure / np.pi
    scene = pyrender.Scene(ambient_light=[0.5 * mean] * 3, bg_color=[1.0, 1.0, 1.0, 1.0])
    for mesh in room.model.floor:
        page = room.boards.pages[mesh.page]
        material = pyrender.MetallicRoughnessMaterial(
            baseColorTexture=pyrender.Texture(source=page, source_channels="RGB"),
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
    from preview.picture.draw import pose as pose_of

    width, height = camera.size
    up = 2 * np.arctan(np.tan(camera.fov / 2) * height / width)
    scene.add(pyrender.PerspectiveCamera(yfov=up, aspectRatio=width / height, znear=0.05), pose=pose_of(camera))
    renderer = pyrender.OffscreenRenderer(width, height)
    start = time.perf_counter()
    colour, _ = renderer.render(scene)
    return np.asarray(colour), time.perf_counter() - start


def prepare(folder: Path, size: tuple[int, int]) -> np.ndarray:
    """Write the scene for Mitsuba and return the converged picture, finished as ours."""
    from picture_compare import draw_room, finish
    from picture_scenes import SIZE, export, lit_room
    from trace_pictures import kept

    room = lit_room(NAME)
    backdrop = draw_room(room, size)[1][WHICH]
    np.savez(folder / "scene.npz", **export(room, size), exposure=np.asarray(room.exposure), backdrop=backdrop)
    radiance, cover = kept(REFERENCE / f"picture_{NAME}_{WHICH + 1}.npz")
    return finish(radiance, cover, room.exposure, backdrop) if size == SIZE else np.zeros((0, 0, 3), np.uint8)


def _peak_memory() -> float:
    """Return this process's peak memory, MiB; by Linux's own account, as rusage would count its parent's too."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


def main() -> None:
    """Print the table; with --one WAY, draw that one and print its figures."""
    if sys.argv[1:2] == ["--one"]:
        way, size, folder = sys.argv[2], tuple(map(int, sys.argv[3].split("x"))), Path(sys.argv[4])
        picture, seconds = draw(way, size, folder)
        np.save(folder / "picture.npy", picture)
        sys.stdout.write(json.dumps({"seconds": seconds, "memory": _peak_memory()}))
        return
    from picture_compare import mean_flip

    text = sys.argv[1] if len(sys.argv) > 1 else "400x250"
    size = tuple(map(int, text.split("x")))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        converged = prepare(folder, size)
        sys.stdout.write(f"{text:20s} {'seconds':>8s} {'FLIP':>7s} {'MiB':>6s}\n")
        for way in WAYS:
            command = [sys.executable, "-m", "tests.benchmarks.picture_table", "--one", way, text, name]
            run = subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=True)
            found = json.loads(run.stdout.strip().splitlines()[-1])
            flip = mean_flip(converged, np.load(folder / "picture.npy")) if converged.size else float("nan")
            sys.stdout.write(f"{way:20s} {found['seconds']:8.2f} {flip:7.3f} {found['memory']:6.0f}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
