"""Boards and border from sticks: the solver against every way there is, random lots against the closed form."""

import itertools
import math
import re
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from paper_scenes import ASKEW, PLAIN
from pdf_reading import page_texts

from preview.floor.stock.given import cut_given
from preview.floor.stock.needs import Needs, Saw
from preview.floor.stock.random_lengths import _draw_lots, _served, blocks_per_stick, buy_random
from preview.paper.card.card import layer_card
from preview.paper.words.layout_text import layout_text
from preview.scene.job import Sticks
from preview.scene.read import read_scene
from preview.steps import lay_jobs

INCH, FOOT = 0.0254, 0.3048
SAW = Saw(INCH / 8, INCH / 2)


def test_a_seven_foot_stick_gives_three_blocks_of_21_inches_not_four():
    """Four of them are 84 in, all of it: nothing is left for cuts and trims."""
    needs = Needs(1, 21 * INCH)
    assert needs.blocks_in(SAW.room(7 * FOOT), SAW) == 3
    assert needs.blocks_in(Saw(0, 0).room(7 * FOOT), Saw(0, 0)) == 4
    assert needs.blocks_in(Saw(INCH / 8, 0).room(7 * FOOT), Saw(INCH / 8, 0)) == 3
    assert needs.blocks_in(SAW.room((3 * 21 + 2 / 8 + 1) * INCH), SAW) == 3  # three, two cuts, both ends squared
    assert needs.blocks_in(SAW.room((3 * 21 + 2 / 8 + 0.99) * INCH), SAW) == 2


@settings(max_examples=200, deadline=None)
@given(st.floats(0.3, 2.4), st.floats(0.25, 0.7), st.floats(0.05, 0.12), st.floats(30, 60), st.floats(0, 0.004))
def test_mitred_boards_are_drawn_side_by_side_in_a_stick(stick, length, width, angle, kerf):
    """Parallelograms drawn into the rectangle of a trimmed stick, each a saw's thickness, square to the cut, from the
    last: as many as are counted lie in it, and one more does not."""
    saw = Saw(kerf, 0.01)
    slope = 1 / math.tan(math.radians(angle))
    needs = Needs(1, length, (), width * slope, math.hypot(1, slope))
    counted = needs.blocks_in(saw.room(stick), saw)

    def end_of(boards):
        """The far point of the last of so many boards: on the far edge, whose corners lead by the mitre."""
        left = 0.0
        for board in range(boards):
            left += length + (kerf / math.sin(math.radians(angle)) if board else 0.0)
        return left + width * slope

    assert counted == 0 or end_of(counted) <= stick - 0.02 + 1e-6
    assert end_of(counted + 1) > stick - 0.02 - 1e-6


def test_chevron_needs_no_more_of_a_stick_than_its_edges_and_one_mitre():
    """What was printed as the length of a board to order was from point to point, with five decimals."""
    more = 'pattern = "chevron"\nboard_length = "18"\n[stock]\nshortest = 20\nlongest = 84\n[border]'
    scene = PLAIN.replace("[border]", more)
    text = " ".join(layout_text(lay_jobs(read_scene(scene, "scene.toml"))[0]).split())
    (boards,) = re.findall(r"Needed +[\d,]+ boards of (.+?), spares among them", text)
    assert boards == '18"'
    assert 'each end of a stick, 4" more of each stick for its first mitre' in text


def least_by_trying_all(needs, sticks, saw):
    """The least (border pieces missing, boards missing, length used), every piece tried on every stick."""
    pieces = [length for length, count in needs.border for _ in range(count)]
    best = None
    for places in itertools.product(range(-1, len(sticks)), repeat=len(pieces)):
        room = [saw.room(each) for each in sticks]
        for piece, place in zip(pieces, places, strict=True):
            if place >= 0:
                room[place] -= saw.takes(piece)
        if min(room, default=0) < -1e-9:
            continue
        blocks = [needs.blocks_in(each, saw) for each in room]
        taken = [place in places for place in range(len(sticks))]
        for more in itertools.product((False, True), repeat=len(sticks)):
            if any(one and not other for one, other in zip(taken, more, strict=True)):
                continue
            made = sum(here for here, chosen in zip(blocks, more, strict=True) if chosen)
            used = sum(stick for stick, chosen in zip(sticks, more, strict=True) if chosen)
            found = (places.count(-1), max(0, needs.blocks - made), round(used, 6))
            best = found if best is None or found < best else best
    return best


