"""What the server answers, address by address, behind its guard; and what it tells pages that listen."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from functools import partial
from importlib.resources import files
from pathlib import PurePath
from typing import Any

import anyio
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from preview.live.change_endpoints import ChangeEndpoints
from preview.live.guard import App, Guard, Keys, Mode
from preview.live.paper_endpoints import PaperEndpoints
from preview.live.replies import error_reply, fault, json_text
from preview.live.room_endpoints import RoomEndpoints
from preview.live.round_endpoints import RoundEndpoints
from preview.live.served import Served
from preview.live.view_endpoints import ViewEndpoints

Endpoint = Callable[[Request], Awaitable[Response]]

STATIC = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ttf": "font/ttf",
    ".woff2": "font/woff2",
}
FONTS = ("SourceSansPro-Regular.ttf", "SourceSansPro-Semibold.ttf", "SourceSansPro-It.ttf")

FIRM: tuple[Mode, ...] = ("firm",)
BOTH: tuple[Mode, ...] = ("firm", "customer")


def live_app(served: Served, keys: Keys) -> App:
    """Return the whole application, guarded."""
    views, changes = ViewEndpoints(served), ChangeEndpoints(served)
    papers, room, round_about = PaperEndpoints(served), RoomEndpoints(served), RoundEndpoints(served)
    routes = [
        *(_static(path, content, kind) for path, (content, kind) in static_files().items()),
        _route("/api/state", views.state, BOTH),
        _route("/picture", views.picture, BOTH),
        _route("/api/eye", views.eye, BOTH),
        _route("/api/lines", views.lines, BOTH),
        _route("/api/round", round_about.point, BOTH),
        _route("/face/{number:int}", round_about.face, BOTH),
        _route("/api/numbers", views.numbers, FIRM),
        _route("/api/costs", views.costs, FIRM),
        _route("/swatch/paint/{name}", views.paint, FIRM),
        _route("/swatch/{table}/{kind}/{name}", views.swatch, FIRM),
        _route("/api/change", changes.change, FIRM, "POST"),
        _route("/api/undo", changes.undo, FIRM, "POST"),
        _route("/api/redo", changes.redo, FIRM, "POST"),
        _route("/api/save", changes.save, FIRM, "POST"),
        _route("/api/reload", changes.reload, FIRM, "POST"),
        _route("/api/offer", changes.offer, FIRM, "POST"),
        _route("/api/variant", changes.variant, FIRM, "POST"),
        _route("/api/options", papers.options, FIRM),
        _route("/api/papers", papers.order, FIRM, "POST"),
        _route("/paper/{job}", papers.fetch, FIRM),
        _route("/customer.svg", papers.code, FIRM),
        _route("/api/room", room.form, FIRM),
        _route("/api/room", room.measured, FIRM, "POST"),
        WebSocketRoute("/api/events", partial(_listen, served)),
    ]
    return Guard(Starlette(routes=routes), keys)


def static_files() -> dict[str, tuple[bytes, str]]:
    """Return every file of the page by its address, read once: no address leads to any other."""
    found = {}

    def walk(inside: Any, address: str) -> None:  # noqa: ANN401 (a folder of the package, or of an archive)
        for each in inside.iterdir():
            if each.is_dir():
                walk(each, f"{address}{each.name}/")
            elif (kind := STATIC.get(PurePath(each.name).suffix)) is not None:
                found[f"{address}{each.name}"] = each.read_bytes(), kind

    walk(files("preview.live") / "static", "/static/")
    for name in FONTS:
        found[f"/static/font/{name}"] = (files("font_source_sans_pro") / "files" / name).read_bytes(), STATIC[".ttf"]
    shared = (files("preview.page") / "static" / "round.js").read_bytes()  # one looks round here as on the page to send
    found["/static/round.js"] = shared, STATIC[".js"]
    found["/"] = found.pop("/static/index.html")
    return found


def _route(path: str, answer: Endpoint, modes: Sequence[Mode], method: str = "GET") -> Route:
    """Return an address that answers to some, and tells every error as JSON in plain words."""

    async def endpoint(request: Request) -> Response:
        if request.scope["mode"] not in modes:
            return fault(403, "This is not shown here.")
        try:
            return await answer(request)
        except Exception as error:
            return error_reply(error)

    return Route(path, endpoint, methods=[method])


def _static(path: str, content: bytes, kind: str) -> Route:
    async def endpoint(request: Request) -> Response:
        return Response(content, media_type=kind)

    return Route(path, endpoint)


async def _listen(served: Served, socket: WebSocket) -> None:
    """Tell a page of every change, until it goes."""
    mode: Mode = socket.scope["mode"]
    await socket.accept()
    with served.events.listening(mode) as told:
        async with anyio.create_task_group() as group:

            async def send() -> None:
                while (event := await told()) is not None:
                    if event["kind"] == "state":
                        event = {**event, "state": await served.in_thread(partial(served.state_for, mode))}
                    await socket.send_text(json_text(event))
                await socket.close(1012)
                group.cancel_scope.cancel()

            group.start_soon(send)
            while (await socket.receive())["type"] != "websocket.disconnect":
                pass  # a page has nothing to say here
            group.cancel_scope.cancel()
