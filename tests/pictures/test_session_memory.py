"""A session that is changed for hours holds no more than it did at first: what is no longer shown is forgotten."""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from preview.scene.read import load_scene
from preview.session import Session

SCENE = Path(__file__).parents[2] / "scenes" / "dining-room.toml"
STATUS = Path("/proc/self/statm")
MEGABYTE = 2**20


def held():
    """The megabytes of memory that this process has in use."""
    return int(STATUS.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / MEGABYTE


@pytest.mark.slow
@pytest.mark.skipif(not STATUS.exists(), reason="memory is read where the system tells it")
def test_a_thousand_changes_add_less_than_fifty_megabytes():
    """Starts, borders, widths and woods in turn, each drawn coarse, every tenth in full; after the first two rounds
    every choice has been there, and what is held has come to its bounds."""
    base, *others = load_scene(SCENE)
    woods, widths, borders = ("white oak", "walnut", "maple", "red oak"), (0.1016, 0.127, 0.0889), (0.1016, 0.127, 0.09)

    def jobs(number):
        floor = replace(base.floor, start=0.001 * (number % 97), board_width=widths[number // 7 % 3])
        border = replace(base.border, width=borders[number // 5 % 3])
        wood = replace(base.wood, species=woods[number // 11 % 4])
        return [replace(base, floor=floor, border=border, wood=wood), *others]

    most = 0.0
    with Session(jobs(0)) as session:
        for number in range(1200):
            revision = session.change(jobs(number))
            session.picture(revision, None, "from the archway", (160, 100), coarse=True)
            if number % 10 == 0:
                session.picture(revision, None, "from the archway", (480, 300))
            if number == 200:
                first = held()
            most = max(most, held())
    assert held() - first < 50
    assert most < 1200