STICK = st.integers(300, 2100).map(lambda mm: mm / 1000)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(STICK, min_size=1, max_size=4),
    st.integers(0, 8),
    st.integers(200, 600),
    st.lists(st.integers(300, 1500), max_size=3),
    st.sampled_from([SAW, Saw(0.0, 0.0), Saw(0.003, 0.02)]),
)
def test_the_solver_finds_the_least_there_is(sticks, blocks, length, border, saw):
    counted = tuple((each / 1000, border.count(each)) for each in sorted(set(border), reverse=True))
    needs = Needs(blocks, length / 1000, counted)
    plan = cut_given(needs, [Sticks(each, 1) for each in sticks], saw)
    missing = sum(count for _, count in plan.border_short)
    assert (missing, plan.short, round(plan.length, 6)) == least_by_trying_all(needs, sticks, saw)
    assert plan.gap == 0
    # The plan can be sawn: every stick holds what it is said to give, and none is sawn twice.
    for each in plan.used:
        assert sum(map(saw.takes, each.border)) + each.blocks * saw.takes(needs.length) <= saw.room(each.length) + 1e-8
    at_hand = sorted([*[each.length for each in plan.used for _ in range(each.count)], *_lengths(plan.left)])
    assert at_hand == sorted(sticks)
    sawn = sorted(piece for each in plan.used for _ in range(each.count) for piece in each.border)
    assert sorted([*sawn, *_lengths(plan.border_short)]) == sorted(each / 1000 for each in border)


def _lengths(pairs):
    return [each[0] if isinstance(each, tuple) else each.length for each in pairs for _ in range(_count(each))]


def _count(each):
    return each[1] if isinstance(each, tuple) else each.count


def test_too_few_sticks_are_short_of_boards_before_border():
    needs = Needs(10, 0.5, ((1.2, 1),))
    plan = cut_given(needs, [Sticks(1.3, 1), Sticks(1.1, 2)], Saw(0.003, 0.0))
    assert plan.border_short == () and plan.blocks == 4 and plan.short == 6
    assert cut_given(needs, [Sticks(1.0, 5)], Saw(0.003, 0.0)).border_short == ((1.2, 1),)


def test_no_stick_gives_anything():
    plan = cut_given(Needs(4, 0.5), [Sticks(0.4, 9)], SAW)
    assert (plan.used, plan.short, plan.left) == ((), 4, (Sticks(0.4, 9),))


def test_a_hall_and_many_lengths_take_no_long_time():
    """40,000 boards from sticks of sixty lengths, with a border of forty: bounded, and the gap is told."""
    rng = np.random.default_rng(1)
    border = tuple(sorted(((round(float(each), 3), 4) for each in rng.uniform(0.3, 2.1, 40)), reverse=True))
    sticks = [Sticks(round(0.5 + 0.03 * number, 3), 400) for number in range(60)]
    began = time.process_time()
    plan = cut_given(Needs(40_000, 0.35, border), sticks, SAW)
    assert time.process_time() - began < 30
    assert plan.short == 0 and plan.border_short == () and 0 <= plan.gap < 0.05
    assert sum(len(each.border) * each.count for each in plan.used) == 160


@pytest.mark.parametrize("span", [(0.3, 2.1), (0.6, 2.4), (0.5, 0.5), (1.0, 1.2)])
@pytest.mark.parametrize("length", [0.35, 0.5])
def test_boards_of_a_random_stick_in_closed_form(span, length):
    """The mean over sticks evenly spread, sawn one by one."""
    needs = Needs(1, length)
    sticks = np.linspace(*span, 20_001)
    slow = np.mean([needs.blocks_in(SAW.room(each), SAW) for each in sticks])
    assert blocks_per_stick(needs, *span, SAW) == pytest.approx(slow, abs=2e-3)


def test_lots_dealt_by_chance_against_the_closed_form():
    """Without a border a length T of sticks gives T E[k] / E[l] boards on average, less what the last, unbought stick
    would have given (renewal theory: under a stick's worth)."""
    needs, bundle = Needs(400, 0.5), 20.0
    lots = _draw_lots(20, bundle, 0.3, 2.1)
    _, made = _served(needs, lots, 20 * bundle, SAW)
    mean = 20 * bundle * blocks_per_stick(needs, 0.3, 2.1, SAW) / 1.2
    assert mean - 4 < made < mean + 1
    plan = buy_random(needs, 0.3, 2.1, bundle, SAW)
    rate = blocks_per_stick(needs, 0.3, 2.1, SAW) / 1.2
    assert abs(plan.expected - np.ceil(400 / rate / bundle)) <= 1 and plan.sure in (plan.expected, plan.expected + 1)
    assert plan.share == pytest.approx(rate * 0.5)


def test_sticks_of_one_length_leave_nothing_to_chance():
    """2 m sticks give three boards of 0.5 each (trims and cuts); 100 boards are 34 sticks, 68 m, 7 bundles of 10 m."""
    plan = buy_random(Needs(100, 0.5), 2.0, 2.0, 10.0, SAW)
    assert (plan.expected, plan.sure) == (7, 7) and plan.left == pytest.approx(5)
    assert plan == buy_random(Needs(100, 0.5), 2.0, 2.0, 10.0, SAW)


