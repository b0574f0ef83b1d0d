"""What the server answers, address by address: JSON and pictures, from the workspace and its session."""

from __future__ import annotations

import json
import math
import os
import sys
import traceback
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from importlib.resources import files
from pathlib import PurePath
from threading import Event
from typing import Any, TypeVar

import anyio
from anyio.to_thread import run_sync
from PIL import Image
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from preview.errors import PreviewError, RenderError, SceneError, UsageError
from preview.live.events import Events
from preview.live.floor_numbers import cost, numbers, price
from preview.live.guard import App, Guard, Keys, Mode
from preview.live.workspace import Change, Conflict, Workspace
from preview.paper.quote.firm_details import Details
from preview.png import encode_jpeg
from preview.scene.job import Target, Viewpoint
from preview.session import Stale

Json = dict[str, Any]
Result = TypeVar("Result")

SMALLEST, LARGEST = 16, 4096
"""Sides of a picture, pixels."""

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
COARSE_QUALITY = 82


@dataclass(frozen=True, eq=False)
class Served:
    """What is served: a workspace, the firm's prices if there are any, and the customer's address."""

    workspace: Workspace
    details: Details | None = None
    customer: str = ""
    events: Events = field(default_factory=Events)


def live_app(served: Served, keys: Keys) -> App:
    """Return the whole application, guarded."""
    answers = Endpoints(served)
    firm, both = ("firm",), ("firm", "customer")
    routes = [
        *(_static(path, content, kind) for path, (content, kind) in static_files().items()),
        _route("/api/state", answers.state, both),
        _route("/picture", answers.picture, both),
        _route("/api/numbers", answers.numbers, firm),
        _route("/api/costs", answers.costs, firm),
        _route("/api/eye", answers.eye, both),
        _route("/api/change", answers.change, firm, "POST"),
        _route("/api/undo", answers.undo, firm, "POST"),
        _route("/api/redo", answers.redo, firm, "POST"),
        _route("/api/save", answers.save, firm, "POST"),
        _route("/api/reload", answers.reload, firm, "POST"),
        _route("/api/offer", answers.offer, firm, "POST"),
        _route("/api/variant", answers.variant, firm, "POST"),
        WebSocketRoute("/api/events", answers.listen),
    ]
    return Guard(Starlette(routes=routes), keys)


def static_files() -> dict[str, tuple[bytes, str]]:
    """Return every file of the page by its address, read once: no address leads to any other."""
    found = {}
    folder = files("preview.live") / "static"

    def walk(inside: Any, address: str) -> None:  # noqa: ANN401 (a folder of the package, or of an archive)
        for each in inside.iterdir():
            if each.is_dir():
                walk(each, f"{address}{each.name}/")
            elif (kind := STATIC.get(PurePath(each.name).suffix)) is not None:
                found[f"{address}{each.name}"] = each.read_bytes(), kind

    walk(folder, "/static/")
    for name in FONTS:
        found[f"/static/font/{name}"] = (files("font_source_sans_pro") / "files" / name).read_bytes(), STATIC[".ttf"]
    found["/"] = found.pop("/static/index.html")
    return found


