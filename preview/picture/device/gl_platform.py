"""Where OpenGL comes from: chosen at run time, in one place."""

from __future__ import annotations

import os
import sys

from preview.errors import RenderError

OFF_SCREEN = ("egl", "osmesa")  # PyOpenGL's names of what draws without a screen
MISSING = (
    "no picture can be drawn: the OpenGL libraries for drawing without a screen (EGL) are missing or do not start.\n"
    "On Debian or Ubuntu install them with: sudo apt-get install libegl1 libgl1 libgl1-mesa-dri"
)


def choose_platform() -> str:
    """Tell PyOpenGL which platform to load, and return its name: "egl" on Linux, "window" elsewhere.

    On Linux pictures are drawn off screen through EGL. On Windows and macOS pyrender opens a hidden window of its
    own. A PYOPENGL_PLATFORM that the user has set is respected. Off screen, pyglet, which pyrender imports, is told
    not to look for window libraries either. Must run before pyrender or OpenGL is imported.

    Raises:
        RenderError: on Linux, where it is set to something that draws nothing off screen.
    """
    if sys.platform.startswith("linux"):
        chosen = os.environ["PYOPENGL_PLATFORM"] = os.environ.get("PYOPENGL_PLATFORM") or "egl"
        if chosen not in OFF_SCREEN:
            raise RenderError(
                f'no picture can be drawn: the environment variable PYOPENGL_PLATFORM is "{chosen}"; unset it, or set '
                f"it to {' or '.join(OFF_SCREEN)}"
            )
        os.environ.setdefault("PYGLET_HEADLESS", "1")
    return os.environ.get("PYOPENGL_PLATFORM", "window")


def missing_library(why: object) -> RenderError:
    """Return the two-line error for a GL library that is missing or does not start; `why` is kept as its note."""
    error = RenderError(MISSING)
    error.add_note(str(why))
    return error
