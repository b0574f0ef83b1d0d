"""How far each sampling constant is from where more would change nothing: the figures that stand beside them.

    python -m tests.benchmarks.convergence light|picture [NAME ...]

Each constant by itself is set to less and to more; what a value gives is held against what the last, the finest, gives.
Light: of the floor at 4,000 places and of the shell's vertices, the relative difference, per cent, that 95 in a hundred
keep to; where it is dark, relative to a twentieth of the mean.
Pictures: mean FLIP, 800 x 500.
"""

from __future__ import annotations

import importlib
import re
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import shapely
from scipy.ndimage import map_coordinates

from preview.colour import luminance
from preview.light.bake import light_room
from preview.model.build import build_model
from preview.picture.device.gl_platform import choose_platform
from preview.picture.draw import open_engine
from preview.picture.exposure import exposure_for
from preview.picture.view.viewpoints import camera_for
from preview.scene.read import load_scene, read_scene
from preview.steps import lay_jobs, viewpoints
from preview.wood.boards import cut_boards

choose_platform()
from preview.picture.device import engine  # noqa: E402

SCENES = Path(__file__).parents[2] / "scenes"
GEOMETRY = "preview.light.geometry."

# Module, name, values from coarse to fine; the one in use stands among them.
LIGHT = [
    (GEOMETRY + "visibility", "FLOOR_RAYS", (128, 512, 2048)),
    (GEOMETRY + "visibility", "PATCH_RAYS", (128, 512, 2048)),
    (GEOMETRY + "visibility", "NODE_RAYS", (64, 256, 1024)),
    (GEOMETRY + "visibility", "BROAD_RAYS", (512, 2048, 8192)),
    (GEOMETRY + "pane_visibility", "RAYS", (4, 16, 64)),
    (GEOMETRY + "pane_visibility", "MORE", (1, 4, 16)),
    (GEOMETRY + "pane_visibility", "CELL", (0.9, 0.45, 0.225)),
    (GEOMETRY + "pane_visibility", "NEAR", (0.75, 1.5, 3.0)),
    (GEOMETRY + "pane_visibility", "FINE", (2, 3, 6)),
    (GEOMETRY + "pane_visibility", "STEPS", (5, 10, 20)),
    (GEOMETRY + "pane_visibility", "WAVES", (1, 3, 6)),
    (GEOMETRY + "floor_grid", "STRIDE", (8, 4, 1)),
    (GEOMETRY + "floor_grid", "NEAR", (0.1, 0.225, 0.5)),
    (GEOMETRY + "shell", "PATCH", (0.4, 0.2, 0.1)),
    ("preview.light.solve.balance", "GATHERS", (1, 2, 4)),
    ("preview.light.coat", "FACETS", (256, 4096, 65536)),
    ("preview.light.coat", "ANGLES", (12, 48, 192)),
]
LIMITS = [  # out of the way
    (GEOMETRY + "pane_visibility", "MOST_RAYS"),
    *((GEOMETRY + "visibility", each) for each in ("MOST_NODE_RAYS", "MOST_ROWS", "MOST_AGAIN")),
]
PICTURE = [
    ("reflection.frag", "FACETS", (4, 16, 64)),
    ("part.frag", "RAYS", (4, 14, 56)),
    ("floor.frag", "MOST_TAPS", (2, 6, 24)),
    ("preview.picture.reflection.reflection_atlas", "PIXELS", (125_000, 500_000, 2_000_000)),
    ("preview.picture.sun.shadow_map", "PIXELS", (768, 1536, 3072)),
    ("preview.picture.draw", "COAT_PIXELS", (45_000, 180_000, 400_000)),
]


PORCH = """
title = "Porch"
units = "m"
room.corners = [[0, 0], [2.6, 0.3], [2.5, 2.4], [-0.1, 2.2]]
room.height = 2.4
room.baseboard = 0.018
floor.board_width = 0.1
openings = [{ name = "window", kind = "window", wall = 3, offset = 0.8, width = 1.0, height = 1.2, sill = 0.9 },
            { name = "hall", kind = "cased opening", wall = 1, offset = 0.9, width = 0.8, height = 2.0, beyond = 2 }]
obstacles = [{ name = "bench", kind = "cabinet", corners = [[2.06, 0.9], [2.5, 0.95], [2.46, 1.9], [2.02, 1.85]] }]
light = { sky = "clear", sun = { latitude = 51.5, longitude = -0.1, time = 2026-06-14T15:00:00+01:00 } }
north = 200
"""