class Endpoints:
    """A function for each address."""

    def __init__(self, served: Served) -> None:
        self._served = served
        self._work, self._session = served.workspace, served.workspace.session
        self._work.listeners.append(partial(served.events.tell, {"kind": "state"}))
        self._threads = anyio.CapacityLimiter(40)

    async def _in_thread(self, work: Callable[[], Result]) -> Result:
        return await run_sync(work, abandon_on_cancel=True, limiter=self._threads)

    # What there is

    async def state(self, request: Request) -> Response:
        """Return the scene as it stands."""
        return _json(await self._in_thread(partial(self.state_for, request.scope["mode"])))

    def state_for(self, mode: Mode) -> Json:
        """Return the scene as it stands, for a customer no more than pictures need."""
        from preview.steps import viewpoints

        found = self._work.state()
        base = self._session.lay(self._work.now.jobs[0])
        found["mode"] = mode
        found["views"] = [{"name": each.name, "kind": each.kind} for each in viewpoints(base)]
        if mode == "firm":
            return {**found, "customer": self._served.customer}
        shown = ("revision", "title", "units", "mode", "views", "wood_note")
        names = [{"name": each["name"], "base": each["base"]} for each in found["variants"]]
        return {**{key: found[key] for key in shown}, "variants": names}

    async def numbers(self, request: Request) -> Response:
        """Return a variant's numbers, warnings and plan."""
        revision, variant = _revision(request), request.query_params.get("variant")

        def work() -> Json:
            floor = self._session.floor(revision, self._work.name_of(variant))
            found = {"revision": revision, "variant": floor.job.variant, **numbers(floor)}
            found |= price(floor, self._work.priced, self._served.details)
            self._session.jobs(revision)
            return found

        return _json(await self._in_thread(work))

    async def costs(self, request: Request) -> Response:
        """Return what each option of a control comes to."""
        revision, variant = _revision(request), request.query_params.get("variant")
        key = request.query_params.get("key", "")

        def one(value: object) -> Json:
            self._session.jobs(revision)
            try:
                name = self._work.name_of(variant)
                jobs = self._work.with_changes([Change(name, key, value)])
                job = next((each for each in jobs if each.variant == name), jobs[0]) if name else jobs[0]
                return {"value": value, **cost(self._session.lay(job), self._work.priced, self._served.details)}
            except (SceneError, UsageError) as error:
                return {"value": value, "error": _words(error)}

        def work() -> Json:
            self._session.jobs(revision)
            options = next((each.options for each in self._work.controls() if each.key == key), ())
            return {"revision": revision, "key": key, "costs": [one(each.value) for each in options]}

        return _json(await self._in_thread(work))

    async def eye(self, request: Request) -> Response:
        """Return where a named viewpoint stands and looks, metres and degrees."""
        from preview.steps import cameras

        revision, view = _revision(request), request.query_params.get("view", "")

        def work() -> Json:
            if not view:
                raise UsageError("name a viewpoint")
            camera = cameras(self._session.floor(revision), [view], (1600, 1000))[0]
            return {
                "eye": [round(float(each), 4) for each in camera.position],
                "look": [round(float(each), 4) for each in camera.target],
                "fov": None if camera.fov is None else round(math.degrees(camera.fov), 2),
            }

        return _json(await self._in_thread(work))

    async def picture(self, request: Request) -> Response:
        """Return a picture; it is given up where the browser waits no longer."""
        revision, asked = _revision(request), request.query_params
        variant, size = asked.get("variant"), _size(asked.get("size", "1600x1000"))
        coarse = asked.get("coarse", "0") == "1"
        view = _view(asked)
        gone = Event()

        def work() -> tuple[bytes, str]:
            name = self._work.name_of(variant)
            found = self._session.picture(revision, name, view, size, coarse, lambda: not gone.is_set())
            if coarse:
                return encode_jpeg(Image.fromarray(found.rgb), COARSE_QUALITY), "image/jpeg"
            return found.png(), "image/png"

        async def watch(scope: anyio.CancelScope) -> None:
            while (await request.receive())["type"] != "http.disconnect":
                pass
            gone.set()
            scope.cancel()

        content, kind = b"", ""
        async with anyio.create_task_group() as group:
            group.start_soon(watch, group.cancel_scope)
            try:
                content, kind = await self._drawn(work)
            finally:
                gone.set()
                group.cancel_scope.cancel()
        return Response(content, media_type=kind, headers={"x-revision": str(revision)})

    async def _drawn(self, work: Callable[[], Result]) -> Result:
        """Return what is drawn; tell every page of the firm's where it fails."""
        try:
            return await self._in_thread(work)
        except (Stale, SceneError, UsageError):
            raise
        except Exception as error:
            words = f"The picture could not be drawn: {_words(error)}"
            self._served.events.tell({"kind": "drawing-failed", "words": words}, ("firm",))
            raise RenderError(words) from error

    # Changes

    async def change(self, request: Request) -> Response:
        """Make changes."""
        sent = await _body(request)
        revision, client, edits = sent.get("revision"), sent.get("client", ""), sent.get("edits")
        if not isinstance(revision, int) or not isinstance(client, str) or not isinstance(edits, list) or not edits:
            raise UsageError("send a revision, and edits as a list")
        wanted = _changes(edits)
        return await self._changed(partial(self._work.change, revision, client[:100], wanted))

    async def undo(self, request: Request) -> Response:
        """Take the last change back."""
        await _body(request)
        return await self._changed(self._work.undo)

    async def redo(self, request: Request) -> Response:
        """Make it again."""
        await _body(request)
        return await self._changed(self._work.redo)

    async def save(self, request: Request) -> Response:
        """Write the scene file."""
        return await self._changed(partial(self._work.save, (await _body(request)).get("over") is True))

    async def reload(self, request: Request) -> Response:
        """Take the scene as the file has it."""
        await _body(request)
        return await self._changed(self._work.reload)

    async def offer(self, request: Request) -> Response:
        """Take or drop what a killed server left unsaved."""
        wanted = (await _body(request)).get("do")
        if wanted not in ("take", "drop"):
            raise UsageError('do is "take" or "drop"')
        return await self._changed(partial(self._work.offer, wanted == "take"))

    async def variant(self, request: Request) -> Response:
        """Keep a variant, rename or delete it."""
        sent = await _body(request)
        wanted, variant = sent.get("do"), sent.get("variant")
        name, edits = sent.get("name", ""), sent.get("edits", [])
        if not isinstance(name, str) or not isinstance(variant, str | None) or not isinstance(edits, list):
            raise UsageError("names are texts, edits a list")
        match wanted:
            case "keep":
                return await self._changed(partial(self._work.keep, name, variant, _changes(edits)))
            case "rename":
                return await self._changed(partial(self._work.rename, variant or name, str(sent.get("to", ""))))
            case "delete":
                return await self._changed(partial(self._work.delete, variant or name))
        raise UsageError('do is "keep", "rename" or "delete"')

    async def _changed(self, work: Callable[[], None]) -> Response:
        def done() -> Json:
            work()
            return self.state_for("firm")

        return _json(await self._in_thread(done))

    # What is told

    async def listen(self, socket: WebSocket) -> None:
        """Tell a page of every change, until it goes."""
        mode: Mode = socket.scope["mode"]
        await socket.accept()
        with self._served.events.listening(mode) as told:
            async with anyio.create_task_group() as group:

                async def send() -> None:
                    while (event := await told()) is not None:
                        if event["kind"] == "state":
                            event = {**event, "state": await self._in_thread(partial(self.state_for, mode))}
                        await socket.send_text(_text(event))
                    await socket.close(1012)
                    group.cancel_scope.cancel()

                group.start_soon(send)
                while (await socket.receive())["type"] != "websocket.disconnect":
                    pass  # a page has nothing to say here
                group.cancel_scope.cancel()


