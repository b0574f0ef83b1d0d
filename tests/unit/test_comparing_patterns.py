"""Variants of other patterns beside one another: what is said of them, and what is not."""

import pytest
from paper_scenes import PLAIN, laid

from preview.data import data_folder
from preview.paper.compare.trade_off import choice_text, trade_offs
from preview.paper.words.compare_rows import compared
from preview.paper.words.refit_words import refit_headline
from preview.scene import load_scene
from preview.steps import lay_jobs


@pytest.fixture(scope="module")
def floors():
    return lay_jobs(load_scene(data_folder("scenes") / "study.toml"))


def test_the_study_has_one_variant_of_each_pattern(floors):
    assert [each.layout.facts.name for each in floors] == ["herringbone", "double herringbone", "chevron", "straight"]


def test_the_pattern_is_told_first_and_in_the_rows(floors):
    aspects = trade_offs(floors)
    assert aspects[0].said == (
        "Herringbone: boards in a zigzag",
        "Double herringbone: pairs of boards in a zigzag",
        "Chevron: boards that meet in points",
        "Straight: boards in rows",
    )
    assert choice_text(floors, aspects) == "The choice: the pattern."
    rows = {line.label: line.values for line in compared(floors)}
    assert rows["Pattern"] == ("herringbone", "double herringbone", "chevron", "straight")
    assert "Pattern" not in {line.label for line in compared(floors[:1] * 2)}


def test_mixed_lengths_are_told_from_the_shortest_to_the_longest(floors):
    rows = {line.label: line.values for line in compared(floors)}
    assert (rows["Board"][0], rows["Board"][3]) == ('3" × 15 1/4"', '3" × 15" to 7\'')


def test_boards_of_another_pattern_are_not_told_as_fitted_anew(floors):
    assert not any(refit_headline(each, floors[0]) for each in floors)


def test_one_pattern_at_two_angles_is_told_by_how_its_boards_lie():
    chevrons = PLAIN.replace("[floor]", '[floor]\npattern = "chevron"').split("[[variants]]")[0]
    steep = '[[variants]]\nname = "Steep"\nfloor.angle = 60\n'
    rows = {line.label: line.values for line in compared(laid(chevrons + steep))}
    assert rows["Pattern"] == tuple(f"chevron, at {angle}° to the centre line, with mitred ends" for angle in (45, 60))


def test_two_and_three_boards_side_by_side_are_told_apart():
    scene = PLAIN.split("[[variants]]")[0]
    strips = '[[variants]]\nname = "{}"\nfloor.pattern = "double herringbone"\nfloor.strips = {}\n'
    _, twos, threes = floors = laid(scene + strips.format("Twos", 2) + strips.format("Threes", 3))
    rows = {line.label: line.values for line in compared(floors)}
    said = tuple(f"double herringbone, {number} side by side, at 45° to the centre line" for number in (2, 3))
    assert rows["Pattern"] == ("herringbone", *said)
    assert trade_offs([twos, threes])[0].said == (
        "Double herringbone: pairs of boards in a zigzag",
        "Double herringbone: threes of boards in a zigzag",
    )