class Room:
    """A demo room, or the porch, ready to be lit and drawn."""

    def __init__(self, name: str) -> None:
        job = read_scene(PORCH, "porch.toml")[0] if name == "porch" else load_scene(SCENES / f"{name}.toml")[0]
        self.floor = lay_jobs([job])[0]
        self.boards = cut_boards(self.floor.layout, job.wood, job.border_wood, finest=700)
        self.model = build_model(self.floor.room, self.floor.layout, self.boards)
        rng = np.random.default_rng(1)
        low_x, low_y, high_x, high_y = self.floor.room.floor.bounds
        places = rng.random((20_000, 2)) * (high_x - low_x, high_y - low_y) + (low_x, low_y)
        self.places = places[shapely.contains_xy(self.floor.room.floor, *places.T)][:4000]

    def light(self):
        with TemporaryDirectory() as folder:
            return light_room(self.model, self.floor.room, self.floor.job.light, folder=Path(folder))

    def lux(self) -> tuple[np.ndarray, np.ndarray]:
        """Illuminance of the floor at the places, and of all vertices of the shell."""
        found = self.light()
        column, row = ((self.places - found.floor.origin) / found.floor.texel - 0.5).T
        floor = map_coordinates(luminance(found.floor.irradiance), [row, column], order=1, mode="nearest")
        return floor, luminance(np.concatenate(list(found.parts.values())))

    def drawing(self) -> Callable[[], np.ndarray]:
        """What draws the room from its first viewpoint, in light that is found once."""
        lighting = self.light()
        exposure = exposure_for(lighting, "auto", self.model.floor_albedo, self.model.bounds)
        view = next(each for each in viewpoints(self.floor) if each.kind == "eye")
        camera = camera_for(view, self.floor.room, (800, 500))

        def draw() -> np.ndarray:
            with open_engine(self.model, self.boards, lighting) as opened:
                return opened.draw(camera, exposure).rgb.astype(np.float32) / 255

        return draw


@contextmanager
def set_to(module: str, name: str, value):
    """A constant of a module, or of a shader's text, for a while."""
    if module.endswith(".frag"):
        home, key, own = engine, "shader_text", engine.shader_text
        new = lambda file: constant_set(own(file), name, value) if file == module else own(file)  # noqa: E731
    else:
        home, key, new = importlib.import_module(module), name, value
    before = getattr(home, key)
    setattr(home, key, new)
    clear_caches()
    try:
        yield
    finally:
        setattr(home, key, before)
        clear_caches()


def constant_set(text: str, name: str, value: int) -> str:
    """A shader's text with another value of a constant."""
    changed, times = re.subn(rf"(const int {name} = )\d+;", rf"\g<1>{value};", text)
    assert times == 1, name
    return changed


def clear_caches() -> None:
    for module in list(sys.modules.values()):
        if getattr(module, "__name__", "").startswith("preview."):
            for each in list(vars(module).values()):
                if hasattr(each, "cache_clear"):
                    each.cache_clear()


def off(found: np.ndarray, finest: np.ndarray) -> float:
    return 100 * float(np.percentile(np.abs(found - finest) / np.maximum(finest, 0.05 * finest.mean()), 95))


def timed(make, values: Sequence, module: str, name: str) -> list:
    """What is made with each value, and in how many seconds."""
    found = []
    for value in values:
        start = time.perf_counter()
        with set_to(module, name, value):
            found.append((make(), time.perf_counter() - start))
    return found


def tell(room: Room, module: str, name: str, value, words: str, seconds: float) -> None:
    sys.stdout.write(f"{module}: {name} = {value}: {room.floor.job.title}: {words}, {seconds:.1f} s\n")
    sys.stdout.flush()


def light_table(names: list[str]) -> None:
    for module, limit in LIMITS:
        setattr(importlib.import_module(module), limit, 1 << 40)
    for room in (Room("porch"),):
        for module, name, values in (each for each in LIGHT if not names or each[1] in names):
            found = timed(room.lux, values, module, name)
            finest = found[-1][0]
            for value, (lux, seconds) in zip(values, found, strict=True):
                floor, shell = (off(one, other) for one, other in zip(lux, finest, strict=True))
                tell(room, module, name, value, f"floor {floor:.2f} %, shell {shell:.2f} %", seconds)


def picture_table(names: list[str]) -> None:
    import flip_evaluator as flip

    for room in (Room("dining-room"), Room("porch")):
        draw = room.drawing()
        for module, name, values in (each for each in PICTURE if not names or each[1] in names):
            found = timed(draw, values, module, name)
            for value, (picture, seconds) in zip(values, found, strict=True):
                _, mean, _ = flip.evaluate(found[-1][0], picture, "LDR")
                tell(room, module, name, value, f"FLIP {mean:.4f}", seconds)


if __name__ == "__main__":
    {"light": light_table, "picture": picture_table}[sys.argv[1]](sys.argv[2:])