def _route(
    path: str, answer: Callable[[Request], Awaitable[Response]], modes: Sequence[str], method: str = "GET"
) -> Route:
    """Return an address that answers to some, and tells every error as JSON in plain words."""

    async def endpoint(request: Request) -> Response:
        if request.scope["mode"] not in modes:
            return _fault(403, "This is not shown here.")
        try:
            return await answer(request)
        except BaseExceptionGroup as group:
            return _told(_first(group))
        except Exception as error:
            return _told(error)

    return Route(path, endpoint, methods=[method])


def _first(error: BaseException) -> BaseException:
    while isinstance(error, BaseExceptionGroup):
        error = error.exceptions[0]
    return error


def _told(error: BaseException) -> Response:
    match error:
        case Stale():
            return _fault(410, "There is something newer.")
        case Conflict():
            return _fault(409, str(error))
        case SceneError():
            key = error.place.key if error.place else ""
            return _fault(422, _words(error), key)
        case UsageError():
            return _fault(422, _words(error))
        case RenderError():
            return _fault(500, str(error))
        case PreviewError():
            return _fault(422, str(error))
        case Exception():
            if os.environ.get("PREVIEW_DEBUG"):
                traceback.print_exception(error, file=sys.stderr)
            return _fault(500, f"The program failed ({_words(error)}); what was asked for was not done.")
    raise error


