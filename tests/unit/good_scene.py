"""A scene without a slip, from which those with one are made."""

GOOD = """\
title = "Study"
units = "in"

[room]
corners = [[0, 0], ["12'", 0], ["12'", "10'"], [0, "10'"]]
height = "8'"
baseboard = 1

[[openings]]
name = "hall door"
kind = "door"
wall = 1
offset = "2'"
width = 32

[[openings]]
name = "garden window"
kind = "window"
wall = 3
offset = "3'"
width = "4'"

[[obstacles]]
name = "hearth"
kind = "hearth"
corners = [["4'", "8' 6\\""], ["8'", "8' 6\\""], ["8'", "10'"], ["4'", "10'"]]

[[vents]]
name = "A"
center = ["10'", "2'"]
size = [10, 4]

[floor]
board_width = 4
run = 90
center = "room"

[border]
width = 4

[wood]
species = "white oak"

[[viewpoints]]
name = "from the door"
at = { opening = "hall door" }
look = { obstacle = "hearth" }

[[variants]]
name = "On the door"
floor.center = { opening = "hall door" }

[[variants]]
name = "Wide boards"
floor.board_width = 5
"""

CORNERS = 'corners = [[0, 0], ["12\'", 0], ["12\'", "10\'"], [0, "10\'"]]'
