"""What one reads on the quote of unlike rooms, from its PDF: one name for a wall, one figure for a length, no words for
what a room has not."""

from __future__ import annotations

import re

import pytest
from unlike_rooms import UNLIKE, floors, words

BY_COMPASS = {"rectangle", "corridor"}
POINT = r"\b(?:north|east|south|west|North|East|South|West) wall"


@pytest.mark.parametrize("name", UNLIKE)
def test_walls_are_named_in_one_way(name):
    """By the compass with the number in brackets, or by the number; and the sheet says by which, and where north is."""
    said = words(name)
    bare = re.findall(r"(?<!\()\b[Ww]alls? \d", said)
    points = re.findall(POINT, said)
    if name in BY_COMPASS:
        assert points and not bare, bare
        assert "Walls are named by the compass and numbered in the plan; the arrow shows north." in said
        assert re.search(r"\bN\b", said)  # beside the plan's arrow
    else:
        assert bare and not points, points
        assert "Walls are called by the numbers that they have in the plan." in said
    for number in range(1, len(floors(name)[0].room.corners) + 1):
        assert re.search(rf"(?<=\s){number}(?=\s)", said)
