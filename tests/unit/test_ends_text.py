"""What the boards come to at the edge of the field, read back from the words of every paper."""

import re

import pytest
from paper_scenes import PLAIN, laid

from preview.paper.compare.trade_off import few_numbers, trade_offs
from preview.paper.quote.agreement import agreed_rows
from preview.paper.words.compare_rows import compared
from preview.paper.words.ends_text import ends_rows, ends_sentences, ends_text, every_wall
from preview.units import parse_length

SKEW = PLAIN.replace("[180, 0], [180, 144], [0, 144]", "[180, 20], [200, 144], [-10, 150]").split("[[variants]]")[0]
TURNED = PLAIN.replace("run = 90", "run = 45").split("[[variants]]")[0]
HEARTH = PLAIN.split("[[variants]]")[0] + (
    '[[obstacles]]\nname = "hearth"\nkind = "hearth"\n'
    "corners = [[60, 124], [120, 124], [120, 144], [60, 144]]\nheight = 1\n"
)
TEE = """
title = "T"
units = "mm"
[room]
corners = [[1000, 0], [2500, 0], [2500, 2000], [4000, 2000], [4000, 4000], [0, 4000], [0, 2000], [1000, 2000]]
[floor]
board_width = 90
run = 90
[border]
width = 90
"""


def test_a_rectangle_takes_three_sentences():
    """170 1/2 in between the border lines: boards of 20 1/2 in, their sides at sqrt2 x 85.25 - 5 x 20.5 + 2 = 20.06."""
    floor = laid(PLAIN)[0]
    said = ends_sentences(floor.layout)
    assert said[0] == 'Along the east wall (wall 2) and the west wall (wall 4): boards cut to 20 1/16".'
    assert said[1:] in (
        ["At the south wall (wall 1): full triangles.", said[-1]],
        [said[1], "At the south wall (wall 1): full triangles."],
    )
    assert len(said) == 3 and re.fullmatch(
        r'.*north wall \(wall 3\): triangles with short sides of \S+( \S+)? \(full: 4"\)\.', said[-1]
    )


def test_walls_at_an_angle_say_so():
    square = TURNED.replace("180", "144").replace("offset = 40", "offset = 30")
    said = ends_sentences(laid(square)[0].layout)
    assert len(said) <= 4
    assert all("45° to the centre line" in each for each in said)


def test_full_is_said_only_where_all_are_full():
    for scene in (PLAIN, SKEW, TURNED, HEARTH, TEE):
        layout = laid(scene)[0].layout
        for row, words in ends_text(layout):
            if "full triangles" in words:
                own = [each for each in layout.stretches if each.name.lower().endswith(row.lower())]
                assert own and all(each.triangles.shortest == pytest.approx(layout.board.width) for each in own)
    assert not any("full triangles" in words for _, words in ends_text(laid(SKEW)[0].layout))


def test_no_paper_says_left_or_right_of_walls():
    for floors in (laid(PLAIN), laid(HEARTH), laid(TURNED), laid(SKEW), laid(TEE)):
        layout = floors[0].layout
        words = [" ".join(row) for row in agreed_rows(floors[0])]
        words += ends_sentences(layout)
        words += [line.label + " ".join(line.values) for line in compared(floors)]
        words += [" ".join(row) for row in ends_rows(layout)]
        words += [said for each in trade_offs(floors) for said in each.said]
        assert not re.search(r"\b(left|right)\b", " ".join(words)), words


def test_a_room_of_many_walls_has_a_short_list_and_a_whole_one():
    layout = laid(TEE)[0].layout
    assert len(ends_text(layout)) == 8
    said = ends_sentences(layout)
    assert len(said) <= 5
    rows = ends_rows(layout)
    assert len(rows) <= 4 and all(label.startswith("Wall") for label, _ in rows)


def test_who_signs_reads_every_wall_and_the_smallest_pieces():
    """Of a room whose walls come to more than four things two are told, the longest and the one with the least left,
    and the rest together, by the least of their pieces."""
    smallest_first = []
    for top in ("[200, 144], [-10, 150]", "[200, 140], [-10, 156]", "[200, 144], [-10, 144]"):
        bay = SKEW.replace("[180, 20]", "[100, -14], [180, 20], [196, 80]").replace("[200, 144], [-10, 150]", top)
        floor = laid(bay)[0]
        layout = floor.layout
        walls = [each for each in layout.ends.each if each.wall]
        assert len({each.text for each in walls}) > 4
        said = every_wall(floor.room, layout, "in")
        assert 3 <= len(said) <= 5 and not any("list" in each for each in said)
        assert named(said) == list(range(1, len(floor.room.corners) + 1))
        longest, smallest = max(walls, key=lambda each: each.length), min(walls, key=lambda each: each.least)
        assert longest.text in said[0] and smallest.text in " ".join(said)
        smallest_first.append(smallest.text in said[0])
        for sentence in said[2:]:
            rest = re.fullmatch(
                r"Along (.*): (boards cut to follow the edge|boards cut to length|triangles with short sides)"
                r", none shorter than "
                r"(\S+(?: \S+)??)(?: except in corners)?\.",
                sentence,
            )
            of = named([rest[1]])
            for each in walls:  # as the layer's card has it
                assert each.wall not in of or ("follow the edge" in each.text) == ("follow the edge" in rest[2])
            lots = [lot for each in layout.stretches if each.wall in of for lot in (each.boards, each.triangles) if lot]
            least = parse_length(rest[3], "in")
            assert min(lot.shortest for lot in lots) == pytest.approx(least, abs=0.0254 / 32 + 1e-9)
    assert not all(smallest_first)  # or nothing was tried


def named(said):
    """The walls that are named in sentences, in order, each once."""
    return sorted(int(each) for each in re.findall(r"wall (\d+)", " ".join(said)))


@pytest.mark.parametrize("scene", [PLAIN, SKEW, TURNED, HEARTH, TEE])
def test_who_signs_finds_each_wall_once(scene):
    for floor in laid(scene):
        said = every_wall(floor.room, floor.layout, floor.job.units)
        count = len(floor.room.corners)
        assert named(said) == list(range(1, count + 1)) or said[0].startswith("Along every wall: ")
        assert dict(agreed_rows(floor))["Where the boards end"] == " ".join(said)


def test_a_wall_that_no_board_reaches_is_named_as_such():
    """A cabinet stands along the whole of the west wall."""
    cabinet = PLAIN.split("[[variants]]")[0] + (
        '[[obstacles]]\nname = "wardrobe"\nkind = "cabinet"\n'
        "corners = [[0, 0], [30, 0], [30, 144], [0, 144]]\nheight = 90\n"
    )
    (floor,) = laid(cabinet)
    said = every_wall(floor.room, floor.layout, "in")
    assert "No boards end at the west wall (wall 4)." in said and named(said) == [1, 2, 3, 4]
    assert said[-1].startswith("Round the wardrobe: ")


def test_what_stands_in_the_room_is_told_once():
    said = ends_sentences(laid(HEARTH)[0].layout)
    assert sum("hearth" in each for each in said) == 1 and said[-1].startswith("Round the hearth: ")


def test_variants_are_held_against_each_other_by_wall():
    floors = laid(PLAIN)
    labels = [line.label for line in compared(floors)]
    walls = ["South wall", "East wall", "North wall", "West wall"]
    assert [label for label in labels if "wall" in label] == walls
    rows = {each.label: each.values for each in few_numbers(floors, trade_offs(floors))}
    assert all(each.startswith("boards of ") for each in rows["East and west walls"])
    assert len(set(rows["East and west walls"])) == 2
