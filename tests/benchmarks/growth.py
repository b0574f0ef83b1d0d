"""How the time of each step grows with the floor: ``python -m tests.benchmarks.growth``.

Square halls of herringbone, from 10 square metres to the 10,000 that are still accepted in these boards; processor time
of each step, over that of a fixed peer in the same run, so that two machines can be compared. The exponent is the slope
of log time over log area from `FITTED` square metres on, below which set-up counts most.

``--most AREA`` leaves out larger halls, ``--steps`` other steps. ``--keep`` writes what was found to ``growth.toml``,
against which the benchmark of growth holds what is quick.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from time import process_time
from typing import TypeVar

import numpy as np
import shapely

from preview.floor.laid import LaidFloor
from preview.light.bake import light_room
from preview.model.build import build_model
from preview.paper.card.card import layer_card
from preview.paper.words.layout_text import layout_text
from preview.picture.draw import open_engine
from preview.scene import read_scene
from preview.steps import cameras, lay_jobs
from preview.wood.boards import cut_boards

AREAS = (10, 100, 1000, 10_000)
FITTED = 100
STEPS = ("layout", "wood", "model", "light", "picture", "text", "card")
KEPT = Path(__file__).with_name("growth.toml")
VIEW = (480, 300)  # pixels
FINEST = 200.0  # pixels a metre, as boards are seen in such a picture of a hall

SCENE = """
title = "Hall"
units = "m"
room.corners = [[0, 0], [{side}, 0], [{side}, {side}], [0, {side}]]
room.height = 4
floor.board_width = 0.14
floor.board_length = 0.84
border.width = 0.2
wood.species = "white oak"
openings = [
  {{ name = "door", kind = "door", wall = 1, offset = 1, width = 1, height = 2.1 }},
  {{ name = "window", kind = "window", wall = 3, offset = 0.5, width = 2, height = 2, sill = 0.9 }},
]
viewpoints = [{{ name = "plan", kind = "plan" }}]
"""


def hall(area: float) -> LaidFloor:
    """Return a square hall of so many square metres, laid."""
    return lay_jobs([read_scene(SCENE.format(side=round(area**0.5, 3)), "hall.toml")[0]])[0]


Made = TypeVar("Made")


def timed(work: Callable[[], Made]) -> tuple[float, Made]:
    """Return the processor time of a work, seconds, and what it returned."""
    start = process_time()
    made = work()
    return process_time() - start, made


def least(work: Callable[[], Made]) -> tuple[float, Made]:
    """Return the same of the quickest of three times: what else runs on the machine counts less."""
    return min((timed(work) for _ in range(3)), key=lambda each: each[0])


def peer() -> float:
    """Return the processor time of a fixed work of the same kinds: polygons cut, arrays sorted, a loop of Python."""
    low = np.random.default_rng(1).random((2, 20_000))
    boxes, round_ = shapely.box(*low, *(low + 0.5)), shapely.Point(0.7, 0.7).buffer(0.5)

    def work() -> None:
        shapely.area(shapely.intersection(boxes, round_))
        np.sort(np.random.default_rng(2).random(2_000_000))
        sum(number * number for number in range(500_000))

    return least(work)[0]


def seconds(area: float, steps: Sequence[str] = STEPS) -> Iterator[tuple[str, float]]:
    """Yield the processor time of each of `steps` for a hall of so many square metres, nothing cached."""
    took, floor = least(lambda: hall(area))
    yield "layout", took
    took, text = least(lambda: layout_text(floor))
    assert text
    yield "text", took
    if "card" in steps:
        yield "card", timed(lambda: layer_card(floor))[0]
    if not {"wood", "model", "light", "picture"} & {*steps}:
        return
    job, layout = floor.job, floor.layout
    with tempfile.TemporaryDirectory() as folder:
        cut = timed(lambda: cut_boards(layout, job.wood, job.border_wood, finest=FINEST, folder=Path(folder)))
        yield "wood", cut[0]
        built = least(lambda: build_model(floor.room, layout, cut[1]))
        yield "model", built[0]
        if not {"light", "picture"} & {*steps}:
            return
        lit = timed(lambda: light_room(built[1], floor.room, job.light, folder=Path(folder)))
        yield "light", lit[0]
        if "picture" in steps:
            view = cameras(floor, (), VIEW)[0]
            with open_engine(built[1], cut[1], lit[1]) as engine:
                yield "picture", timed(lambda: engine.draw(view, 0.01))[0]


def exponent(areas: Sequence[float], times: Sequence[float]) -> float:
    """Return the slope of log time over log area, by least squares."""
    return float(np.polyfit(np.log(areas), np.log(times), 1)[0])


def kept() -> dict[str, dict[str, float]]:
    """Return the ratios and the exponents of growth.toml, by step and area."""
    return tomllib.loads(KEPT.read_text(encoding="utf-8"))


def measured(areas: Sequence[float], steps: Sequence[str]) -> dict[str, dict[str, float]]:
    """Return the ratios to the peer's time, by step and area, and tell of each area as it is done."""
    dict(seconds(AREAS[0], steps))  # what is loaded and tabulated once
    one, found = peer(), {step: {} for step in steps}
    for area in areas:
        for step, took in seconds(area, steps):
            if step in steps:
                found[step][str(area)] = took / one
        told = ", ".join(f"{step} {found[step][str(area)]:.3g}" for step in steps)
        sys.stdout.write(f"{area} m2, times the peer's {one:.2f} s: {told}\n")
        sys.stdout.flush()
    return found


def with_exponent(ratios: dict[str, float]) -> dict[str, float]:
    """Return the ratios of a step by area, and the exponent by which they grow."""
    large = [area for area in ratios if float(area) >= FITTED]
    return {**ratios, "exponent": exponent([float(area) for area in large], [ratios[area] for area in large])}


def main() -> int:
    """Print the table; with --keep write what was found into growth.toml, where other steps stay as they are."""
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("--most", type=float, default=AREAS[-1], help="square metres of the largest hall")
    options.add_argument("--steps", default=",".join(STEPS), help="only these, with commas between")
    options.add_argument("--keep", action="store_true", help="write growth.toml")
    chosen = options.parse_args()
    found = measured([area for area in AREAS if area <= chosen.most], chosen.steps.split(","))
    found = {step: with_exponent(ratios) for step, ratios in found.items()}
    for step, ratios in found.items():
        sys.stdout.write(f"{step}: exponent {ratios['exponent']:.2f}\n")
    if chosen.keep:
        every = {**(kept() if KEPT.exists() else {}), **found}
        lines = ["# Processor time by step and square metres, over the peer's of the same run: see growth.py"]
        for step in (each for each in STEPS if each in every):
            lines += ["", f"[{step}]", *(f"{key} = {value:.3g}" for key, value in every[step].items())]
        KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
