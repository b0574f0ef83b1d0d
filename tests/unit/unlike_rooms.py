"""Rooms that nothing was tuned on: a U in feet, a bay turned in the drawing, a corridor by walk, five walls by
diagonals, an L whose courses run at 45 degrees, a plain rectangle; and the prices of a firm that goes to all of
them."""

from __future__ import annotations

from functools import cache

import numpy as np
from paper_scenes import laid
from pdf_reading import page_texts

from preview.floor.laid import LaidFloor
from preview.paper.quote.bill import bills
from preview.paper.quote.firm_details import Details, read_details
from preview.paper.quote.quote import Shown, quote_sheet

U = """
title = "Reading room"
units = "ft"
north = 12
room.walk = ["E 19 ft 8 in", "N 15 ft 10 in", "W 6 ft 2 in", "S 6 ft 9 in",
             "W 7 ft", "N 6 ft 9 in", "W 6 ft 6 in", "S 15 ft 10 in"]
room.height = 9
room.baseboard = "3/4 in"
openings = [{ name = "arch", kind = "cased opening", wall = 1, offset = 5, width = "4 ft 6 in", height = 7 },
            { name = "garden window", kind = "window", wall = 2, offset = 6, width = 5, sill = 2, height = 5 },
            { name = "street window", kind = "window", wall = 7, offset = 1.5, width = 3.5, sill = 2, height = 5 }]
vents = [{ center = [18, 8], size = ["12 in", "4 in"], angle = 90 }]
floor = { board_width = "3 1/4 in", center = { opening = "arch" } }
border.width = "4 in"
wood.species = "white oak"
border_wood.species = "walnut"
variants = [{ name = "Wider", floor.board_width = "4 in" }, { name = "On the room", floor.center = "room" }]
"""

BAY = """
title = "Salon"
units = "mm"
[room]
corners = [[0, 0], [4890, 1780], [3480, 5630], [2350, 5220], [2010, 5730],
           [1290, 5950], [70, 5510], [-340, 4880], [-270, 4260], [-1400, 3850]]
height = 2800
baseboard = 16
[[openings]]
name = "double door"
kind = "door"
wall = 1
offset = 1500
width = 1400
height = 2200
[[openings]]
name = "bay window"
kind = "window"
wall = 6
offset = 100
width = 1100
sill = 700
height = 1500
[[openings]]
name = "left pane"
kind = "window"
wall = 7
offset = 75
width = 600
sill = 700
height = 1500
[[openings]]
name = "right pane"
kind = "window"
wall = 5
offset = 75
width = 600
sill = 700
height = 1500
[floor]
board_width = 90
gap = "1 mm"
courses = "odd"
[border]
width = 0
[wood]
species = "ash"
finish = "oil matt"
moisture = { install = 8, summer = 10, winter = 6 }
[[variants]]
name = "On the door"
floor.center = { opening = "double door" }
[[variants]]
name = "With a border"
border.width = 90
"""

CORRIDOR = """
title = "Passage"
units = "cm"
room.walk = ["E 112", "N 690.4", "W 112.3", "S 690"]
room.height = 240
room.baseboard = 1.5
openings = [{ name = "stair head", kind = "cased opening", wall = 1, offset = 13, width = 86, height = 210 },
            { name = "bath", kind = "door", wall = 2, offset = 210, width = 76, height = 203 },
            { name = "bedroom", kind = "door", wall = 4, offset = 80, width = 83, height = 203 },
            { name = "end window", kind = "window", wall = 3, offset = 21, width = 70, sill = 90, height = 110 }]
floor = { board_width = 7, thickness = "15 mm" }
border.width = 6
wood.species = "cherry"
variants = [{ name = "Bare", border.width = 0 }, { name = "Ready-cut", floor.board_length = ["350 mm", "400 mm"] }]
"""

