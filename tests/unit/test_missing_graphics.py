"""A machine without the GL library is told what to install, in two lines."""

import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from preview.picture.device.gl_platform import MISSING

DRAW = """
import sys
from preview.errors import RenderError
from preview.picture.draw import _load_engine
try:
    _load_engine().Context()
except RenderError as error:
    print(error)
    sys.exit(error.exit_code)
"""
NO_LIBRARY = """
import ctypes
class Refusing(ctypes.CDLL):
    def __init__(self, name, *args, **kwargs):
        if name and any(part in str(name) for part in ("EGL", "GL.so", "OpenGL", "GLES")):
            raise OSError(f"{name}: cannot open shared object file: No such file or directory")
        super().__init__(name, *args, **kwargs)
ctypes.CDLL = Refusing
ctypes.util = __import__("ctypes.util").util
ctypes.util.find_library = lambda name: None
"""


@pytest.mark.parametrize(
    ("before", "settings"),
    [("", {"__EGL_VENDOR_LIBRARY_DIRS": "/nowhere"}), (NO_LIBRARY, {})],
    ids=["no driver", "no library"],
)
def test_missing_graphics_is_two_lines_and_exit_status_one(before, settings):
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PYOPENGL")} | settings
    done = subprocess.run([sys.executable, "-c", before + DRAW], capture_output=True, text=True, env=environment)
    assert (done.stdout, done.returncode) == (MISSING + "\n", 1)
    assert done.stderr == ""
    assert len(MISSING.splitlines()) == 2
    assert "libegl1 libgl1 libgl1-mesa-dri" in MISSING


@pytest.mark.parametrize(("chosen", "status"), [("none", 1), ("glx", 1), ("", 0), ("egl", 0)])
def test_a_platform_that_draws_nothing_off_screen_is_told_by_its_variable(chosen, status):
    environment = os.environ | {"PYOPENGL_PLATFORM": chosen}
    done = subprocess.run([sys.executable, "-c", DRAW], capture_output=True, text=True, env=environment)
    told = f'no picture can be drawn: the environment variable PYOPENGL_PLATFORM is "{chosen}"; '
    told += "unset it, or set it to egl or osmesa\n"
    assert (done.stdout, done.returncode, done.stderr) == (told if status else "", status, "")


def test_the_folder_of_shaders_is_there_before_a_driver_asks_for_it(tmp_path, monkeypatch):
    """A driver that finds no folder above its own says so on the user's terminal."""
    from preview.picture.device.gl_platform import shader_cache

    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path / "new" / "cache"))
    assert Path(shader_cache()["MESA_SHADER_CACHE_DIR"]).is_dir()
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path / "file"))
    assert shader_cache()["MESA_SHADER_CACHE_DISABLE"] == "true"


def test_on_a_full_disk_drivers_keep_no_shaders(tmp_path, monkeypatch):
    from preview.picture.device import gl_platform

    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path))
    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(free=400_000))
    assert gl_platform.shader_cache()["MESA_SHADER_CACHE_DISABLE"] == "true"
