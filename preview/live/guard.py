"""Who gets in: what every request is held to before any of it is read.

The server listens on this machine, where any page that a browser has open could send it requests, under a name of its
own that resolves to 127.0.0.1 (DNS rebinding) or by a form or a WebSocket of another site. So the name in the Host
header must be one of the server's own, what changes something and what opens a WebSocket must come from its own page
(Origin), and everything needs the random token of the printed address, once, and then the cookie that it is exchanged
for. A cookie goes to every port of a host, so its name has the port in it.
"""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Any, Literal
from urllib.parse import parse_qs

Connection = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Connection, Receive, Send], Awaitable[None]]
Mode = Literal["firm", "customer"]

MOST_BODY = 256_000
"""Bytes of a request's body."""

MOST_QUERY = 4_000

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "connect-src 'self'",
        "font-src 'self'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
    (b"cache-control", b"no-store"),
)


@dataclass(frozen=True)
class Keys:
    """The tokens, by whom they let in, and the names (with the port) under which the server is reached."""

    firm: str = field(repr=False)
    customer: str = field(repr=False)
    hosts: frozenset[str]
    port: int

    @property
    def cookie(self) -> str:
        """The name of the cookie."""
        return f"preview-{self.port}"

    def mode(self, token: str) -> Mode | None:
        """Return whom a token lets in; it takes as long whatever is wrong with it."""
        given = token.encode()
        firm = secrets.compare_digest(given, self.firm.encode())
        customer = secrets.compare_digest(given, self.customer.encode())
        return "firm" if firm else "customer" if customer else None


def own_hosts(names: Iterable[str], port: int) -> frozenset[str]:
    """Return how a Host header names the server."""
    return frozenset(f"{name}:{port}" for name in names) | (frozenset(names) if port == 80 else frozenset())


class Guard:
    """Lets requests through to `app` that may pass, with whom they come from in ``scope["mode"]``."""

    def __init__(self, app: App, keys: Keys) -> None:
        self._app, self._keys = app, keys

    async def __call__(self, scope: Connection, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = _headers(scope)
        if (refused := self._foreign(scope, headers)) is not None:
            await _refuse(scope, send, *refused)
            return
        mode = self._keys.mode(_cookie(headers.get("cookie", ""), self._keys.cookie))
        if scope["type"] == "http" and scope["path"] == "/" and scope["method"] == "GET":
            token = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
            if token:
                await self._let_in(token, scope, send)
                return
        if mode is None:
            await _refuse(scope, send, 403, "Open the address that the program printed, with its token.")
            return
        scope["mode"] = mode
        await self._app(scope, _limited(receive), _with_headers(send))

    def _foreign(self, scope: Connection, headers: dict[str, str]) -> tuple[int, str] | None:
        """Return why a request is none of this server's own page's."""
        host, origin = headers.get("host", ""), headers.get("origin")
        if host.casefold() not in self._keys.hosts:
            return 421, "This server is not called so."
        if origin is not None and origin.casefold() not in {f"http://{each}" for each in self._keys.hosts}:
            return 403, "This comes from another site."
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if changes and origin is None:
            return 403, "This comes from no page of this server."
        if changes and origin != f"http://{host}":
            return 403, "This comes from another site."
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none") and scope["path"] != "/":
            return 403, "This comes from another site."
        if len(scope["query_string"]) > MOST_QUERY:
            return 414, "This address is too long."
        length = headers.get("content-length", "0")
        if not length.isascii() or not length.isdigit() or len(length) > 12 or int(length) > MOST_BODY:
            return 413, "This is too large."
        return None

    async def _let_in(self, token: str, scope: Connection, send: Send) -> None:
        """Exchange a token for the cookie."""
        if self._keys.mode(token) is None:
            await _refuse(scope, send, 403, "This token is not the one that the program printed.")
            return
        cookie = f"{self._keys.cookie}={token}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", b"/"), (b"set-cookie", cookie.encode()), (b"content-length", b"0"), *HEADERS]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})


def _headers(scope: Connection) -> dict[str, str]:
    """Return the headers, the values of one that comes twice joined, so that it is none that is accepted."""
    found: dict[str, str] = {}
    for name, value in scope["headers"]:
        key = name.decode("latin-1").lower()
        found[key] = f"{found[key]}, {value.decode('latin-1')}" if key in found else value.decode("latin-1")
    return found


def _cookie(header: str, name: str) -> str:
    try:
        found = SimpleCookie(header).get(name)
    except CookieError:
        return ""
    return found.value if found else ""


def _limited(receive: Receive) -> Receive:
    """Return `receive` that ends a body which is longer than any may be, whatever its headers say."""
    seen = 0

    async def limited() -> Message:
        nonlocal seen
        message = await receive()
        if message["type"] == "http.request":
            seen += len(message.get("body", b""))
            if seen > MOST_BODY:
                return {"type": "http.disconnect"}
        return message

    return limited


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            names = {name for name, _ in message["headers"]}
            message["headers"] = [*message["headers"], *(each for each in HEADERS if each[0] not in names)]
        await send(message)

    return sent


async def _refuse(scope: Connection, send: Send, status: int, words: str) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(words)).encode()), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
