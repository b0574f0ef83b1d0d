"""Which pictures papers have: from which viewpoints, of which floors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from preview.floor.laid import LaidFloor
from preview.session.drawn import Drawn
from preview.steps import eye_cameras, viewpoint_names, viewpoints

if TYPE_CHECKING:
    from preview.paper.compare.compare_sheet import Comparison

ENOUGH = 0.4
"""Share of a line that a picture must hold, for the first viewpoint to be taken (by choice)."""

MOST_OWN, MOST_BESIDE = 7, 2
"""Pictures in a quote of the chosen variant, and of those it was compared with."""


def comparison(floors: Sequence[LaidFloor], views: Sequence[str], drawn: Sequence[Drawn]) -> Comparison:
    """Return all that is set side by side of floors that were drawn one by one, each from all views; plans aside, which
    a sheet has of its own."""
    from preview.paper.compare.compare_sheet import Comparison

    rows = [[each.picture for each in drawn[view :: len(views)]] for view in range(len(views))]
    return Comparison(floors, [row for row in rows if row[0].camera.fov is not None])


def decision_views(base: LaidFloor, floors: Sequence[LaidFloor]) -> list[str]:
    """Return the viewpoint, one or none, that a choice between floors is made by: the first from eye level that shows
    enough of each floor's centre line, else the one that shows most."""
    from preview.paper.compare.view_marks import lines_in_frame

    shares = {camera.name: lines_in_frame(camera, floors) for camera in eye_cameras(base)}
    enough = [name for name, share in shares.items() if share >= ENOUGH]
    return enough[:1] or sorted(shares, key=lambda name: -shares[name])[:1] or viewpoint_names(base)[:1]


def quote_views(base: LaidFloor) -> list[str]:
    """Return the viewpoints whose pictures a quote has: none from above, for it has a plan to scale, unless there is no
    other."""
    from_above = {each.name for each in viewpoints(base) if each.kind == "plan"}
    names = viewpoint_names(base)
    return ([name for name in names if name not in from_above] or names)[:MOST_OWN]


def quote_pictures(floors: Sequence[LaidFloor], views: Sequence[str]) -> list[tuple[LaidFloor, list[str]]]:
    """Return the chosen floor, the first, with the views of its pictures, then the first floors that it was compared
    with, with one view each."""
    return [(floors[0], list(views)), *((each, list(views[:1])) for each in floors[1 : 1 + MOST_BESIDE])]
