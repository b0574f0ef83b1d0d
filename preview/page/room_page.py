"""A customer's page from floors: which pictures it needs, and the page once they are drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from preview.floor.laid import LaidFloor
from preview.page.contents import AllRound, page_contents
from preview.page.page_html import page_html
from preview.page.standing_points import StandingPoint, cut, face_cameras, standing_points, with_far_corner
from preview.paper.quote.firm_details import Details
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.session.paper_pictures import decision_views
from preview.steps import SIZE, cameras, eye_cameras

MOST_POINTS = 2
FACE = 1152
"""Pixels of a face's side: 13 to a degree, so that a board of 3 in at one's feet is some 30 wide."""


@dataclass(frozen=True, eq=False)
class PageViews:
    """What is drawn of every floor of a page: by the first of the `cameras` the picture by which one chooses, by the
    others the faces about each of the `points`, six by six."""

    cameras: tuple[Camera, ...]
    points: tuple[StandingPoint, ...]


def page_views(base: LaidFloor, floors: Sequence[LaidFloor], viewpoints: Sequence[str] = ()) -> PageViews:
    """Return the views of a page of floors in the room of `base`; one looks round from where the `viewpoints` called
    so stand, or from the first `MOST_POINTS`; where there are fewer, from the far corner too."""
    eyes = [each for each in eye_cameras(base) if not viewpoints or each.name in viewpoints]
    points = standing_points(eyes, base.room, len(viewpoints) or MOST_POINTS)
    if points and not viewpoints and len(points) < MOST_POINTS:
        points = with_far_corner(points, base.room)
    faces = [camera for point in points for camera in face_cameras(point, FACE)]
    return PageViews((*cameras(base, decision_views(base, floors), SIZE), *faces), tuple(points))


def room_page(floors: Sequence[LaidFloor], views: PageViews, drawn: Iterable[Picture], details: Details) -> bytes:
    """Return the page of floors, the first of which is what is agreed, from pictures of each from all `views`, floor by
    floor; of each only what the page shows is held."""
    stills: list[Picture] = []
    looks: list[list[AllRound]] = []
    coming = iter(drawn)
    for floor in floors:
        stills.append(next(coming))
        faces = [cut(next(coming).rgb, FACE) for _ in views.cameras[1:]]
        sixes = [tuple(faces[n : n + 6]) for n in range(0, len(faces), 6)]
        looks.append([AllRound(floor.job.variant, six) for six in sixes])
    points = [(point, [each[n] for each in looks]) for n, point in enumerate(views.points)]
    return page_html(page_contents(floors, stills, points, details))
