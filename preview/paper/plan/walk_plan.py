"""A walk that does not close, drawn as it was taped: where it ends is not where it began."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from shapely import LineString

from preview.paper.plan.fitted_plan import ASIDE, FittedPlan
from preview.paper.plan.labels import spots_at
from preview.paper.plan.svg_sheet import CHALK, INK, Sheet
from preview.room.walk import departures
from preview.scene.job import Leg

LETTERS = 3.0


def walk_plan(legs: Sequence[Leg], title: str, width: float, height: float) -> FittedPlan:
    """Return the walls of a walk one after the other, numbered, and the gap dashed; space as in `customer_plan`."""
    points = np.vstack([np.zeros((1, 2)), np.cumsum(departures(legs), axis=0)])
    low, high = points.min(0), points.max(0)
    span = np.maximum(high - low, 0.1)
    scale = float((span / (np.array([width, height]) - 2 * ASIDE)).max())
    size = span / scale
    tall = float(size[1]) + 2 * ASIDE
    origin = np.array([(width - size[0]) / 2, ASIDE + size[1]])
    sheet = Sheet(width, tall, scale, low, origin, boxed=True)
    sheet.strokes(LineString(points), "walk", stroke=INK, stroke_width=0.5)
    gap = LineString([points[-1], points[0]])
    if gap.length > 0:
        sheet.strokes(gap, "gap", stroke=CHALK, stroke_width=0.5, stroke_dasharray="1.5 1")
    for point in (points[0], points[-1]):
        sheet.circle(sheet.paper(point), 0.9, fill=CHALK)
    for number, (start, end) in enumerate(pairwise(points), 1):
        at = sheet.paper((start + end) / 2)
        sheet.label(str(number), LETTERS, spots_at(at, str(number), LETTERS), at, halo=True, fill=INK)
    svg = sheet.svg(title, f"A walk of {len(legs)} walls that does not close.")
    corner, begun = (float(low[0]), float(low[1])), (float(origin[0]), float(origin[1]))
    return FittedPlan(svg, width, tall, 1000 * scale, "", corner, begun)
