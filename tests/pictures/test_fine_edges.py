"""A joint finer than a pixel, beside a window: no string of dots, and as bright as with 64 samples for every one."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from synthetic_room import DEPTH, room

from preview.picture.draw import open_engine
from tests.pictures.test_engine import camera
from tests.pictures.test_joints_and_plain_wood import GREY, JOINT, two_boards

SIZE = (200, 120)
FINER = 8  # times as many pixels to either side
BESIDE = 2  # pixels to either side of the joint that are looked at


def along_joint(view, pictures):
    """Return what each picture shows of the joint, in every column that it runs through: sums (columns,) over a few
    pixels up and down."""
    y = np.linspace(0.2, DEPTH - 0.4, 400)
    points = view.project(np.column_stack([np.full(400, JOINT[0]), y, np.zeros(400)]))
    columns = np.arange(4, SIZE[0] - 4)
    rows = np.interp(columns, *points[np.argsort(points[:, 0])].T, left=-1, right=-1).astype(int)
    inside = (rows > BESIDE) & (rows < SIZE[1] - BESIDE - 1)
    columns, rows = columns[inside], rows[inside]
    return [sum(each[rows + k, columns] for k in range(-BESIDE, BESIDE + 1)) for each in pictures]


JOINTS = {"tight": (0.0, 0.02), "open by a millimetre": (0.0005, 0.025)}
COATS = {"gloss": 0.08, "satin": 0.25}
QUICK = [("tight", "gloss", 2.0), ("open by a millimetre", "satin", 2.0)]


@pytest.mark.parametrize(
    ("joint", "coat", "away"),
    [
        pytest.param(*each, marks=() if each in QUICK else pytest.mark.slow)
        for each in product(JOINTS, COATS, (1.2, 2.0, 2.8))
    ],
)
def test_a_fine_joint_is_a_line(joint, coat, away):
    """From one column to the next it varies no more than with 64 samples a pixel, and is within 2 % of that, an open
    one within 2.5 %."""
    model, boards, lighting = room()
    (drawn_back, off), roughness = JOINTS[joint], COATS[coat]
    finish = replace(boards.finish, roughness=roughness)
    boards = replace(boards, pages=GREY, finish=finish, border_finish=finish)
    view = camera((0.6, 0.3, 1.5), (JOINT[0], away, 0.0), 25, SIZE)
    with open_engine(replace(model, floor=(two_boards(drawn_back),)), boards, lighting) as engine:
        plain = engine.draw(view, 0.004).hdr[..., 1]
        fine = engine.draw(replace(view, size=(FINER * SIZE[0], FINER * SIZE[1])), 0.004).hdr[..., 1]
    fine = fine.reshape(SIZE[1], FINER, SIZE[0], FINER).mean(axis=(1, 3))
    ours, finer = along_joint(view, (plain, fine))
    assert len(ours) > 60
    assert ours.mean() == pytest.approx(finer.mean(), rel=off)
    assert np.diff(ours).std() < 1.1 * np.diff(finer).std()
