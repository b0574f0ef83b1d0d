"""The layer's card: one page from which somebody who never saw the program lays the floor."""

from __future__ import annotations

from typing import Literal

from preview.floor.layout import Layout
from preview.paper.card_lists import card_lists
from preview.paper.card_steps import card_steps
from preview.paper.fitted_plan import FittedPlan, layer_plan
from preview.paper.layout_text import CAUTIONS
from preview.paper.plan_sheet import imperial
from preview.paper.right_angle import RightAngle, right_angle
from preview.paper.typesetting import typeset
from preview.paper.year import year_step
from preview.room.room import Room
from preview.scene.job import Job

PLAN_BESIDE = (134.0, 165.0)  # mm, the plan with the steps beside it
PLAN_ABOVE = (189.0, 135.0)  # mm, the plan with everything under it


def layer_card(room: Room, layout: Layout, job: Job, form: Literal["pdf", "svg"] = "pdf") -> bytes:
    """Return the card as a PDF or an SVG of one page, Letter where the scene is in feet or inches, else A4."""
    angle = right_angle(room, layout, job.units)
    beside, plan = _plan(room, layout, job, angle)
    units = job.units
    data = {
        "title": layout.title,
        "variant": layout.variant,
        "paper": "us-letter" if imperial(units) else "a4",
        "sheet": f"plan at {plan.scale_text}, printed at 100 %" + ("" if imperial(units) else f", in {units}"),
        "beside": beside,
        "plan": {
            "width": plan.width,
            "height": plan.height,
            "words": f"Plan of {layout.title} with chalk line, start point, first board and piece outlines",
        },
        "steps": [*card_steps(room, layout, job, angle, plan.ratio), *filter(None, [year_step(room, layout, job)])],
        "columns": card_lists(room, layout, job),
        "warnings": [f"{each[:1].upper()}{each[1:]}" for each in layout.warnings],
        "cautions": CAUTIONS,
    }
    return typeset("card.typ", data, {"plan.svg": plan.svg}, form)


def _plan(room: Room, layout: Layout, job: Job, angle: RightAngle | None) -> tuple[bool, FittedPlan]:
    """Return the plan at the finer scale of two places for it, and whether the steps stand beside it."""
    above, beside = (layer_plan(room, layout, job, angle, *space) for space in (PLAN_ABOVE, PLAN_BESIDE))
    return (True, beside) if beside.ratio <= above.ratio else (False, above)
