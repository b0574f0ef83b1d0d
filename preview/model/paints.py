"""Colours of the room shell: paints that a scene names or gives, stones and what else is not wood.

A paint has a body colour under a skin that returns `SHEEN` of light from all round. What a screen or a fan deck shows
of it, and what a colorimeter measures with the shine left out (CIE 15:2018, 45/0 geometry), is what comes back out of
the body: (1 - SHEEN) times its albedo. So a colour given as sRGB is divided by that.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from preview.colour import linear_to_srgb, srgb_to_linear
from preview.errors import Place, UsageError
from preview.model.model import SHEEN
from preview.scene.job import PaintChoice
from preview.scene.positions import key_lines
from preview.wood.species import read_tables

Colour = tuple[float, float, float]

WHITEST = 0.92
"""Of each primary, the most that a paint returns from its body: what the whitest do; common practice, no published
source. With what its skin returns that is 0.96, so that no room gains light."""

EXAMPLE = 'such as srgb = "#e8e2d6" or albedo = [0.74, 0.71, 0.65]'


@dataclass(frozen=True)
class Paints:
    """Linear-light albedos (red, green, blue), 0 to 1, of the body of each kind of surface; `next_wall` and
    `next_ceiling` are those of rooms beyond an opening."""

    wall: Colour
    ceiling: Colour
    trim: Colour
    cabinet: Colour
    next_wall: Colour
    next_ceiling: Colour
    stone: Colour
    soot: Colour
    worktop: Colour
    kick: Colour
    metal: Colour
    subfloor: Colour
    duct: Colour

    @property
    def next_room(self) -> Paints:
        """The colours of a room beyond an opening, which has the trim of this one."""
        return replace(self, wall=self.next_wall, ceiling=self.next_ceiling)


def room_paints(choice: PaintChoice | None = None, materials: Path | None = None) -> Paints:
    """Return the colours of a room in which `choice` is painted, the program's own where it says nothing.

    materials: a folder whose paints.toml and surfaces.toml add to the program's own; one of the same name wins.

    Raises:
        UsageError: a file of materials gives no colour for a surface, or one that is none.
    """
    choice = choice or PaintChoice()
    wall, ceiling, trim, cabinet = (paint_albedo(name, materials) for name in ("wall", "ceiling", "trim", "cabinet"))
    others = {
        name: _albedo(table, name)
        for name, table in read_tables("surfaces", materials).items()
        if name in ("stone", "soot", "worktop", "kick", "metal", "subfloor", "duct")
    }
    own = Paints(wall, ceiling, trim, cabinet, next_wall=wall, next_ceiling=ceiling, **others)
    if choice.cabinets is not None:
        painted = paint_albedo(choice.cabinets, materials)
        shade = [dark / light if light else 1.0 for dark, light in zip(own.kick, own.cabinet, strict=True)]
        own = replace(own, cabinet=painted, kick=_colour(np.minimum(np.multiply(painted, shade), painted)))
    given = {"wall": choice.walls, "ceiling": choice.ceiling, "trim": choice.trim}
    return replace(own, **{name: paint_albedo(each, materials) for name, each in given.items() if each is not None})


def paint_albedo(paint: str, materials: Path | None = None) -> Colour:
    """Return the albedo of a paint's body, by its name or its colour, "#rrggbb".

    Raises:
        UsageError: no paint is called so, or its table gives no colour.
    """
    if paint.startswith("#"):
        return srgb_albedo(paint)
    tables = read_tables("paints", materials)
    if paint not in tables:
        raise UsageError(f'no paint is called "{paint}"; known: {", ".join(sorted(tables))}')
    return _albedo(tables[paint], paint)


def srgb_albedo(code: str) -> Colour:
    """Return the albedo of the body of a paint that a screen shows as `code`, "#rrggbb"; at most that of the whitest
    paint, its hue kept."""
    seen = srgb_to_linear([int(code[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    return _colour(seen * min(1.0, WHITEST / max(float(seen.max()), 1e-9)) / (1 - SHEEN))


def paint_code(paint: str, materials: Path | None = None) -> str:
    """Return the colour of a paint as a screen shows it, "#rrggbb"; UsageError as `paint_albedo`."""
    return _code(paint_albedo(paint, materials))


def surface_code(surface: str, materials: Path | None = None) -> str:
    """Return the colour of a stone or another surface by its name in surfaces.toml as a screen shows it."""
    return _code(_albedo(read_tables("surfaces", materials)[surface], surface))


def _code(albedo: Colour) -> str:
    seen = np.array(albedo) * (1 - SHEEN)
    return "#" + "".join(f"{round(255 * float(part)):02x}" for part in linear_to_srgb(seen))


def is_whiter_than_paint(paint: str) -> bool:
    """Return whether a colour, "#rrggbb", is lighter than any paint."""
    return paint.startswith("#") and paint_code(paint) != paint


def _albedo(table: Mapping[str, Any], name: str) -> Colour:
    """Return the albedo that a table of a material file gives."""
    if "srgb" in table:
        code = table["srgb"]
        if not isinstance(code, str) or not re.fullmatch(r"#[0-9A-Fa-f]{6}", code):
            raise _fault(table, f"{name}.srgb", f"{code!r} as a colour", "write six hexadecimal digits")
        return srgb_albedo(code)
    if "albedo" not in table:
        raise _fault(table, name, "no colour", "give it one")
    parts = table["albedo"]
    if not isinstance(parts, list) or len(parts) != 3 or not all(_is_share(part) for part in parts):
        raise _fault(table, f"{name}.albedo", f"{parts!r} as an albedo", "write three numbers from 0 to 1")
    return _colour(parts)


def _fault(table: Mapping[str, Any], key: str, found: str, remedy: str) -> UsageError:
    """Return the error of a table of a material file, with its file, line and key."""
    lines = key_lines(Path(table["file"]).read_text(encoding="utf-8"))
    return UsageError(f"{Place(table['file'], key, lines.get(key))}: {found}; {remedy}, {EXAMPLE}")


def _is_share(part: object) -> bool:
    return isinstance(part, int | float) and not isinstance(part, bool) and 0 <= part <= 1


def _colour(parts: Any) -> Colour:  # noqa: ANN401 (three numbers, of a list or an array)
    red, green, blue = map(float, parts)
    return red, green, blue
