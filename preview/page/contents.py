"""What stands on a customer's page, in values: nothing of how it looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.floor.laid import LaidFloor
from preview.page.standing_points import StandingPoint
from preview.paper.compare.compare_pages import NOTE, same_words
from preview.paper.compare.trade_off import choice_text, few_numbers, trade_offs, unnamed
from preview.paper.compare.view_marks import line_names, marks_svg, sight_opening, view_marks
from preview.paper.plan.fitted_plan import customer_plan
from preview.paper.quote.agreement import agreed_rows, floor_rows, wall_words
from preview.paper.quote.firm_details import Details
from preview.paper.words.picture_words import picture_words
from preview.paper.words.refit_words import headline
from preview.picture.picture import Picture

Pixels = NDArray[np.uint8]

MOST_VARIANTS = 4
"""That a page compares."""

PLAN = (180.0, 150.0)  # mm: the width of a plan, and its height at most
LINES = 150.0  # mm: how wide a picture is taken to be for the lines over it, whose words are to be read on a telephone


@dataclass(frozen=True, eq=False)
class AllRound:
    """All that is seen of one floor from one standing point: six faces (n, n, 3), see `standing_points.FACES`."""

    variant: str
    faces: tuple[Pixels, ...]


@dataclass(frozen=True, eq=False)
class Contents:
    """Pictures of each floor from one camera; from each standing point what is seen of each floor; and all words, as
    the template takes them."""

    pictures: tuple[Picture, ...]
    points: tuple[tuple[StandingPoint, tuple[AllRound, ...]], ...]
    words: dict[str, Any]


def page_contents(
    floors: Sequence[LaidFloor],
    pictures: Sequence[Picture],
    points: Sequence[tuple[StandingPoint, Sequence[AllRound]]],
    details: Details,
) -> Contents:
    """Return what a page shows of floors, the first of which is what is agreed.

    Args:
        floors: of one scene, at least one.
        pictures: one of each floor, all by one camera.
        points: where one looks round from, with what is seen of each floor.
        details: who made it and for whom; prices are no part of a page.
    """
    first, aspects = floors[0], trade_offs(floors)
    opening = sight_opening(floors)
    firm, customer = details.firm, details.customer
    words = {
        "title": first.job.title,
        "choice": choice_text(floors, aspects) if len(floors) > 1 else "",
        "variants": [
            {
                "name": floor.job.variant,
                "headline": headline(floor, first),
                "says": [
                    said
                    for each in aspects
                    if (said := unnamed(each.said[number], floor.job.variant, len(aspects) == 1))
                ],
                "lines": _lines(picture, floor, opening),
                "plan": customer_plan(floor, *PLAN).svg.decode(),
                "rows": floor_rows(floor.layout, floor.job),
                "alt": f"{first.job.title}, {floor.job.variant}: the finished floor, {picture.camera.name}",
            }
            for number, (floor, picture) in enumerate(zip(floors, pictures, strict=True))
        ],
        "numbers": [[row.label, *row.values] for row in few_numbers(floors, aspects)],
        "line_names": [line_names(opening)[kind] for kind in (("sight", "centre") if opening else ("centre",))],
        "has_sight": bool(opening),
        "same": f"{same_words(floors)}. {NOTE}" if len(floors) > 1 else NOTE,
        "viewpoint": pictures[0].camera.name,
        "agreed": agreed_rows(first),
        "walls": wall_words(first.room),
        "pictures_say": picture_words(first.room, first.job),
        "date": details.date,
        "reference": details.reference,
        "firm": [firm.name, *firm.address, *filter(None, (firm.phone, firm.email))] if firm else [],
        "customer": [customer.name, *customer.address] if customer else [],
    }
    return Contents(tuple(pictures), tuple((point, tuple(looks)) for point, looks in points), words)


def _lines(picture: Picture, floor: LaidFloor, opening: str) -> str:
    """Return the lines over a picture as a drawing; nothing where it shows none."""
    marks = view_marks(picture, floor, opening)
    if not marks.marks:
        return ""
    width, height = picture.camera.size
    return marks_svg(marks, picture.rgb, LINES, LINES * height / width).decode()
