"""Every pattern tiles any room, and a pattern's name stands in its own folder alone."""

import ast
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

import preview
from preview.floor.cut import polygon_parts
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.floor.patterns import PATTERNS
from preview.room.measured import build_room
from preview.scene.patterns import pattern_keys
from tests.strategies import make_job

PLAIN_WORDS = {"straight"}
"""Names that are words of every day too: a line may be struck straight."""


def test_a_chevron_s_corners_by_plane_trigonometry():
    """Boards 100 mm wide and 600 mm along their long edge at 60 degrees: columns 600 sin 60 = 519.6 mm wide, points
    100 / sin 60 = 115.5 mm apart, ends 600 cos 60 = 300 mm further on (right triangles; no table)."""
    corners = [(0, 0), (4, 0), (4, 3), (0, 3)]
    job = make_job(corners=corners, board_width=0.1, board_length=0.6, run=math.pi / 2, border=0.0)
    job = replace(job, floor=replace(job.floor, pattern="chevron", own=(("angle", math.radians(60)),)))
    layout = lay_floor(build_room(job), job)
    assert layout.course_width == pytest.approx(0.5196152, abs=1e-6)
    whole = layout.pieces.take(layout.pieces.whole & (layout.pieces.role == Role.BOARD))
    for polygon in whole.polygons:
        ring = shapely.get_coordinates(polygon)[:-1]
        assert np.ptp(ring[:, 0]) == pytest.approx(0.5196152, abs=1e-6)
        assert np.ptp(ring[:, 1]) == pytest.approx(0.3 + 0.1154701, abs=1e-6)
    seams = np.unique(np.round(shapely.get_coordinates(whole.polygons)[:, 0], 6))
    assert np.diff(seams) == pytest.approx(0.5196152, abs=2e-6)


def test_the_data_and_the_program_know_the_same_patterns():
    assert list(PATTERNS) == list(pattern_keys())


def test_no_other_part_of_the_program_names_a_pattern():
    """A name in code, text or identifier outside the patterns' folder would have to learn of every new pattern; the
    name of the distribution is none. Of a name that is a plain word besides, only a text that is nothing else is."""
    folder = Path(preview.__file__).parent
    found = []
    for path in sorted(folder.rglob("*.py")):
        if "patterns" in path.parts and "floor" in path.parts:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [value for value in (getattr(node, key, None) for key in ("value", "id", "attr", "name", "arg"))
                     if isinstance(value, str)]  # fmt: skip
            for text in names:
                said = text.casefold().replace("herringbone-preview", "")
                found += [(path.name, name) for name in PATTERNS if name in said and name not in PLAIN_WORDS]
            if isinstance(node, ast.Constant) and node.value in PLAIN_WORDS:
                found.append((path.name, node.value))
    assert not found


def test_a_spike_that_an_overlay_leaves_is_taken_off():
    """A rectangle from whose side a spike of no width stands out, its tip two points that differ by rounding."""
    spiked = shapely.Polygon([(0, 0), (9, 0), (9, 4e-16), (4, 0), (4, 3), (0, 3)])
    (clean,), (source,) = polygon_parts(np.array([spiked], object))
    assert source == 0 and clean.length == pytest.approx(14) and clean.area == pytest.approx(12)
