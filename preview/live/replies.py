"""What goes back: JSON, and every error as one sentence with the key it is about; no trace of the program itself."""

from __future__ import annotations

import json
import os
import sys
import traceback
from typing import Any

from starlette.responses import Response

from preview.errors import PreviewError, RenderError, SceneError
from preview.live.plain_words import plain_words
from preview.live.workspace import Conflict
from preview.session import Stale

Json = dict[str, Any]


def json_reply(value: object, status: int = 200) -> Response:
    """Return a value as JSON."""
    return Response(json_text(value), status, media_type="application/json")


def json_text(value: object) -> str:
    """Return a value as JSON, which has no numbers that are none."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def fault(status: int, words: str, key: str = "") -> Response:
    """Return an error in words, about a key."""
    return json_reply({"errors": [{"key": key, "message": words}], "words": words}, status)


def error_reply(error: BaseException) -> Response:
    """Return what a page is told of an error.

    Raises:
        BaseException: `error`, where it is none that a page is to be told of.
    """
    while isinstance(error, BaseExceptionGroup):
        error = error.exceptions[0]
    match error:
        case Stale():
            return fault(410, "There is something newer.")
        case Conflict():
            return fault(409, str(error))
        case SceneError():
            return fault(422, error_words(error), error.place.key if error.place else "")
        case RenderError():
            return fault(500, str(error))
        case PreviewError():
            return fault(422, error_words(error))
        case Exception():
            if os.environ.get("PREVIEW_DEBUG"):
                traceback.print_exception(error, file=sys.stderr)
            return fault(500, f"The program failed ({type(error).__name__}); what was asked for was not done.")
    raise error


def error_words(error: BaseException) -> str:
    """Return an error in words for the page, without file and line, for which the page's own fields stand."""
    if isinstance(error, SceneError):
        return plain_words(f"{error.found[:1].upper()}{error.found[1:]}; {error.remedy}")
    return plain_words(str(error)) if isinstance(error, PreviewError) else type(error).__name__
