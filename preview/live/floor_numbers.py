"""What a floor comes to, for the page: its numbers in words, its price, its plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from preview.floor.laid import LaidFloor
from preview.light.sources.light_remarks import light_remarks
from preview.live.plain_words import plain_words, remedy_told
from preview.paper.plan.fitted_plan import FittedPlan, customer_plan
from preview.paper.quote.bill import bills
from preview.paper.quote.bill_rows import price_text
from preview.paper.quote.firm_details import Details
from preview.paper.quote.scope import lines_for
from preview.paper.words.compare_rows import compared
from preview.paper.words.numbers import write
from preview.paper.words.paint_words import paint_remarks
from preview.paper.words.run_words import run_text
from preview.scene.job import Job
from preview.units import format_count, format_length

Json = dict[str, Any]

ON_REQUEST = "on request"
MAIN = ("Board", "Courses", "Boards to cut", "Waste")
"""Rows that are seen first."""

PLAN, TALL = 120.0, 1.2
"""Width of the plan where a page doesn't say, mm, of which its viewBox is too; and how tall it may be for its width."""


def numbers(floor: LaidFloor, wide: float = PLAN) -> Json:
    """Return the numbers of a floor, its warnings, and its plan, `wide` mm, with where its points lie on it."""
    units, measures = floor.job.units, floor.layout.measures
    rows = [{"label": each.label, "text": each.values[0], "main": each.label in MAIN} for each in compared([floor])]
    rows.append({"label": "Field", "text": write(measures["field_area"], "area", units), "main": False})
    light = light_remarks(floor.room, floor.job.openings, floor.job.light)
    return {
        "rows": rows,
        "warnings": [
            plain_words(each) for each in (*floor.layout.warnings, *light, *paint_remarks(floor.job, floor.room))
        ],
        "advice": remedy_told(floor.remedy),
        "used": _used(floor),
        **_centre(floor),
        **plan_told(customer_plan(floor, wide, TALL * wide)),
    }


def _used(floor: LaidFloor) -> Json:
    """Return in words, by key, what the layout found where a scene leaves it to the program."""
    choice, board, units = floor.job.floor, floor.layout.board, floor.job.units
    found = {}
    if choice.run is None:
        found["floor.run"] = run_text(floor)
    if choice.board_length is not None or choice.lengths:
        return found
    longest = format_length(board.length, units)
    if board.shortest is None:
        return {**found, "floor.board_length": f"{longest}, to fit the room"}
    shortest, stock = format_length(board.shortest, units), floor.job.stock
    found["floor.board_length"] = f"{shortest} to {longest}, mixed"
    if stock.shortest is None and not stock.lengths:
        found |= {"stock.shortest": shortest, "stock.longest": longest}
    return found


def _centre(floor: LaidFloor) -> Json:
    """Return the point that a floor is centred on, (x, y), and its centre line, two points; plan metres.

    Of a floor that is centred on the room or on an opening, the point is the middle of the line."""
    line = floor.layout.center_line
    point = line.mean(axis=0) if floor.job.floor.center.point is None else np.array(floor.job.floor.center.point)
    return {"center": np.round(point, 4).tolist(), "center_line": np.round(line, 4).tolist()}


def plan_told(plan: FittedPlan) -> Json:
    """Return a plan as a page takes it: the drawing, and where the points of the room lie on it."""
    scale = plan.ratio / 1000
    x, y = plan.origin[0] - plan.corner[0] / scale, plan.origin[1] + plan.corner[1] / scale
    return {"plan": plan.svg.decode(), "plan_frame": {"x": x, "y": y, "metres": scale}}


def cost(floor: LaidFloor, reference: Job, details: Details | None) -> Json:
    """Return in a few words what a floor comes to: boards, waste, how many warnings, and the price where one can be
    had."""
    measures, units = floor.layout.measures, floor.job.units
    boards = format_count(round(measures["blanks"]), "board")
    found: Json = {
        "text": f"{boards}, {write(measures['waste'], 'share', units)} waste",
        "warnings": len(floor.layout.warnings),
    }
    told = price(floor, reference, details)
    return {**found, **{key: f"price {text}" if text == ON_REQUEST else text for key, text in told.items()}}


def price(floor: LaidFloor, reference: Job, details: Details | None) -> Json:
    """Return what a floor costs by the firm's prices, nothing where there are none.

    reference: the floor that the prices were written for; another in other woods is "on request".

    Raises:
        SceneError: what is wrong with the prices.
    """
    if details is None or not details.prices:
        return {}
    lines = lines_for(details, floor.job)
    if not lines:
        return {"price": ON_REQUEST}
    own = replace(details, deposit=None, prices=tuple(replace(each, variants=()) for each in lines))
    return {"price": price_text(bills(own, [floor])[0], details, floor, reference)}
