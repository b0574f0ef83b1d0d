"""What one buys, as a scene says it: read, refused with a reason, and blocks chosen from those in stock."""

import pytest
from paper_scenes import PLAIN

from preview.errors import SceneError
from preview.floor.lay import lay_floor
from preview.floor.patterns.fitting import best_fit
from preview.floor.patterns.herringbone.legs import leg_reach
from preview.room.measured import build_room
from preview.scene.job import StockChoice
from preview.scene.read import read_scene
from preview.units import SQUARE_FOOT, MeasureError, parse_area


def job(stock="", scene=PLAIN):
    return read_scene(f"{scene}\n{stock}", "scene.toml")[0]


def with_stock(text):
    """The scene with a [stock] table before its variants."""
    return read_scene(PLAIN.replace("[[variants]]", f"[stock]\n{text}\n[[variants]]"), "scene.toml")[0]


def test_the_table_of_stock():
    found = with_stock(
        'lengths = [{ length = "7\'", count = 12 }, { length = "5\' 6\\"", count = 20 }]\n'
        'bundle = "20 sq ft"\nkerf = "1/8"\ntrim = "1/2"'
    ).stock
    assert [(each.count, round(each.length / 0.3048, 9)) for each in found.lengths] == [(12, 7), (20, 5.5)]
    assert found.bundle == pytest.approx(20 * SQUARE_FOOT)
    assert (found.kerf, found.trim) == pytest.approx((0.003175, 0.0127))
    assert not found.random


def test_random_lengths():
    found = with_stock('shortest = "12"\nlongest = "7\'"\nbundle = 20').stock
    assert (found.shortest, found.longest, found.random) == (pytest.approx(0.3048), pytest.approx(7 * 0.3048), True)
    assert found.bundle == pytest.approx(20 * SQUARE_FOOT)


def test_nothing_said_of_stock_is_the_usual_saw():
    assert job().stock == StockChoice()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ('shortest = "1\'"', "stock.shortest: no stock.longest"),
        ('longest = "1\'"', "stock.longest: no stock.shortest"),
        ('shortest = "7\'"\nlongest = "1\'"', 'stock.longest: a longest stick of 12"'),
        (
            'lengths = [{ length = 84, count = 2 }]\nlongest = "1\'"',
            "stock.longest: random lengths beside stock.lengths",
        ),
        ("lengths = [{ length = 84, count = 0 }]", "stock.lengths[1].count: a count of sticks of 0"),
        ('bundle = "20 acres"', 'stock.bundle: "20 acres" instead of an area'),
        ("bundle = 0", "stock.bundle: a bundle of 0"),
        ("lenghts = []", 'did you mean "lengths"'),
    ],
)
def test_what_contradicts_is_refused(text, found):
    with pytest.raises(SceneError) as error:
        with_stock(text)
    assert found in str(error.value)


def test_ready_cut_blocks_and_sticks_exclude_each_other():
    scene = PLAIN.replace("board_width = 4", "board_width = 4\nboard_length = [16, 20]")
    with pytest.raises(SceneError, match="sticks to cut boards from beside blocks that are ready cut"):
        read_scene(scene.replace("[[variants]]", "[stock]\nlengths=[{length=84,count=9}]\n[[variants]]"), "s.toml")


@pytest.mark.parametrize(
    ("text", "unit", "square_metres"),
    [
        ("20 sq ft", "mm", 20 * SQUARE_FOOT),
        ("20 sq. ft.", "in", 20 * SQUARE_FOOT),
        ("1,86 m²", "in", 1.86),
        ("1.86 m2", "m", 1.86),
        ("20", "in", 20 * SQUARE_FOOT),
        (2, "cm", 2.0),
    ],
)
def test_areas_as_people_write_them(text, unit, square_metres):
    assert parse_area(text, unit) == pytest.approx(square_metres)


@pytest.mark.parametrize("text", ["", "sq ft", "20 sq in", "-3 m2", True, [2], "2 m2 of it"])
def test_what_is_no_area(text):
    with pytest.raises(MeasureError, match="instead of an area"):
        parse_area(text, "in")


def test_the_best_of_the_lengths_in_stock():
    """A field 170 1/2 in wide: 12 courses want 20.42 in or a little over, so 20 1/2 ends in full boards; 19 and 22
    would end in triangles or in half boards."""
    lengths = "[19, 20.5, 22]"
    found = job(scene=PLAIN.replace("board_width = 4", f"board_width = 4\nboard_length = {lengths}"))
    assert found.floor.board_length is None and len(found.floor.lengths) == 3
    layout = lay_floor(build_room(found), found)
    assert layout.board.length == pytest.approx(20.5 * 0.0254)
    each = [
        lay_floor(build_room(one), one)
        for length in (19, 20.5, 22)
        for one in [job(scene=PLAIN.replace("board_width = 4", f"board_width = 4\nboard_length = {length}"))]
    ]
    sides = [[stretch for stretch in one.stretches if stretch.meets == "sides"] for one in each]
    last = [
        min(0.0 if edge.triangles else edge.boards.shortest for edge in edges) / one.board.length
        for one, edges in zip(each, sides, strict=True)
    ]
    assert last.index(max(last)) == 1


def test_no_block_short_enough():
    found = job(
        scene=PLAIN.replace("board_width = 4", "board_width = 4\nboard_length = [72, 110]")
        .replace("180", "62")
        .replace("144", "50")
        .replace("offset = 40", "offset = 1")
    )
    with pytest.raises(SceneError, match="a board of 6' is longer than the field"):
        lay_floor(build_room(found), found)


def test_a_fit_with_costs_is_chosen_only_where_all_have_them():
    from preview.floor.patterns.fit import Fit

    plain, costly = Fit(0.5, 3, 3, 0, 0.4, 0.4), Fit(0.5, 3, 3, 0, 0.5, 0.5, ("too long",))
    assert best_fit([costly, plain], leg_reach(0.1)) is plain
    assert best_fit([costly], leg_reach(0.1)) is costly
    near, far = Fit(0.52, 3, 3, 0, 0.48, 0.5), Fit(0.7, 3, 3, 0, 0.7, 0.7)
    assert best_fit([far, near], leg_reach(0.1)) is near
