"""The commands that need no picture: check and lay."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

from preview.commands.reading import choose_variants, read_jobs
from preview.errors import UsageError
from preview.steps import check_materials, check_viewpoints, lay_jobs
from preview.units import SQUARE_FOOT, system

if TYPE_CHECKING:
    from preview.floor.laid import LaidFloor
    from preview.light.result.report import FloorLux

Form = Literal["text", "json", "svg"]


def check_scene(scene: str, light: bool = False, materials: Path | None = None) -> str:
    """Return what was understood of a scene, every variant laid to be sure that it can be.

    light: whether the daylight on the base scene's floor is computed and told too.
    """
    from preview.paper.words.check_text import check_text

    read = read_jobs(scene, materials)
    if materials is not None:
        check_materials(read)
    floors = lay_jobs(read)
    remarks = check_viewpoints(floors[0])
    lux = _floor_light(floors[0]) if light else None
    return check_text(floors, lux, remarks)


def lay_scene(
    scene: str,
    variant: str | None,
    form: Form,
    light: bool = False,
    box: float | None = None,
    materials: Path | None = None,
) -> bytes:
    """Return one variant's layout as a document in UTF-8; the base scene's where `variant` is None.

    light: whether the daylight on the floor is computed and told beside the plan.
    box: what a box of boards covers, in square feet or square metres by the units of the scene; told in the text.
    """
    if box is not None and (form != "text" or not 0 < box < 1000):
        raise UsageError("--box takes the area that one box covers, such as 20, and needs --format text")
    if light and form != "svg":
        raise UsageError("--light prints the daylight beside the plan: add --format svg, or use check --light")
    jobs = read_jobs(scene, materials)
    job = choose_variants(jobs, [variant])[0] if variant is not None else jobs[0]
    floor = lay_jobs([job])[0]
    if form == "json":
        from preview.paper.exports.layout_json import layout_json

        return layout_json(floor).encode()
    if form == "svg":
        from preview.paper.plan.plan_svg import plan_svg

        return plan_svg(floor, _floor_light(floor) if light else None)
    from preview.paper.words.layout_text import layout_text

    square = SQUARE_FOOT if system(job.units) == "imperial" else 1.0
    return layout_text(floor, None if box is None else box * square).encode()


def _floor_light(floor: LaidFloor) -> FloorLux:
    from preview.session import floor_light

    return floor_light(floor)
