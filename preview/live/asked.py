"""What a request asks for, read from its address and its body; whatever can't be read is told in words."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from starlette.requests import Request

from preview.errors import UsageError
from preview.live.floor_numbers import PLAN
from preview.live.workspace import Change
from preview.scene.job import Target, Viewpoint

Json = dict[str, Any]

SMALLEST, LARGEST = 16, 4096
"""Sides of a picture, pixels."""

NARROWEST_PLAN, WIDEST_PLAN = 60, 300
MOST_EDITS, MOST_NAMES = 100, 50
FIELD_OF_VIEW = 65.0
"""Of a picture from where one stands, degrees, where none is asked for."""


async def body(request: Request) -> Json:
    """Return what a page sent: an object, of JSON.

    Raises:
        UsageError: it is something else.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise UsageError("send application/json")
    try:
        found = json.loads(await request.body() or b"{}")
    except (ValueError, RecursionError):
        raise UsageError("what was sent is no JSON") from None
    if not isinstance(found, dict):
        raise UsageError("send an object")
    return found


def changes(edits: object) -> list[Change]:
    """Return the changes that a page asks for.

    Raises:
        UsageError: they are none.
    """
    if not isinstance(edits, list) or len(edits) > MOST_EDITS:
        raise UsageError(f"send edits as a list, of {MOST_EDITS} at most")
    found = []
    for each in edits:
        if not isinstance(each, Mapping) or not isinstance(each.get("key"), str):
            raise UsageError("an edit has a variant, a key and a value")
        found.append(Change(name(each, "variant"), each["key"], each.get("value")))
    return found


def name(sent: Mapping[str, Any], key: str) -> str | None:
    """Return a name that was sent, None where there is none.

    Raises:
        UsageError: it is no text.
    """
    found = sent.get(key)
    if found is not None and not isinstance(found, str):
        raise UsageError(f"{key} is a text")
    return found


def names(sent: Mapping[str, Any], key: str) -> list[str] | None:
    """Return the names that were sent as a list, None where there is none.

    Raises:
        UsageError: it is no list of texts, or a long one.
    """
    found = sent.get(key)
    if found is not None and not (isinstance(found, list) and len(found) <= MOST_NAMES):
        raise UsageError(f"send {key} as a list, of {MOST_NAMES} at most")
    if found is not None and not all(isinstance(each, str) for each in found):
        raise UsageError(f"{key} are texts")
    return found


def revision(request: Request) -> int:
    """Return the revision that an address names.

    Raises:
        UsageError: it names none.
    """
    text = request.query_params.get("revision", "")
    if not (text.isascii() and text.isdigit() and len(text) < 18):
        raise UsageError("name a revision")
    return int(text)


def size(text: str) -> tuple[int, int]:
    """Return the width and height of a picture, pixels.

    Raises:
        UsageError: it is none, or too large or small.
    """
    parts = text.split("x")
    if len(parts) == 2 and all(each.isascii() and each.isdigit() and len(each) < 6 for each in parts):
        width, height = int(parts[0]), int(parts[1])
        if SMALLEST <= width <= LARGEST and SMALLEST <= height <= LARGEST:
            return width, height
    raise UsageError(f"a size is width x height, each from {SMALLEST} to {LARGEST} pixels")


def plan_width(asked: Mapping[str, str]) -> float:
    """Return how wide a plan is to be, mm.

    Raises:
        UsageError: it is no number, or too large or small.
    """
    if "plan" not in asked:
        return PLAN
    (found,) = _numbers(asked["plan"], 1)
    if not NARROWEST_PLAN <= found <= WIDEST_PLAN:
        raise UsageError(f"a plan is {NARROWEST_PLAN} to {WIDEST_PLAN} mm wide")
    return found


def view(asked: Mapping[str, str]) -> str | Viewpoint:
    """Return the viewpoint that an address names, or where it says that one stands and looks.

    Raises:
        UsageError: it says neither.
    """
    if "eye" not in asked:
        return asked.get("view", "")
    eye, look = _numbers(asked["eye"], 3), _numbers(asked.get("look", ""), 3)
    fov = _numbers(asked["fov"], 1)[0] if "fov" in asked else FIELD_OF_VIEW
    if not 10 <= fov <= 120:
        raise UsageError("a field of view is from 10 to 120 degrees")
    at, to = Target("point", point=(eye[0], eye[1], None)), Target("point", point=(look[0], look[1], look[2]))
    return Viewpoint("where you stand", "eye", at, eye[2], to, math.radians(fov))


def _numbers(text: str, count: int) -> Sequence[float]:
    try:
        found = [float(each) for each in text.split(",")]
    except ValueError:
        found = []
    if len(found) != count or not all(math.isfinite(each) and abs(each) < 1000 for each in found):
        raise UsageError("numbers are in metres, with commas between them")
    return found
