"""Where OpenGL comes from: chosen at run time, in one place."""

from __future__ import annotations

import os
import sys

from preview.errors import RenderError

MISSING = (
    "no picture can be drawn: the OpenGL libraries for drawing without a screen (EGL) are missing or do not start.\n"
    "On Debian or Ubuntu install them with: sudo apt-get install libegl1 libgl1 libgl1-mesa-dri"
)


def choose_platform() -> str:
    """Tell PyOpenGL which platform to load, and return its name: "egl" on Linux, "window" elsewhere.

    On Linux pictures are drawn off screen through EGL. On Windows and macOS pyrender opens a hidden window of its
    own. A PYOPENGL_PLATFORM that the user has set is respected. Off screen, pyglet, which pyrender imports, is told
    not to look for window libraries either. Must run before pyrender or OpenGL is imported.
    """
    if sys.platform.startswith("linux"):
        os.environ.setdefault("PYOPENGL_PLATFORM", "egl")
        os.environ.setdefault("PYGLET_HEADLESS", "1")
    return os.environ.get("PYOPENGL_PLATFORM", "window")


def missing_library(why: object) -> RenderError:
    """Return the two-line error for a GL library that is missing or does not start; `why` is kept as its note."""
    error = RenderError(MISSING)
    error.add_note(str(why))
    return error
