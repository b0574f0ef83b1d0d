"""The DXF library loaded so that it reads and writes nothing beside: settings and fonts are none of a drawing's.

When it is imported it reads ``ezdxf.ini`` in the working folder and the user's, and looks for all fonts of the machine
to keep a list of them in a cache folder of its own. So while it is imported its cache folder is a temporary one with an
empty list, and no settings are read.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from configparser import ConfigParser
from contextlib import contextmanager
from types import ModuleType

from preview.unfinished import scratch_folder

FOLDERS = ("XDG_CACHE_HOME", "XDG_CONFIG_HOME")
SETTINGS = "EZDXF_CONFIG_FILE"
NO_FONTS = json.dumps({"version": 2, "font-faces": []})
"""A list of fonts as releases from 1.4 on read it; where the version is another it holds none either."""


def dxf_library() -> ModuleType:
    """Return the library, loaded once.

    Raises:
        UsageError: the temporary folder can't be written.
    """
    if "ezdxf" not in sys.modules:
        with scratch_folder() as folder:
            fonts = folder / "ezdxf" / "font_manager_cache.json"
            fonts.parent.mkdir()
            fonts.write_text(NO_FONTS, encoding="utf-8")
            with _environment(dict.fromkeys(FOLDERS, str(folder)) | {SETTINGS: ""}), _no_settings():
                import ezdxf.fonts.fonts
    import ezdxf

    return ezdxf


@contextmanager
def _environment(wanted: dict[str, str]) -> Iterator[None]:
    before = {name: os.environ.get(name) for name in wanted}
    os.environ.update(wanted)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _no_settings() -> Iterator[None]:
    """Let no file of settings be read."""
    read = ConfigParser.read
    ConfigParser.read = lambda self, *files, **options: []  # type: ignore[method-assign]
    try:
        yield
    finally:
        ConfigParser.read = read  # type: ignore[method-assign]
