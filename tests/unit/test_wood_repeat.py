"""A stock of some hundred boards does not show: no repeat in a floor of ten square metres."""

import numpy as np
import pytest

from preview.floor.layout import Role
from preview.scene.job import WoodChoice
from preview.wood import boards as wood_boards
from preview.wood.boards import cut_boards
from preview.wood.stock import choose_strips
from tests.unit.test_wood_boards import lay, patch, rectangles

pytestmark = pytest.mark.usefixtures("own_cache")

SIZE, STEP = (0.56, 0.1), 0.004
ROWS, COLUMNS = 24, 8
CELL = (round(SIZE[1] / STEP), round(SIZE[0] / STEP))


def assembled(cut):
    """Return a floor as laid, rows of boards beside each other: log albedo (h, w) less each board's own mean, since
    tones differ by board and the figure is what might repeat."""
    keys = [(row, column) for row in range(ROWS) for column in range(COLUMNS)]
    wood = WoodChoice("white oak", cut, "select", "none", "satin", 7)
    laid = cut_boards(lay(rectangles(Role.BOARD, SIZE, keys)), wood, wood, finest=1 / STEP)
    floor = np.zeros((ROWS * CELL[0], COLUMNS * CELL[1]))
    for number, (row, column) in enumerate(keys):
        look = np.log(patch(laid, number, (SIZE[0] - 1e-6, SIZE[1] - 1e-6), STEP).mean(axis=-1))
        floor[row * CELL[0] : (row + 1) * CELL[0], column * CELL[1] : (column + 1) * CELL[1]] = look - look.mean()
    return floor


def highest_peak(floor):
    """Return the largest autocorrelation at shifts of more than a board, per share of the floor that overlaps."""
    spectrum = np.fft.rfft2(floor, (2 * floor.shape[0], 2 * floor.shape[1]))
    likeness = np.fft.irfft2(np.abs(spectrum) ** 2)
    down, along = (np.minimum(np.arange(2 * n), 2 * n - np.arange(2 * n)) for n in floor.shape)
    overlap = (1 - down / floor.shape[0])[:, None] * (1 - along / floor.shape[1])
    judged = ((down >= CELL[0])[:, None] | (along >= CELL[1])) & (overlap > 0.2)
    return np.abs(likeness[judged] / overlap[judged]).max() / likeness[0, 0]


@pytest.mark.parametrize("cut", ["plainsawn", "quartersawn"])
def test_a_floor_is_like_itself_nowhere_else(cut, monkeypatch):
    assert highest_peak(assembled(cut)) < 0.1
    # The check can fail: with one strip for all boards, though each is shifted and turned, the repeat is found.
    monkeypatch.setattr(wood_boards, "choose_strips", lambda seed, code, key, stock: np.zeros(len(key), np.int64))
    assert highest_peak(assembled(cut)) > 0.15


@pytest.mark.parametrize("stock, apart", [(32, 4), (128, 8), (256, 12)])
def test_a_strip_does_not_come_again_close_by(stock, apart):
    """Distances in boards along the run; a course counts for 2.7 of them."""
    keys = np.stack(np.meshgrid(np.arange(-30, 50), np.arange(-12, 12), indexing="ij"), axis=-1).reshape(-1, 2)
    strip = choose_strips(7, 0, keys, stock)
    assert strip.min() == 0 and strip.max() == stock - 1
    assert np.bincount(strip).std() < 0.2 * np.bincount(strip).mean()
    for each in range(stock):
        places = keys[strip == each]
        gap = np.abs(places[:, None] - places[None])
        distance = np.maximum(gap[..., 0], 2.7 * gap[..., 1])
        assert distance[~np.eye(len(places), dtype=bool)].min() > apart
