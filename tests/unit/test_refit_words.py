"""A variant whose boards were fitted anew says so in its headline, and what the base's boards would cost it."""

import re
from dataclasses import replace

import numpy as np
from paper_scenes import PLAIN, laid

from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.paper.words.refit_words import headline, refit_words
from preview.units import parse_length


def test_the_headline_tells_both_lengths_where_the_program_chose_another():
    base, archway = laid(PLAIN)
    assert headline(base, base) == base.job.variant and refit_words(base, base) == ""
    found = re.fullmatch(r"On the archway, boards (.+) instead of (.+) long", headline(archway, base))
    for words, floor in zip(found.groups(), (archway, base), strict=True):
        assert abs(parse_length(words, "in") - floor.layout.board.length) < 1e-6


def test_a_length_that_the_variant_asks_for_is_its_own_wish():
    given = PLAIN + 'floor.board_length = "18"\n'
    base, archway = laid(given)
    assert base.layout.board.length != archway.layout.board.length
    assert headline(archway, base) == "On the archway" and refit_words(archway, base) == ""


def test_what_the_bases_boards_would_cost_is_what_they_cost_when_laid():
    """Held against the pieces: the shortest board of the last courses at the sides, over all along its grain."""
    base, archway = laid(PLAIN)
    words = refit_words(archway, base)
    job, layout = archway.job, archway.layout
    same = lay_floor(archway.room, replace(job, floor=replace(job.floor, board_length=base.layout.board.length)))
    match = re.fullmatch(
        r"Its boards are (.+) long, not (.+) as in “As drawn”\. "
        r"Their smallest pieces at the side walls are boards cut to (.+); "
        r"of boards of (.+) they would be boards cut to (.+)\. "
        r"It takes (\d+) boards; of (.+) it would take (\d+) boards\.",
        words,
    )
    own, other, ends, again, other_ends, count, last, other_count = match.groups()
    assert other == again == last
    for told, each in ((own, layout), (other, base.layout)):
        assert abs(parse_length(told, "in") - each.board.length) < 1e-6
    assert [int(count), int(other_count)] == [layout.measures["blanks"], same.measures["blanks"]]
    for told, each in ((ends, layout), (other_ends, same)):
        assert abs(parse_length(told, "in") - shortest_at_sides(each)) < 0.0254 / 32 + 1e-6


SKEW = """
title = "Landing"
units = "in"
room.walk = ["78 17 ft 3 1/4 in", "N 5 ft 6 1/2 in", "264 16 ft 8 7/8 in", "176 7 ft 5 in"]
room.diagonals = [{ from = 1, to = 3, length = "18 ft 6 in" }, { from = 2, to = 4, length = "17 ft 9 3/4 in" }]
floor.pattern = "double herringbone"
floor.board_width = "2 1/4"
border.width = "2 1/4"
openings = [{ name = "door", kind = "door", wall = 2, offset = 15, width = 30 }]
variants = [
 { name = "On the door", floor.center = { opening = "door" } },
 { name = "Along the long wall", floor.run = 12 },
]
"""


def test_what_boards_come_to_at_the_sides_is_said_only_of_walls_that_run_with_the_courses():
    """Of this room's walls none runs with the base's courses; with run = 12 wall 1 does, and the one opposite doesn't:
    boards there are cut to all lengths, as the row of the comparison says."""
    base, door, along = laid(SKEW)
    words = refit_words(door, base)
    assert words.startswith("Its boards are ") and "side" not in words and "smallest" not in words
    words = refit_words(along, base)
    ends = {each.wall: each for each in along.layout.ends.each if each.wall}
    assert [wall for wall, each in ends.items() if each.meets == "sides"] == [1]
    assert f"at the south wall (wall 1) are {ends[1].text}; of boards of " in words


def shortest_at_sides(layout):
    """The longest piece of each of the outermost courses, the shorter of both: near the ends pieces are cut twice."""
    pieces = layout.pieces
    board = pieces.role == Role.BOARD
    longest = []
    for course in (pieces.course[board].min(), pieces.course[board].max()):
        reaches = []
        for number in np.flatnonzero(board & (pieces.course == course)):
            way = np.array([np.cos(pieces.grain[number]), np.sin(pieces.grain[number])])
            reaches.append(np.ptp(np.asarray(pieces.polygons[number].exterior.coords) @ way))
        longest.append(max(reaches))
    return min(longest)
