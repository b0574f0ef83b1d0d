"""What a customer signs, in rooms of every kind: the centre line as told is the centre line as laid, and prices follow
the pieces."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import numpy as np
import shapely
from hypothesis import strategies as st

from preview.errors import SceneError
from preview.floor.features import NEAR, features, meetings
from preview.floor.layout import Role
from preview.paper.quote.agreement import agreed_rows, floor_rows
from preview.paper.quote.bill import bills
from preview.paper.quote.firm_details import read_details
from preview.paper.words.line_words import choice_words, line_words
from preview.steps import lay_jobs
from tests.strategies import checked, rooms

FIRM = """
currency = "USD"
[[prices]]
text = "field"
quantity = "field"
unit_price = 1
[[prices]]
text = "border"
quantity = "border"
unit_price = 1
[[prices]]
text = "carpet"
quantity = 1
unit_price = 1
"""
SIZE = {"sq ft": Decimal("0.09290304"), "m²": Decimal(1), "ft": Decimal("0.3048"), "m": Decimal(1)}
STEP = {"sq ft": Decimal("0.1"), "m²": Decimal("0.01"), "ft": Decimal(1), "m": Decimal("0.1")}


@checked(8, 60, rooms(), st.sampled_from(["in", "mm"]))
def test_what_is_told_is_what_is_laid(job, units):
    try:
        (floor,) = lay_jobs([replace(job, units=units)])
    except SceneError:  # a room too small for its boards
        return
    room, layout = floor.room, floor.layout
    said = " ".join(line_words(room, layout, units))
    run = np.array([np.cos(layout.run), np.sin(layout.run)])
    right = np.array([run[1], -run[0]])

    for met, sign in zip(meetings(room, layout), (-1, 1), strict=True):
        a, b = room.corners[met.wall - 1], room.corners[met.wall % len(room.corners)]
        place = a + met.start * (b - a) / np.hypot(*(b - a))
        assert abs((place - layout.center_line[0]) @ right) < 1e-6  # on the line, and on the wall
        assert abs(met.start + met.stop - np.hypot(*(b - a))) < 1e-6
        assert (place - layout.center_line[(sign + 1) // 2]) @ run * sign > -1e-6  # beyond the field

    for each in (each for each in features(room, layout) if each.near):
        opening = next((other for other in room.openings if other.name == each.name), None)
        if opening is not None:
            assert abs(each.aside) <= NEAR
            assert abs((layout.center_line[0] - opening.middle) @ right - each.aside) < 1e-9
    assert re.match(r"The centre line starts (in|at|\d)", said), said
    assert not re.search(r"\b(left|right|nan|inf|None)\b", said), said
    assert not re.search(r"(?<![\d/])-\d", said), said
    rows = [*agreed_rows(floor), *floor_rows(layout, floor.job)]
    assert all(label and value and "nan" not in value.split() for label, value in rows)
    assert choice_words([floor]) == ()
    read = " ".join(value for _, value in rows)
    if re.search(r"\b(north|east|south|west) wall", read):
        assert not re.search(r"(?<!\()\bwall \d", read), read  # one way of naming walls in a room

    (bill,) = bills(read_details(FIRM, "firm.toml"), [floor])
    pieces = layout.pieces
    taken = {
        "field": float(shapely.area(pieces.polygons[pieces.role == Role.BOARD]).sum()),
        "border": float(pieces.size[pieces.role == Role.BORDER, 0].sum()),
    }
    for line in (each for each in bill.lines if each.text != "carpet"):
        over = line.quantity * SIZE[line.unit] - Decimal(taken[line.text])
        step = STEP[line.unit] * SIZE[line.unit]
        low, high = (-step / 2, step / 2) if line.text == "field" else (Decimal(0), step)
        assert low - Decimal("1e-6") < over < high + Decimal("1e-6")  # areas to the nearest step, lengths up
    assert bill.total == sum(line.quantity for line in bill.lines)
