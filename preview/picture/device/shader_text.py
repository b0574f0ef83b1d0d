"""The texts of the shaders, put together."""

from __future__ import annotations

from pathlib import Path

from preview.picture.shared import header

SHADERS = Path(__file__).parents[1] / "shaders"


def shader_text(name: str) -> str:
    """Return the GLSL of a file in `shaders`: version, constants and what all say alike before its own, whose lines are
    counted from 1 in a driver's messages."""
    common, own = ((SHADERS / each).read_text(encoding="utf-8") for each in ("common.glsl", name))
    return f"#version 330 core\n{header()}{common}#line 1\n{own}"
