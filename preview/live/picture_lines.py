"""The lines over a picture at the table, as a comparison on paper has them: the sight line, the centre line, and the
seams of the floor that it is compared with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from preview.floor.laid import LaidFloor
from preview.paper.compare.compare_sheet import lined_picture
from preview.paper.compare.view_marks import MarkKind, line_names, seams_moved, sight_opening, view_marks
from preview.picture.picture import Picture


def with_lines(picture: Picture, floors: Sequence[LaidFloor], seams: bool = False) -> Picture:
    """Return a picture of the first floor with its lines: of the way in whose sight line is nearest to the centre line
    of any of `floors`, which are compared; with `seams`, also those of the second, where they lie elsewhere. A plan has
    its centre line already and stays as it is."""
    if picture.camera.fov is None:
        return picture
    base = floors[1].layout if seams and len(floors) > 1 else None
    marks = view_marks(picture, floors[0], sight_opening(floors), base)
    return replace(picture, rgb=lined_picture(picture, marks)) if marks.marks else picture


def lines_of(floors: Sequence[LaidFloor]) -> dict[MarkKind, str]:
    """Return in words what each line is that pictures of these floors have, the first beside the second."""
    opening = sight_opening(floors)
    found = {kind: words for kind, words in line_names(opening).items() if kind == "centre" or opening}
    if len(floors) > 1 and seams_moved(floors[0].layout, floors[1].layout):
        found["seam"] = f"on the right, where the courses of {floors[0].job.variant} meet"
    return found
