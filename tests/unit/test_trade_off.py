"""The one sentence that variants are chosen by: what differs, for each kind of choice a customer has."""

import pytest
from paper_scenes import ASKEW, PLAIN, laid

from preview.paper.compare.trade_off import COUNTS, MOST_ROWS, choice_text, few_numbers, trade_offs

BASE = PLAIN.split("[[variants]]")[0]
HEARTH = """
[[obstacles]]
name = "hearth"
kind = "hearth"
corners = [[60, 124], [120, 124], [120, 144], [60, 144]]
"""


def with_variant(*lines, scene=BASE):
    return laid("\n".join([scene, "[[variants]]", 'name = "Other"', *lines]))


def told(floors):
    return [each.said for each in trade_offs(floors)]


def test_another_centre_line_is_told_by_what_it_lies_in_the_middle_of():
    """The archway's middle is 70 in from the west wall, the room's and the hearth's 90."""
    floors = with_variant('floor.center = { opening = "archway" }', scene=BASE + HEARTH)
    assert told(floors) == [
        (
            'Centred on the hearth; 20" off the middle of the archway',
            'Centred on the archway; 20" off the middle of the hearth',
        )
    ]
    aspects = trade_offs(floors)
    assert choice_text(floors, aspects) == (
        'The choice: what the pattern is centred on. The middles of the archway and the hearth lie 20" apart: '
        "the pattern can be centred on one of them, not on both."
    )


def test_without_a_feature_at_the_far_end_it_is_told_by_the_room():
    floors = laid(PLAIN)
    assert told(floors) == [
        (
            'Centred on the room; 20" off the middle of the archway',
            'Centred on the archway; 20" off the middle of the room',
        )
    ]
    assert choice_text(floors, trade_offs(floors)) == "The choice: what the pattern is centred on."


def test_a_line_on_nothing_is_told_by_how_far_it_is_off():
    bare = BASE.replace(BASE[BASE.index("[[openings]]") : BASE.index("[floor]")], "")
    floors = with_variant("floor.center = { point = [80, 0] }", scene=bare)
    ((base, other),) = told(floors)
    assert base == "Centred on the room"
    assert other == '10" off the middle of the room, towards the west wall (wall 4)'


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (["floor.board_width = 5"], ('Boards 4" wide', 'Boards 5" wide')),
        (['floor.board_length = "24"'], ('Boards 20 1/2" long', "Boards 2' long")),
        (['wood.species = "walnut"'], ("White oak", "Walnut")),
        (['wood.stain = "dark"'], ("White oak, no stain", "White oak, dark stain")),
        (['wood.finish = "oil matt"'], ("White oak, satin water-borne finish", "White oak, matt oil finish")),
        (
            ['wood.cut = "quartersawn"', 'wood.grade = "rustic"'],
            ("White oak, plainsawn, select grade", "White oak, quartersawn, rustic grade"),
        ),
        (["border.width = 0"], ('Border 4" wide', "No border")),
        (['border_wood.species = "walnut"'], ('Border 4" wide, white oak', 'Border 4" wide, walnut')),
        (
            ['border.strip = { width = "3/4", species = "walnut" }'],
            ("No feature strip", 'Feature strip 3/4" wide, walnut'),
        ),
        (['floor.pattern = "chevron"'], ("Herringbone: boards in a zigzag", "Chevron: boards that meet in points")),
        (['paint.walls = "sage green"'], ("Walls: no paint chosen", "Walls sage green")),
        (
            ["floor.run = 0", 'floor.center = "room"'],
            ("The pattern runs towards the north wall (wall 3)", "The pattern runs towards the east wall (wall 2)"),
        ),
    ],
)
def test_one_thing_that_differs_is_told_alone(lines, said):
    floors = with_variant(*lines)
    assert told(floors)[0] == said
    assert len(told(floors)) == 1


def test_courses_that_run_another_way_are_told_by_what_they_are_in_line_with():
    """A door in the east wall beside the archway in the south wall; the courses run from one or from the other."""
    door = '[[openings]]\nname = "garden door"\nkind = "door"\nwall = 2\noffset = 60\nwidth = 32\nheight = 80\n'
    scene = BASE.replace("[floor]", f"{door}[floor]").replace("run = 90", 'center = { opening = "archway" }')
    floors = with_variant('floor.center = { opening = "garden door" }', scene=scene)
    assert told(floors)[0] == ("In line with the archway", "In line with the garden door")


def test_what_is_small_is_told_by_its_first_number():
    floors = with_variant('floor.start = "both"')
    ((base, other),) = told(floors)
    assert base.startswith("South wall: ") and other.startswith("South wall: ") and base != other


def test_two_that_are_alike_are_told_as_such():
    floors = with_variant("wood.seed = 5")
    assert told(floors) == []
    assert choice_text(floors, []) == "These differ in nothing that a picture shows."


def test_numbers_are_few_and_count_nothing():
    for floors in (laid(PLAIN), with_variant("floor.board_width = 5"), with_variant("floor.run = 45", scene=ASKEW)):
        aspects = trade_offs(floors)
        rows = few_numbers(floors, aspects)
        assert 0 < len(rows) <= MOST_ROWS
        assert all(each.differs for each in rows) and not {each.label for each in rows} & set(COUNTS)
        assert not {each.label for each in rows} & {row for each in aspects for row in each.rows}
        assert len({each.values for each in rows}) == len(rows)