def _words(error: BaseException) -> str:
    """Return an error in words for the page, without the file and the line, which the page's own fields stand for."""
    if isinstance(error, SceneError):
        return f"{error.found[:1].upper()}{error.found[1:]}; {error.remedy}"
    if isinstance(error, PreviewError):
        return str(error)
    return f"{type(error).__name__}: {error}".split("\n", 1)[0][:200]


def _fault(status: int, words: str, key: str = "") -> Response:
    return _json({"errors": [{"key": key, "message": words}], "words": words}, status)


def _static(path: str, content: bytes, kind: str) -> Route:
    async def endpoint(request: Request) -> Response:
        return Response(content, media_type=kind)

    return Route(path, endpoint)


def _json(value: object, status: int = 200) -> Response:
    return Response(_text(value), status, media_type="application/json")


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


async def _body(request: Request) -> Json:
    """Return what a page sent: an object, of JSON."""
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise UsageError("send application/json")
    try:
        found = json.loads(await request.body() or b"{}")
    except (ValueError, RecursionError):
        raise UsageError("what was sent is no JSON") from None
    if not isinstance(found, dict):
        raise UsageError("send an object")
    return found


def _changes(edits: Sequence[object]) -> list[Change]:
    found = []
    for each in edits:
        if not isinstance(each, Mapping) or not isinstance(each.get("key"), str) or len(edits) > 100:
            raise UsageError("an edit has a variant, a key and a value")
        variant = each.get("variant")
        if not isinstance(variant, str | None):
            raise UsageError("a variant is given by its name")
        found.append(Change(variant, each["key"], each.get("value")))
    return found


def _revision(request: Request) -> int:
    text = request.query_params.get("revision", "")
    if not (text.isascii() and text.isdigit() and len(text) < 18):
        raise UsageError("name a revision")
    return int(text)


def _size(text: str) -> tuple[int, int]:
    parts = text.split("x")
    if len(parts) == 2 and all(each.isascii() and each.isdigit() and len(each) < 6 for each in parts):
        width, height = int(parts[0]), int(parts[1])
        if SMALLEST <= width <= LARGEST and SMALLEST <= height <= LARGEST:
            return width, height
    raise UsageError(f"a size is width x height, each from {SMALLEST} to {LARGEST} pixels")


def _view(asked: Mapping[str, str]) -> str | Viewpoint:
    if "eye" not in asked:
        return asked.get("view", "")
    eye, look = _point(asked["eye"]), _point(asked.get("look", ""))
    fov = _numbers(asked["fov"], 1)[0] if "fov" in asked else 65.0
    if not 10 <= fov <= 120:
        raise UsageError("a field of view is from 10 to 120 degrees")
    at = Target("point", point=(eye[0], eye[1], None))
    return Viewpoint("where you stand", "eye", at, eye[2], Target("point", point=look), math.radians(fov))


def _point(text: str) -> tuple[float, float, float]:
    x, y, z = _numbers(text, 3)
    return x, y, z


def _numbers(text: str, count: int) -> list[float]:
    try:
        found = [float(each) for each in text.split(",")]
    except ValueError:
        found = []
    if len(found) != count or not all(math.isfinite(each) and abs(each) < 1000 for each in found):
        raise UsageError("numbers are in metres, with commas between them")
    return found
