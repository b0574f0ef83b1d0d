"""Boards with offcuts used again, against every way there is on small floors."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.floor.blank_sides import ENDS, kept_ends
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.floor.packing import BOTH, FAR, KERF, NEAR, NONE, cut_lengths, cutting, cutting_plan, least_blanks
from preview.room.measured import build_room
from tests.strategies import INCH, box, laid_or_refused, make_job, rooms

BLANK = 0.5


def lay(**kwargs):
    job = make_job(**kwargs)
    room = build_room(job)
    return lay_floor(room, job)


def fewest_by_trying_all(pieces, blank, kerf, tongued):
    """The least number of boards: each piece goes into each board that has room and an end for it, or a new one.

    pieces: (length, ends kept, leans right) of each.
    """
    best = len(pieces)

    def fits(board, piece):
        members = [*board, piece]
        if sum(each[0] for each in members) + kerf * (len(members) - 1) > blank + 1e-9:
            return False
        kept = [each for each in members if each[1] != NONE]
        if any(each[1] == BOTH for each in kept):
            return len(kept) == 1
        if tongued:
            return len({each[2] for each in kept}) <= 1 and len({each[1] for each in kept}) == len(kept)
        return len(kept) <= 2

    def place(number, boards):
        nonlocal best
        if len(boards) >= best:
            return
        if number == len(pieces):
            best = len(boards)
            return
        for which in range(len(boards)):
            if fits(boards[which], pieces[number]):
                place(number + 1, [*boards[:which], [*boards[which], pieces[number]], *boards[which + 1 :]])
        place(number + 1, [*boards, [pieces[number]]])

    place(0, [])
    return best


PIECE = st.tuples(st.integers(10, 490).map(lambda mm: mm / 1000), st.sampled_from([NEAR, FAR]), st.booleans())
ANY = st.tuples(st.integers(10, 490).map(lambda mm: mm / 1000), st.sampled_from([NONE, NEAR, FAR, BOTH]), st.booleans())


def planned(pieces, kerf, tongued):
    lengths, keeps, right = (np.array(each) for each in zip(*pieces, strict=True))
    plan = cutting_plan(lengths, keeps, right, BLANK, kerf, tongued=tongued)
    assert sorted(piece for board in plan for piece in board) == list(range(len(pieces)))
    for board in plan:
        assert lengths[board].sum() + kerf * (len(board) - 1) <= BLANK + 1e-8
        kept = [int(keeps[each]) for each in board if keeps[each] != NONE]
        assert kept == [BOTH] or len(kept) <= 2
        if tongued and BOTH not in kept:
            assert len(set(kept)) == len(kept)
            assert len({bool(right[each]) for each in board if keeps[each] != NONE}) <= 1
    return plan, lengths


@settings(max_examples=80, deadline=None)
@given(st.lists(PIECE, min_size=1, max_size=8), st.sampled_from([0.0, 0.003175, 0.01]), st.booleans())
def test_pieces_that_keep_an_end_are_paired_as_well_as_can_be(pieces, kerf, tongued):
    plan, _ = planned(pieces, kerf, tongued)
    assert len(plan) == fewest_by_trying_all(pieces, BLANK, kerf, tongued)


@settings(max_examples=80, deadline=None)
@given(st.lists(ANY, min_size=1, max_size=7), st.sampled_from([0.0, 0.003175, 0.01]), st.booleans())
def test_any_pieces_make_a_plan_that_can_be_sawn_and_few_better_ones(pieces, kerf, tongued):
    plan, lengths = planned(pieces, kerf, tongued)
    exact = fewest_by_trying_all(pieces, BLANK, kerf, tongued)
    middles = sum(each[1] == NONE for each in pieces)
    assert least_blanks(lengths, BLANK, kerf) <= exact <= len(plan) <= exact + middles


@pytest.mark.parametrize("size", [(40, 34), (46, 38), (52, 34)])
def test_boards_of_a_small_room_against_all_ways(size):
    layout = lay(corners=box(0, 0, size[0] * INCH, size[1] * INCH))
    pieces = layout.pieces.take((layout.pieces.role == Role.BOARD) & ~layout.pieces.whole)
    lengths = np.minimum(cut_lengths(layout.pieces), layout.board.length)
    assert 5 < len(lengths) < 40
    told = cutting(layout.pieces, layout.board.length)
    every = list(zip(lengths.tolist(), kept_ends(pieces).tolist(), (pieces.hand == 1).tolist(), strict=True))
    chosen = sorted(every, reverse=True)[-9:]
    for tongued in (False, True):
        exact = fewest_by_trying_all(chosen, layout.board.length, KERF, tongued)
        assert exact <= len(
            cutting_plan(*map(np.array, zip(*chosen, strict=True)), layout.board.length, tongued=tongued)
        )
    assert told.least <= told.reused <= told.tongued <= told.apart
    assert told.apart == layout.measures["blanks"]


def test_an_end_that_is_only_touched_is_not_kept():
    """Full triangles end in their boards' corners: a cut through a corner leaves nothing of the end beside it."""
    layout = lay(corners=box(0, 0, 100 * INCH, 100 * INCH), board_length=20 * INCH)
    pieces = layout.pieces.take((layout.pieces.role == Role.BOARD) & ~layout.pieces.whole)
    for polygon, origin, grain, keeps in zip(
        pieces.polygons, pieces.origin, pieces.grain, kept_ends(pieces), strict=True
    ):
        along = np.array([np.cos(grain), np.sin(grain)])
        aside = np.array([-along[1], along[0]])
        for bit, reach in ((1, 0.0), (2, 20 * INCH)):
            end = shapely.LineString([origin + reach * along, origin + reach * along + 4 * INCH * aside])
            shared = polygon.boundary.intersection(end.buffer(1e-7)).length > 1e-5
            assert shared == bool(keeps & bit), ENDS[keeps]


@settings(max_examples=20, deadline=None)
@given(rooms(2.2, 4.0))
def test_any_room_has_its_boards_in_order(job):
    if (found := laid_or_refused(job)) is None:
        return
    layout = found[1]
    told = cutting(layout.pieces, layout.board.length)
    assert told.least <= told.reused <= told.tongued <= told.apart
