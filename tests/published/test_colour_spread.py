"""How much boards of one wood differ in colour, in what is drawn, against deviations measured on it.

Beech, steamed as flooring mostly is: L* 61.3 +- 2.2, a* 12.4 +- 1.3, b* 19.5 +- 1.4 (L. Dzurenda and M. Dudiak,
"Homogenization of the Color of Beech Sapwood and False Heartwood by the Steaming Process", Forests 15(6), 2024, 1009,
doi 10.3390/f15061009; abstract read). Oak, one steamed lot of Quercus robur: deviations 1.7, 0.4, 0.5 (L. Dzurenda,
BioResources 13(1), 2018, 1525; abstract read): boards of more than one tree differ by no less.
"""

from pathlib import Path

import numpy as np
import pytest
from skimage.color import rgb2lab

import preview
from preview.floor.layout import Role
from preview.scene.job import WoodChoice
from preview.steps import lay_jobs
from preview.wood.boards import cut_boards

BEECH, OAK_LOT = (2.2, 1.3, 1.4), (1.7, 0.4, 0.5)


def board_colours(species: str, folder: Path) -> np.ndarray:
    """Return CIELAB of each field board of the dining room as it is drawn, (n, 3)."""
    floor = lay_jobs([preview.load("scenes/dining-room.toml")[0]])[0]
    wood = WoodChoice(species, "plainsawn", "select", "none", "satin", 7)
    boards = cut_boards(floor.layout, wood, wood, finest=20, folder=folder)
    pieces, found = floor.layout.pieces, []
    for piece in np.flatnonzero(pieces.role == Role.BOARD):
        page = boards.pages[boards.page[piece]]
        corners = boards.uv_origin[piece] + boards.uv_scale[piece] * np.array([(0, 0), pieces.size[piece]])
        (left, right), (low, high) = np.sort(corners * page.shape[1::-1], axis=0).T.astype(int)
        code = page[low:high, left:right, :3] / 255
        light = np.where(code > 0.04045, ((code + 0.055) / 1.055) ** 2.4, code / 12.92).mean(axis=(0, 1))
        light = np.clip(light * boards.tint[piece], 0, 1)
        seen = np.where(light > 0.0031308, 1.055 * light ** (1 / 2.4) - 0.055, 12.92 * light)
        found.append(rgb2lab(seen[None, None])[0, 0])
    return np.array(found)


def test_beech_boards_differ_as_measured(tmp_path):
    """Within a fifth, over some hundreds of boards of a floor."""
    assert board_colours("beech", tmp_path).std(axis=0) == pytest.approx(BEECH, rel=0.2)


def test_oak_boards_differ_no_less_than_those_of_one_lot(tmp_path):
    found = board_colours("white oak", tmp_path).std(axis=0)
    assert (found > 0.95 * np.array(OAK_LOT)).all() and found[0] < 3.1
