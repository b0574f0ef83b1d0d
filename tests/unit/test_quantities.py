"""What is priced, counted the slow and plain way from the pieces."""

import pytest
from paper_scenes import ASKEW, PLAIN, laid

from preview.floor.layout import Role
from preview.floor.packing import spare_boards
from preview.floor.quantities import quantities


@pytest.mark.parametrize("scene", [PLAIN, ASKEW])
def test_quantities_are_those_of_the_pieces(scene):
    for floor in laid(scene):
        found = quantities(floor.room, floor.layout, floor.job)
        pieces = floor.layout.pieces
        roles = [Role(int(role)) for role in pieces.role]
        board = [shape for shape, role in zip(pieces.polygons, roles, strict=True) if role is Role.BOARD]
        assert found.field == pytest.approx(sum(each.area for each in board))
        assert found.grilles == len(floor.room.vents) == roles.count(Role.GRILLE)
        assert found.thresholds == len([each for each in floor.room.openings if each.passable])
        places = {tuple(place) for place, role in zip(pieces.key.tolist(), roles, strict=True) if role is Role.BOARD}
        assert found.boards == len(places) + spare_boards(len(places))


def test_a_border_is_as_long_as_the_floor_is_round():
    """A room of 180 x 144 in: pieces to their long points run round the floor's edge, 3/4 in inside the walls."""
    floor = laid(PLAIN)[0]
    round_it = 2 * (180 - 1.5 + 144 - 1.5) * 0.0254
    assert quantities(floor.room, floor.layout, floor.job).border == pytest.approx(round_it)


def test_one_board_in_fifty_is_spare_and_never_fewer_than_two():
    assert [spare_boards(each) for each in (0, 1, 100, 101, 433)] == [0, 2, 2, 3, 9]
