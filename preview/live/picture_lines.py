"""The sight line and the centre line, drawn over a picture at the table as a comparison on paper has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from preview.floor.laid import LaidFloor
from preview.paper.compare.compare_sheet import lined_picture
from preview.paper.compare.view_marks import MarkKind, line_names, sight_opening, view_marks
from preview.picture.picture import Picture


def with_lines(picture: Picture, floors: Sequence[LaidFloor]) -> Picture:
    """Return a picture of the first floor with its lines: of the way in whose sight line is nearest to the centre line
    of any of `floors`, which are compared. A plan has its centre line already and stays as it is."""
    if picture.camera.fov is None:
        return picture
    marks = view_marks(picture, floors[0], sight_opening(floors))
    return replace(picture, rgb=lined_picture(picture, marks)) if marks.marks else picture


def lines_of(floors: Sequence[LaidFloor]) -> dict[MarkKind, str]:
    """Return in words what each line is that pictures of these floors have."""
    opening = sight_opening(floors)
    return {kind: words for kind, words in line_names(opening).items() if kind == "centre" or opening}