def test_the_long_sticks_go_to_the_border_first():
    plain = buy_random(Needs(100, 0.5), 0.3, 2.1, 5.0, SAW)
    bordered = buy_random(Needs(100, 0.5, ((2.0, 6),)), 0.3, 2.1, 5.0, SAW)
    assert bordered.sure > plain.sure
    assert buy_random(Needs(100, 0.5, ((2.2, 1),)), 0.3, 2.1, 5.0, SAW) is None
    assert buy_random(Needs(100, 2.2), 0.3, 2.1, 5.0, SAW) is None


def printed(table, *, border="walnut"):
    scene = PLAIN.replace("[[variants]]", f"[border_wood]\nspecies = '{border}'\n[stock]\n{table}\n[[variants]]")
    floor = lay_jobs(read_scene(scene, "scene.toml")[:1])[0]
    return floor, re.sub(r"\s+", " ", layout_text(floor))


def test_a_list_is_printed_with_what_is_left_and_what_is_missing():
    floor, words = printed('lengths = [{ length = "7\'", count = 12 }]\nbundle = "20 sq ft"')
    blocks = floor.layout.measures["blanks"]
    needed = blocks + max(2, -(-blocks // 50))
    assert f'Needed {needed:,} boards of {20.5:g}"'.replace("20.5", "20 1/2") in words
    assert "12 of 7': 3 boards from each" not in words and "12 of 7': 4 boards from each" in words
    assert f"These sticks are {needed - 48} boards short." in words
    assert "The border is of another width or wood" in words
    # 48 boards come of 84 ft; of the missing ones, as well used, 1 3/4 ft of sticks each.
    (more,) = re.findall(r"As well used, that is ([\d,]+) ft of sticks, (\d+) bundles of 20\.0 sq ft more\.", words)
    length = (needed - 48) * 84 / 48
    assert int(more[0].replace(",", "")) == math.ceil(length) and int(more[1]) == math.ceil(length / 3 / 20)


def test_a_border_of_the_same_wood_is_cut_from_the_long_sticks_first():
    floor, words = printed(
        'lengths = [{ length = "7\'", count = 200 }, { length = "4\'", count = 9 }]', border="white oak"
    )
    pieces = int(floor.layout.measures["border_pieces"])
    assert f"and the border's {pieces} pieces, to be cut first" in words
    assert re.search(r"Set aside \d+ of 7' for the border", words) and "the least there is" in words


def test_random_lengths_are_printed_with_bundles():
    _, words = printed('shortest = "12"\nlongest = "7\'"\nbundle = "20 sq ft"')
    enough = "for the field with its spares: enough in 95 of 100 lots"
    (said,) = re.findall(rf"To buy (\d+) bundles \(([\d.]+) sq ft, [\d,]+ ft\) {enough}", words)
    assert float(said[1]) == 20 * int(said[0])
    assert "seed 20" in words


def test_a_metric_scene_names_its_saw_in_millimetres():
    scene = ASKEW.replace("[wood]", "[stock]\nshortest = 400\nlongest = 2100\n[wood]", 1)
    floor = lay_jobs(read_scene(scene, "scene.toml")[:1])[0]
    words = re.sub(r"\s+", " ", layout_text(floor))
    assert "The saw 3.2 mm a cut, 12.7 mm to square each end of a stick" in words
    card = " ".join(page_texts(layer_card(floor)))
    (said,) = re.findall(r"To buy ([\d.]+ m²) \(", words)
    assert f"To buy {said}" in card


def test_ready_cut_blocks_come_in_bundles():
    scene = PLAIN.replace("board_width = 4", "board_width = 4\nboard_length = [18, 20.5]").replace(
        "[[variants]]", '[stock]\nbundle = "20 sq ft"\n[[variants]]'
    )
    floor = lay_jobs(read_scene(scene, "scene.toml")[:1])[0]
    text = layout_text(floor)
    (said,) = re.findall(r"Bundles +(\d+) of 20\.0 sq ft", text)
    blocks = int(floor.layout.measures["blanks"])
    area = (blocks + max(2, -(-blocks // 50))) * 4 * 20.5 / 144
    assert int(said) == -(-area // 20)
    assert "From the sticks" not in text


def test_another_kerf_changes_the_boards_that_offcuts_give():
    floor, _ = printed('kerf = "0"')
    wide = replace(floor.job, stock=replace(floor.job.stock, kerf=0.02))
    needed = [
        int(re.findall(r"(\d+) with offcuts used again", layout_text(replace(floor, job=job)))[0])
        for job in (floor.job, wide)
    ]
    assert needed[0] <= needed[1]