FIVE = """
title = "Parlour"
units = "in"
[room]
walk = ["E 184", "N 110 1/16", "NW 68 5/8", "W 142", "S 158"]
diagonals = [{ from = 1, to = 3, length = 217 }, { from = 1, to = 4, length = "17 ft 8 5/8 in" },
             { from = 2, to = 5, length = 244 }]
height = "8 ft 10 in"
baseboard = "7/8"
[[openings]]
name = "lobby"
kind = "door"
wall = 1
offset = 120
width = 34
height = 80
[[openings]]
name = "street window"
kind = "window"
wall = 3
offset = 12
width = 44
sill = 30
height = 56
[[obstacles]]
name = "chimney breast"
kind = "column"
corners = [[-1.3, 54], [16, 54], [16, 106], [-1.8, 106]]
height = "8 ft 10 in"
baseboard = "7/8"
[[obstacles]]
name = "slate hearth"
kind = "hearth"
corners = [[16, 48], [34, 48], [34, 112], [16, 112]]
height = "1/2"
[floor]
board_width = "2 1/2"
[border]
width = 5
[wood]
species = "hard maple"
[border_wood]
species = "cherry"
[[variants]]
name = "On the lobby"
floor.center = { opening = "lobby" }
"""

ELL = """
title = "Farm kitchen"
units = "in"
[room]
corners = [[0, 0], ["18 ft 2 in", 0], ["18 ft 2 in", "9 ft 1 in"], ["11 ft", "9 ft 1 in"],
           ["11 ft", "15 ft 3 in"], [0, "15 ft 3 in"]]
baseboard = "1/2"
[[openings]]
name = "back door"
kind = "door"
wall = 2
offset = 38
width = 34
height = 80
[[obstacles]]
name = "island"
kind = "island"
corners = [["4 ft 2 in", "5 ft"], ["10 ft 2 in", "5 ft"], ["10 ft 2 in", "8 ft 2 in"], ["4 ft 2 in", "8 ft 2 in"]]
height = 36
[floor]
board_width = 4
run = 45
[border]
width = 4
strip = { width = "3/4", species = "walnut" }
[wood]
species = "red oak"
stain = "medium"
finish = "oil satin"
[[variants]]
name = "Straight run"
floor.run = 90
[[variants]]
name = "Without the strip"
border.strip = "none"
"""

RECTANGLE = """
title = "Study"
units = "m"
[room]
corners = [[0, 0], [4.2, 0], [4.2, 3.1], [0, 3.1]]
baseboard = "18 mm"
[[openings]]
name = "door"
kind = "door"
wall = 3
offset = 0.6
width = 0.9
height = 2.05
[[openings]]
name = "window"
kind = "window"
wall = 1
offset = 1.2
width = 1.4
sill = 0.8
height = 1.3
[floor]
board_width = "80 mm"
[border]
width = "80 mm"
[wood]
species = "walnut"
"""

UNLIKE = {"U": U, "bay": BAY, "corridor": CORRIDOR, "five": FIVE, "L": ELL, "rectangle": RECTANGLE}

FIRM = """
currency = "EUR"
[[prices]]
text = "Wood"
quantity = "field"
waste = 10
unit_price = 88
[[prices]]
text = "Laying"
quantity = "field"
unit_price = 72
[[prices]]
text = "Edging"
quantity = "border"
unit_price = 22
[[prices]]
text = "Inlay"
quantity = "strip"
unit_price = 30
[[prices]]
text = "Blocks"
quantity = "boards"
unit_price = 1.85
[[prices]]
text = "Grille"
quantity = "grilles"
unit_price = 110
[[prices]]
text = "Threshold"
quantity = "thresholds"
unit_price = 90
"""


@cache
def floors(name: str) -> tuple[LaidFloor, ...]:
    """The floors of a room of `UNLIKE`, its base first."""
    return tuple(laid(UNLIKE[name]))


def quote(name: str, own: int = 2, details: Details | None = None, paper: str = "a4") -> bytes:
    """The quote of a room of `UNLIKE` for its base, with `own` pictures of it and one of each of two others."""
    told = floors(name)
    details = details or read_details(FIRM, "firm.toml")
    grey = np.full((250, 400, 3), 120, np.uint8)
    pictures = [Shown(told[0].job.variant, f"view {number}", grey) for number in range(own)]
    pictures += [Shown(each.job.variant, "view 0", grey) for each in told[1:3]]
    return quote_sheet(told, pictures, details, bills(details, told), None, paper)


@cache
def words(name: str) -> str:
    """What one reads on the quote of a room of `UNLIKE`."""
    return " ".join(page_texts(quote(name)))
