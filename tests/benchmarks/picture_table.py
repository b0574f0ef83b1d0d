"""The table of pictures: how long, how far from the converged one, how much memory.

    python -m tests.benchmarks.picture_table [WIDTHxHEIGHT] [--only WAY ...]

One viewpoint of the dining room (the third of tests/published/reference/dining-room.toml), drawn by this program, and
by Mitsuba with the same wood at 32 and 128 samples, compiled by LLVM (mitsuba, flip-evaluator: the extra `reference`;
DRJIT_LIBLLVM_PATH names a library of LLVM 19), compiling included.

Each is run in a process of its own, so that peak memory is its own; seconds are by the clock and of processor time on
all cores, which others on the machine change less. `from cold` counts all that this program does from the scene file
on, with nothing stored: layout, light, boards. The others begin with the scene loaded and the light baked: for ours
left out are laying the floor (milliseconds) and reading the stored light. FLIP is against the converged picture, which
is 400x250; at another size there is none.
"""

from __future__ import annotations

import argparse
import json
import os
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
COLD, FIRST, FURTHER = "from cold", "first", "further"
WAYS = (COLD, FIRST, FURTHER, "mitsuba 32", "mitsuba 128")


class Clock:
    """Seconds since it was made: by the clock and of this process's time on all cores."""

    def __init__(self) -> None:
        self.start = time.perf_counter(), time.process_time()

    def read(self) -> tuple[float, float]:
        return time.perf_counter() - self.start[0], time.process_time() - self.start[1]


def draw(way: str, size: tuple[int, int]) -> tuple[float | None, tuple[float, float]]:
    """Draw in one way; return the picture's FLIP, None where there is no converged one, and its seconds (see Clock)."""
    if way.startswith("mitsuba"):
        return _traced(int(way.split()[1]), size)
    from preview.picture.draw import check_drawing, empty_engine
    from preview.picture.view.camera import Camera
    from preview.scene.read import load_scene
    from preview.session.drawn import draw_lit
    from preview.session.pipeline import Pipeline
    from preview.steps import eye_cameras

    def ready(pipeline: Pipeline) -> tuple[list[Camera], tuple]:
        floor = pipeline.lay(load_scene(REFERENCE / f"{NAME}.toml")[0])
        cameras = eye_cameras(floor, size)
        return cameras, (floor, pipeline.lit(floor, floor, cameras))

    check_drawing()  # imports, of which most are the device's
    clock = Clock()
    if way != COLD:
        ready(Pipeline())  # the light is stored; boards too, which the clock counts again
        clock = Clock()
    cameras, shown = ready(Pipeline())
    with empty_engine() as engine:
        if way == FURTHER:
            draw_lit(engine, *shown, cameras[0])
            clock = Clock()
        picture = draw_lit(engine, *shown, cameras[WHICH])
        seconds = clock.read()
    return _flip(size, picture), seconds


def _traced(samples: int, size: tuple[int, int]) -> tuple[float | None, tuple[float, float]]:
    import mitsuba as mi
    from trace_rooms import register_window, trace
    from traced_rooms import export, traced_room
    from wood_reflection import register_wood

    room = traced_room(NAME, size)
    mi.set_variant("llvm_ad_rgb")
    register_wood(mi)
    register_window(mi)
    clock = Clock()
    radiance, _ = trace(mi, export(room), WHICH, samples)
    seconds = clock.read()
    return _flip(size, room.pictures()[WHICH], radiance), seconds


def _flip(size: tuple[int, int], picture, radiance: np.ndarray | None = None) -> float | None:
    """Return how far our picture, or a traced one where its `radiance` is given, is from the converged one."""
    from picture_compare import compared, finish, flip
    from trace_rooms import kept
    from traced_rooms import SIZE, nearest, traced_room

    if size != SIZE:
        return None
    room = traced_room(NAME, size)
    converged, _ = kept(REFERENCE / f"room_{NAME}_{WHICH + 1}.npz")
    told = compared(room, picture, nearest(picture.camera, room))
    seen = picture.rgb if radiance is None else finish(room, picture, radiance, told)
    return float(flip(finish(room, picture, converged, told), seen)[told].mean())


def _peak_memory() -> float:
    """Return this process's peak memory, MiB; by Linux's own account, as rusage would count its parent's too."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


def figures_of(way: str, size: str) -> dict[str, float | None]:
    """Draw one way in a process of its own; from cold with nothing stored."""
    command = [sys.executable, "-m", "tests.benchmarks.picture_table", size, "--one", way]
    with tempfile.TemporaryDirectory() as folder:
        own = os.environ | ({"PREVIEW_CACHE": folder} if way == COLD else {})
        run = subprocess.run(command, cwd=TOP, env=own, capture_output=True, text=True, check=True)
    return json.loads(run.stdout.strip().splitlines()[-1])


def options() -> argparse.Namespace:
    found = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    found.add_argument("size", nargs="?", default="400x250", help="pixels, such as 1600x1000")
    found.add_argument("--only", nargs="+", choices=WAYS, default=WAYS, metavar="WAY", help=", ".join(WAYS))
    found.add_argument("--one", help=argparse.SUPPRESS)  # draw this way only, and print its figures as JSON
    return found.parse_args()


def main() -> None:
    """Print the table."""
    asked = options()
    if asked.one:
        flip, (wall, processor) = draw(asked.one, tuple(map(int, asked.size.split("x"))))
        sys.stdout.write(json.dumps({"flip": flip, "wall": wall, "processor": processor, "memory": _peak_memory()}))
        return
    sys.stdout.write(f"{asked.size:20s} {'clock s':>8s} {'CPU s':>8s} {'FLIP':>6s} {'MiB':>6s}\n")
    for way in asked.only:
        found = figures_of(way, asked.size)
        flip = "" if found["flip"] is None else f"{found['flip']:.3f}"
        sys.stdout.write(
            f"{way:20s} {found['wall']:8.2f} {found['processor']:8.2f} {flip:>6s} {found['memory']:6.0f}\n"
        )
        sys.stdout.flush()


if __name__ == "__main__":
    main()
