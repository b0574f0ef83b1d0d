"""The rows of pictures in a comparison: plans, each viewpoint clean and with its lines, and where pictures differ."""

from __future__ import annotations

from collections.abc import Sequence

from preview.floor.differing import differing
from preview.floor.laid import LaidFloor
from preview.paper.compare.compare_sheet import PictureRow
from preview.paper.compare.difference import difference_band, difference_strip
from preview.paper.compare.line_marks import floor_lines, mark_lines
from preview.paper.compare.plan_picture import plan_picture
from preview.picture.picture import Picture
from preview.room.room import Room

TALLEST_OF_TWO = 0.8
"""Height of a plan by its width where two stand on a page, so that they have room under the words."""

LINES = "red the sight line, dashed blue the middle of the floor"


def compare_pictures(floors: Sequence[LaidFloor], pictures: Sequence[Sequence[Picture]]) -> list[PictureRow]:
    """Return the rows for variants, the base first; `pictures` has a list for each viewpoint, a picture a variant."""
    rows = [_plans(floors, pictures)] if pictures else []
    told = False
    for row in pictures:
        camera = row[0].camera
        rows.append(PictureRow(camera.name, [each.rgb for each in row]))
        if camera.fov is None:
            continue
        marked = [
            mark_lines(each, floor.room, floor.layout, floor.job.units) for each, floor in zip(row, floors, strict=True)
        ]
        if any(each is not None for each in marked):
            images = [each.rgb if lined is None else lined for each, lined in zip(row, marked, strict=True)]
            rows.append(PictureRow(f"{camera.name}: {LINES}", images))
        if len(row) > 1 and not told:
            told = True
            rows.append(_differences(row))
    return rows


def _plans(floors: Sequence[LaidFloor], pictures: Sequence[Sequence[Picture]]) -> PictureRow:
    width = pictures[0][0].camera.size[0]
    most = TALLEST_OF_TWO if len(floors) == 2 else 1.0
    size = (width, round(width * min(most, max(0.4, 1.08 * _depth_share(floors[0].room)))))
    base = floors[0].layout
    images = [plan_picture(each, None if each.layout is base else base, size) for each in floors]
    caption = "the plan" + (f": {LINES}" if any(floor_lines(each.room, each.layout) for each in floors) else "")
    others = [differing(each.layout, base).same_boards for each in floors[1:]]
    if others:
        first = floors[0].job.variant
        ways = []
        if any(others):
            ways.append(f"pieces cut differently from \u201c{first}\u201d")
        if not all(others):
            ways.append("the last pieces left and right where every board has another size")
        caption += f"; orange {', and '.join(ways)}"
    return PictureRow(caption, images)


def _depth_share(room: Room) -> float:
    """Return how deep a room is on the plan, as a share of its width."""
    west, south, east, north = room.outline.bounds
    return (north - south) / (east - west)


def _differences(row: Sequence[Picture]) -> PictureRow:
    images = [each.rgb for each in row]
    band = difference_band(images)
    return PictureRow(
        f"{row[0].camera.name}: red where it differs from \u201c{row[0].variant}\u201d",
        [difference_strip(images[0], image, band) for image in images],
    )
