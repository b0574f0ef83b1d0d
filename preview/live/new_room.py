"""A plain room to begin with, whose measures are then corrected at the page."""

from __future__ import annotations

import locale
from collections.abc import Mapping

from preview.scene.job import Unit
from preview.units import System, system

IMPERIAL_PLACES = ("US", "LR", "MM")
"""Countries whose customary measure is the foot (common practice, no published source)."""

SIZES: Mapping[System, tuple[str, ...]] = {
    "imperial": ("13 ft", "16 ft", "8 ft", "3/4 in", "5 ft 2 in", "2 ft 8 in", "5 ft 6 in", "5 ft", "4 in", "4 in"),
    "metric": ("4 m", "5 m", "2.5 m", "20 mm", "1.6 m", "800 mm", "1.75 m", "1.5 m", "90 mm", "90 mm"),
}

TEXT = """\
title = "New room"
units = "{units}"  # the unit of numbers without one

[room]
# The walls in order: the direction of each (letters, or degrees clockwise from N) and its length.
walk = [
    "E {0}",  # wall 1
    "N {1}",  # wall 2
    "W {0}",  # wall 3
    "S {1}",  # wall 4
]
height = "{2}"
baseboard = "{3}"  # its thickness

[[openings]]
name = "door"
kind = "door"
wall = 1
offset = "{4}"  # from the wall's first corner to the near jamb
width = "{5}"

[[openings]]
name = "window"
kind = "window"
wall = 2
offset = "{6}"
width = "{7}"

[floor]
board_width = "{8}"
board_length = "fit"  # or a length
center = "room"  # "room", {{ opening = "its name" }} or {{ point = [x, y] }}

[border]
width = "{9}"  # 0 for none

[wood]
species = "white oak"
"""


def new_room(units: Unit) -> str:
    """Return the scene of a plain room of four walls, in some units."""
    return TEXT.format(*SIZES[system(units)], units=units)


def usual_units() -> Unit:
    """Return what a tape is likely to be marked in where this computer is: inches where that can't be told."""
    place = (locale.getlocale()[0] or "").partition("_")[2].partition(".")[0]
    return "mm" if place and place not in IMPERIAL_PLACES else "in"
