"""The quote sheet: what a customer reads, looks at and signs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.floor.laid import LaidFloor
from preview.paper.plan.fitted_plan import FittedPlan, customer_plan
from preview.paper.quote.agreement import agreed_rows, differences, floor_rows, for_customer, sample_words, wall_words
from preview.paper.quote.bill import Bill
from preview.paper.quote.bill_rows import bill_data, price_row
from preview.paper.quote.firm_details import Details
from preview.paper.quote.scope import scope
from preview.paper.typesetting import typeset
from preview.paper.words.compare_rows import compared
from preview.paper.words.line_words import choice_words
from preview.paper.words.picture_words import picture_words
from preview.paper.words.refit_words import headline, refit_words
from preview.png import encode_jpeg

Paper = Literal["letter", "a4"]
MOST_BYTES = 4_000_000  # of pictures, so that the sheet stays under 5 MB
PLAN_SPACE = {"letter": (185.0, 220.0, 155.0, 130.0, 110.0), "a4": (180.0, 235.0, 160.0, 130.0, 110.0)}
"""Width, and heights from a page's to that of a plan which shares one, mm."""

COARSEST = 75.0
"""A plan is not drawn smaller than at this scale only to share a page."""


@dataclass(frozen=True, eq=False)
class Shown:
    """A picture (h, w, 3) of a variant from a viewpoint."""

    variant: str
    viewpoint: str
    rgb: NDArray[np.uint8]


def quote_sheet(
    floors: Sequence[LaidFloor],
    pictures: Sequence[Shown],
    details: Details,
    bills: Sequence[Bill],
    logo: bytes | None,
    paper: Paper,
) -> bytes:
    """Return the sheet as a PDF.

    Args:
        floors: the chosen variant first, then those it was compared with.
        pictures: those of the chosen variant, the most telling first, then one of each variant that is shown beside it.
        details: the firm's own words and prices.
        bills: what each floor costs by them.
        logo: a PNG, or None.
        paper: what it is printed on.
    """
    job, layout = floors[0].job, floors[0].layout
    plans = _plans(floors[0], paper)
    images = _jpegs([each.rgb for each in pictures])
    assets = {f"picture-{n}.jpg": content for n, content in enumerate(images)}
    assets |= {f"plan-{number}.svg": plan.svg for number, plan in enumerate(plans)}
    if logo:
        assets["logo.png"] = logo
    shown = [
        {"file": name, "variant": each.variant, "viewpoint": each.viewpoint, "own": each.variant == job.variant}
        for name, each in zip(assets, pictures, strict=False)
    ]
    firm, customer = details.firm, details.customer
    found = scope(details, floors[0])
    lines = [line for line in for_customer(compared(floors)) if line.differs] + price_row(bills, details, floors)
    data = {
        "title": layout.title,
        "pattern": layout.facts.name.capitalize(),
        "variant": layout.variant,
        "paper": "us-letter" if paper == "letter" else "a4",
        "reference": details.reference,
        "date": details.date,
        "note": details.note,
        "firm": {
            "name": firm.name if firm else "",
            "lines": [*firm.address, *filter(None, (firm.phone, firm.email))] if firm else [],
            "logo": bool(logo),
        },
        "customer": {"name": customer.name, "lines": customer.address} if customer else {"name": "", "lines": []},
        "pictures": shown,
        "floor": floor_rows(layout, job),
        "names": [headline(each, floors[0]) for each in floors],
        "compared": [[line.label, *line.values] for line in lines],
        "choice": [each for each in (" ".join(choice_words(floors)), *_refits(floors)) if each],
        "others": [
            {"name": headline(floor, floors[0]), "rows": rows}
            for floor, (_, rows) in zip(floors[1:], differences(floors, lines), strict=True)
        ],
        "plans": [{"width": plan.width, "scale": plan.scale_text} for plan in plans],
        "plan-words": f"Dimensioned plan of {layout.title}, {layout.variant}, with the centre line of the floor",
        "plan-note": wall_words(floors[0].room),
        "agreed": agreed_rows(floors[0], found.remarks),
        "pictures-say": picture_words(floors[0].room, job),
        "sample": sample_words(job),
        "bill": bill_data(bills[0], details, found),
    }
    return typeset("quote.typ", data, assets)


def _refits(floors: Sequence[LaidFloor]) -> list[str]:
    """Say of each floor that was fitted anew, after its name, what boards as long as the first's would cost."""
    told = [(each.job.variant, refit_words(each, floors[0])) for each in floors[1:]]
    return [f"\u201c{name}\u201d: {words[:1].lower()}{words[1:]}" for name, words in told if words]


def _plans(floor: LaidFloor, paper: Paper) -> list[FittedPlan]:
    """Return the plan at every scale that a page may have room for, the largest first."""
    width, *heights = PLAN_SPACE[paper]
    found: list[FittedPlan] = []
    for height in heights:
        plan = customer_plan(floor, width, height)
        if not found or found[-1].ratio < plan.ratio <= COARSEST:
            found.append(plan)
    return found


def _jpegs(pictures: Sequence[NDArray[np.uint8]]) -> list[bytes]:
    """Return pictures as JPEGs, all at the highest quality at which they stay within the sheet's size."""
    images = [Image.fromarray(each) for each in pictures]
    found: list[bytes] = []
    for quality in (90, 82, 72, 60, 45):
        found = [encode_jpeg(each, quality) for each in images]
        if sum(map(len, found)) <= MOST_BYTES:
            return found
    share = (MOST_BYTES / sum(map(len, found))) ** 0.5
    smaller = (each.resize((max(1, int(each.width * share)), max(1, int(each.height * share)))) for each in images)
    return [encode_jpeg(each, 45) for each in smaller]
