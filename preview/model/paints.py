"""Colours of the room shell: paints that a scene names or gives, stones and what else is not wood.

A paint has a body colour under a skin that returns `SHEEN` of light from all round. What a screen or a fan deck shows
of it, and what a colorimeter measures with the shine left out (CIE 15:2018, 45/0 geometry), is what comes back out of
the body: (1 - SHEEN) times its albedo. So a colour given as sRGB is divided by that.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from preview.colour import linear_to_srgb, srgb_to_linear
from preview.fresnel import SHEEN
from preview.scene.job import PaintChoice
from preview.wood.material_types import Paint
from preview.wood.species import load_paint, load_surface

Colour = tuple[float, float, float]

WHITEST = 0.92
"""Of each primary, the most that a paint returns from its body: what the whitest do; common practice, no published
source. With what its skin returns that is 0.96, so that no room gains light."""


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
        SceneError: a file of materials gives no colour for a surface, or one that is none.
    """
    choice = choice or PaintChoice()
    wall, ceiling, trim, cabinet = (paint_albedo(name, materials) for name in ("wall", "ceiling", "trim", "cabinet"))
    surfaces = ("stone", "soot", "worktop", "kick", "metal", "subfloor", "duct")
    others = {name: _albedo(load_surface(name, materials)) for name in surfaces}
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
        UsageError: no paint is called so.
        SceneError: its table gives no colour, or one that is none.
    """
    if paint.startswith("#"):
        return srgb_albedo(paint)
    return _albedo(load_paint(paint, materials))


def srgb_albedo(code: str) -> Colour:
    """Return the albedo of the body of a paint that a screen shows as `code`, "#rrggbb"; at most that of the whitest
    paint, its hue kept."""
    seen = srgb_to_linear([int(code[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    return _colour(seen * min(1.0, WHITEST / max(float(seen.max()), 1e-9)) / (1 - SHEEN))


def paint_code(paint: str, materials: Path | None = None) -> str:
    """Return the colour of a paint as a screen shows it, "#rrggbb"; errors as `paint_albedo`."""
    return _code(paint_albedo(paint, materials))


def surface_code(surface: str, materials: Path | None = None) -> str:
    """Return the colour of a stone or another surface by its name in surfaces.toml as a screen shows it."""
    return _code(_albedo(load_surface(surface, materials)))


def _code(albedo: Colour) -> str:
    seen = np.array(albedo) * (1 - SHEEN)
    return "#" + "".join(f"{round(255 * float(part)):02x}" for part in linear_to_srgb(seen))


def is_whiter_than_paint(paint: str) -> bool:
    """Return whether a colour, "#rrggbb", is lighter than any paint."""
    return paint.startswith("#") and paint_code(paint) != paint


def _albedo(paint: Paint) -> Colour:
    """Return the albedo of a paint or another surface, which gives that or its colour on a screen."""
    return paint.albedo or srgb_albedo(paint.srgb or "")


def _colour(parts: Any) -> Colour:  # noqa: ANN401 (three numbers, of a list or an array)
    red, green, blue = map(float, parts)
    return red, green, blue
