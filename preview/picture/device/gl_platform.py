"""Where OpenGL comes from: chosen at run time, in one place."""

from __future__ import annotations

import os
import shutil
import sys
from importlib.util import find_spec, module_from_spec
from pathlib import Path

from preview.cache import MOST_OF_SHADERS, cache_folder
from preview.errors import RenderError

OFF_SCREEN = ("egl", "osmesa")  # PyOpenGL's names of what draws without a screen
LEAST_FREE = 64_000_000
"""Bytes free on a disk on which drivers may keep shaders: on a full one Mesa's index, a file in memory that is larger
than what was written of it, ends the process (SIGBUS)."""

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
        for name, value in shader_cache().items():
            os.environ.setdefault(name, value)
    return os.environ.get("PYOPENGL_PLATFORM", "window")


def shader_cache() -> dict[str, str]:
    """Return the environment by which drivers put the shaders that they compile into this program's cache, or nowhere
    (Mesa's documentation, environment variables; NVIDIA's driver README, OpenGL environment variables: from memory)."""
    folder = cache_folder("shaders")
    try:
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)  # a driver that can't make it says so to the user
            if shutil.disk_usage(folder).free < LEAST_FREE:
                folder = None
    except OSError:
        folder = None
    if folder is None:
        return {"MESA_SHADER_CACHE_DISABLE": "true", "__GL_SHADER_DISK_CACHE": "0"}
    return {
        "MESA_SHADER_CACHE_DIR": str(folder.absolute()),
        "MESA_SHADER_CACHE_MAX_SIZE": MOST_OF_SHADERS,
        "__GL_SHADER_DISK_CACHE_PATH": str(folder.absolute()),
    }


def with_assertions(name: str) -> None:
    """Import a module whose assertions are kept where Python is told to leave them out: pyrender's starts EGL within
    them."""
    if name in sys.modules:
        return
    found = find_spec(name)
    if found is None or found.origin is None:
        raise ImportError(name)
    module = module_from_spec(found)
    exec(compile(Path(found.origin).read_bytes(), found.origin, "exec", optimize=0), vars(module))
    sys.modules[name] = module


def missing_library(why: object) -> RenderError:
    """Return the two-line error for a GL library that is missing or does not start; `why` is kept as its note."""
    error = RenderError(MISSING)
    error.add_note(str(why))
    return error
