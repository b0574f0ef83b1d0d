"""The addresses under which one looks round from where one stands: the faces of a cube about the eye, one by one."""

from __future__ import annotations

from collections.abc import Callable

from PIL import Image
from starlette.requests import Request
from starlette.responses import Response

from preview.errors import UsageError
from preview.live import asked
from preview.live.replies import json_reply
from preview.live.served import Json, Served
from preview.page.room_page import FACE
from preview.page.standing_points import FACES, StandingPoint, cut, face_cameras, standing_points
from preview.png import encode_jpeg
from preview.steps import SIZE, cameras

QUALITY = 92


class RoundEndpoints:
    """Answers who looks round."""

    def __init__(self, served: Served) -> None:
        self._served, self._work, self._session = served, served.workspace, served.session

    async def point(self, request: Request) -> Response:
        """Return which way one looks first, radians, and how many faces there are."""

        def work() -> Json:
            point = self._point(request)
            return {"bearing": round(point.bearing, 4), "pitch": round(point.pitch, 4), "faces": len(FACES)}

        return json_reply(await self._served.in_thread(work))

    async def face(self, request: Request) -> Response:
        """Return a face as the page to send has it; it is given up after a change, and where the browser waits no
        longer."""
        revision, number = asked.revision(request), int(request.path_params["number"])
        if not 1 <= number <= len(FACES):
            raise UsageError(f"a face is a number from 1 to {len(FACES)}")

        def work(wanted: Callable[[], bool]) -> bytes:
            jobs, name = self._session.jobs(revision), self._work.name_of(request.query_params.get("variant"))
            six = face_cameras(self._point(request), FACE)

            def still() -> bool:
                return wanted() and self._session.revision == revision

            camera = six[number - 1]
            found = self._session.picture_of(jobs, name, camera, camera.size, still, cut_for=six)
            self._session.jobs(revision)
            return encode_jpeg(Image.fromarray(cut(found.rgb, FACE)), QUALITY)

        content = await self._served.while_waited_for(request, work)
        return Response(content, media_type="image/jpeg", headers={"x-revision": str(revision)})

    def _point(self, request: Request) -> StandingPoint:
        from preview.picture.view.viewpoints import camera_for

        floor, view = self._session.floor(asked.revision(request)), asked.view(request.query_params)
        camera = cameras(floor, [view], SIZE)[0] if isinstance(view, str) else camera_for(view, floor.room, SIZE)
        if camera.fov is None:
            raise UsageError("one looks round from where one stands, not from a plan")
        return standing_points([camera], floor.room, 1)[0]
