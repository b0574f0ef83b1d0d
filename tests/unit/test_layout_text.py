"""The layer's text says what the layout has, in the units of the scene, and ends in the cautions."""

import re

import pytest
from paper_scenes import ASKEW, PLAIN, laid

from preview.paper.words.check_text import check_text
from preview.paper.words.layout_text import CAUTIONS, layout_text
from preview.paper.words.numbers import center_text, total_length
from preview.units import format_length


@pytest.fixture(scope="module")
def plain():
    floor = laid(PLAIN)[0]
    return floor, layout_text(floor)


def test_numbers_are_the_layouts(plain):
    floor, text = plain
    layout = floor.layout
    plain_text = re.sub(" +", " ", text)
    assert f"Stop block {format_length(layout.board.length, 'in')} " in plain_text
    assert 'Border line 4 3/4" from the walls' in plain_text
    assert 'Chalk line 1 7/16" from the centre line, towards the east wall (wall 2)' in plain_text
    (said,) = re.findall(r"Pieces +(\d+) whole \((\d+) lean left, (\d+) lean right\), (\d+) cut", text)
    whole, left, right, cut = map(int, said)
    assert (whole, cut) == (layout.measures["whole_boards"], layout.measures["cut_boards"]) and left + right == whole
    assert text.endswith(f"  · {CAUTIONS[-1]}\n")


def test_every_warning_is_told():
    for scene in (PLAIN, ASKEW):
        for floor in laid(scene):
            text = layout_text(floor)
            assert all(f"  ! {warning}\n" in text for warning in floor.layout.warnings)


def test_metric_has_no_inches():
    floor = laid(ASKEW)[0]
    text = layout_text(floor)
    assert " mm" in text and '"' not in text.split("Warnings")[0].replace("“", "").splitlines()[3]
    assert "V1  frame 300 mm × 100 mm; its middle 700 mm from wall 1" in text


def test_off_centre_line_is_told_by_side():
    base, archway = laid(PLAIN)
    assert center_text(base.room, base.layout, "in") == "in the middle of the field"
    # The archway's middle lies 70 in along a wall of 180: 20 in left of the middle as one looks in.
    assert center_text(archway.room, archway.layout, "in") == '20" off the middle, towards the west wall (wall 4)'


def test_what_is_bought_by_length_is_rounded_up_to_what_one_buys(plain):
    _, text = plain
    assert re.search(r"Splines +[\d,]+ ft before waste, where boards are grooved all round", text)
    assert re.search(r"\nBorder\n  \d+ pieces 4\" wide, \d+ ft in all before waste\.\n", text)
    wide = '1 piece 5 5/8" wide, for walls 4 7/8" thick: measure each opening before you rip.'
    assert f"\nThresholds\n  {wide}\n" in text  # one threshold: its length stands in the list
    assert [total_length(each, "in") for each in (20.63, 304.8, 400.0)] == ["68 ft", "1,000 ft", "1,313 ft"]
    assert [total_length(each, "mm") for each in (0.9, 9.99, 10.0, 31.617)] == ["0.9 m", "10.0 m", "10.0 m", "31.7 m"]


def test_check_and_layout_name_one_area_of_the_field_where_a_grille_lies_in_it():
    scene = PLAIN.replace("[floor]", "[[vents]]\ncenter = [60, 60]\nsize = [30, 12]\n[floor]")
    floors = laid(scene)
    (checked,) = re.findall(r"\n  Field +.*, ([\d.]+ sq ft)", check_text(floors))
    (laid_area,) = re.findall(r"\n  Field +([\d.]+ sq ft)", layout_text(floors[0]))
    assert checked == laid_area


def test_ten_boards_measure_what_the_line_of_every_ten_says():
    """In a chevron every near end is a board's: ten of them reach as far as the tenth from S."""
    scene = PLAIN.replace("[floor]", '[floor]\npattern = "chevron"\nangle = 52')
    text = " ".join(layout_text(laid(scene)[0]).split())
    (ten,) = re.findall(r"Ten boards of one course measure (.+?) along", text)
    assert f" 10 on {ten}," in text


def test_check_says_what_was_understood_and_what_varies():
    floors = laid(PLAIN)
    text = check_text(floors)
    assert "Size    15' × 12', 8' high" in text
    assert "Wall 2  N 12'" in text
    assert "archway  cased opening, 5' wide, wall 1, 20\" off the middle, towards corner 1" in text
    assert (
        "On the archway\n" in text and '20" off the middle, towards the west wall (wall 4), not in the middle' in text
    )


def test_check_tells_by_what_a_walk_does_not_close():
    walk = PLAIN.replace(
        "corners = [[0, 0], [180, 0], [180, 144], [0, 144]]", 'walk = ["E 180", "N 144", "W 180 1/4\\"", "S 144"]'
    ).replace('"W 180 1/4', '"W 180 1/4')
    floors = laid(walk)
    text = check_text(floors)
    assert 'Closing gap  1/4", 0.04 % of the way round: spread over the lengths of the walls' in text


def test_a_mitred_strip_is_measured_to_its_long_point(plain):
    _, text = plain
    border, thresholds = text.split("\nBorder\n")[1].split("\nCut field boards\n")[0].split("\nThresholds\n")
    assert "left or right\n  is the side of the long point" in border
    assert "long point" not in thresholds
    # A wall of 12 ft; the border's outer edge is the baseboard less the overlap, 3/4 in, off each end; two pieces.
    long, short = (format_length(((144 - 2 * 0.75) / 2 - less) * 0.0254, "in") for less in (0, 4))
    assert border.count(f"long {long}, short {short}, 45° left") == 2  # walls 2 and 4
    assert border.count(f"long {long}, short {short}, 45° right") == 2


def test_where_joints_are_a_part_of_the_field_less_than_its_area_is_told_as_that():
    """Narrow boards with joints of a tenth of their width: the wood bought can be less than the field it makes."""
    scene = PLAIN.replace("board_width = 4", "board_width = 2\ngap = 0.2", 1).split("[[variants]]")[0]
    text = re.sub(r"\s+", " ", layout_text(laid(scene)[0]))
    less = re.findall(r"([\d,.]+) sq ft, [\d,]+ ft, ([\d.]+) % less than the field, of which joints are a part", text)
    field = float(re.search(r"Field ([\d.]+) sq ft", text)[1])
    assert less and not re.search(r"-\d[\d.]* %", text)
    for area, share in less:
        assert float(area) == pytest.approx(field * (1 - float(share) / 100), abs=0.15)
