"""The layer's card, by which somebody who never saw the program lays the floor: setting out before, cutting behind."""

from __future__ import annotations

from typing import Literal

from preview.floor.laid import LaidFloor
from preview.paper.card.card_lists import card_boards, card_grilles, card_lists, card_obstacles
from preview.paper.card.card_steps import card_steps
from preview.paper.plan.fitted_plan import FittedPlan, fitted_size, layer_plan
from preview.paper.plan.plan_sheet import imperial
from preview.paper.plan.right_angle import RightAngle, right_angle
from preview.paper.typesetting import typeset
from preview.paper.words.layout_text import CAUTIONS
from preview.paper.words.year import year_step

BESIDE = (112.0, 118.0, 124.0, 134.0)  # mm, widths of the plan with the steps beside it, of which the least serves
TALL = 190.0  # mm, the tallest plan with the steps beside it
PLAN_ABOVE = (189.0, 135.0)  # mm, the plan with everything under it
SPACE = (190.0, 223.0)  # mm, what a page has for the plan and the words
GUTTER = 5.0  # mm, round the plan
LETTER = 8.0  # mm² that a letter takes with the space round it, as counted on cards whose words just fit
LEGIBLE = 0.8  # of the words' full size: if they had to be smaller, the plan gives way


def layer_card(floor: LaidFloor, form: Literal["pdf", "svg"] = "pdf") -> bytes:
    """Return the card as a PDF of two pages, Letter where the scene is in feet or inches, else A4; or as an SVG with
    both under one another."""
    layout = floor.layout
    units = floor.job.units
    angle = right_angle(floor.room, layout, units)
    obstacles, grilles = card_obstacles(floor.room, units), card_grilles(floor.room, layout, units)
    year = list(filter(None, [year_step(floor)]))
    words = [*card_steps(floor, angle), *year, *obstacles, *grilles, layout.warnings]
    beside, plan = _plan(floor, angle, sum(len(each) for lines in words for each in lines))
    data = {
        "title": layout.title,
        "variant": layout.variant,
        "paper": "us-letter" if imperial(units) else "a4",
        "sheet": f"plan at {plan.scale_text}, printed at 100 %" + ("" if imperial(units) else f", in {units}"),
        "beside": beside,
        "obstacles": obstacles,
        "pages": form == "pdf",
        "grilles": grilles,
        "plan": {
            "width": plan.width,
            "height": plan.height,
            "words": f"Plan of {layout.title} with chalk line, start point, first board and piece outlines",
        },
        "steps": [*card_steps(floor, angle, plan.ratio), *year],
        "boards": card_boards(floor),
        "lists": card_lists(floor),
        "warnings": [f"{each[:1].upper()}{each[1:]}" for each in layout.warnings],
        "cautions": CAUTIONS,
    }
    return typeset("card.typ", data, {"plan.svg": plan.svg}, form)


def _plan(floor: LaidFloor, angle: RightAngle | None, letters: int) -> tuple[bool, FittedPlan]:
    """Return the plan at the finer scale of two places for it, and whether the steps stand beside it; where that place
    leaves no space to print so many `letters` legibly, the place that leaves more."""
    above_height, above_ratio = fitted_size(floor.room, floor.job, *PLAN_ABOVE)
    narrow = [(width, *fitted_size(floor.room, floor.job, width, TALL)) for width in BESIDE]
    beside, beside_height, beside_ratio = next(each for each in narrow if each[2] == narrow[-1][2])
    wide, tall = SPACE
    under = wide * (tall - above_height - GUTTER)
    round_it = tall * (wide - beside - GUTTER) + beside * (tall - beside_height - GUTTER)
    if beside_ratio > above_ratio and (under >= letters * LETTER * LEGIBLE**2 or under >= round_it):
        return False, layer_plan(floor, angle, *PLAN_ABOVE)
    return True, layer_plan(floor, angle, beside, TALL)
