"""Every text that a room can be told in ends in a result or in one plain error, whatever the room."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from shapely import Point

from preview.errors import SceneError
from preview.options.rank import order, rank
from preview.options.search import all_candidates, search
from preview.paper.card.card import layer_card
from preview.paper.exports.layout_dxf import layout_dxf
from preview.paper.exports.layout_json import layout_json
from preview.paper.plan.plan_svg import plan_svg
from preview.paper.words.check_text import check_text
from preview.paper.words.layout_text import layout_text
from preview.paper.words.options_text import options_text
from preview.steps import lay_jobs
from tests.property.test_layer_reading import jobs

DRAWN = 10
"""Plan and drawing for CAD of every tenth room, card and options of every hundredth: they take seconds."""

rooms_seen = count()


def told(job):
    """Tell a job in every text form, and hold what is printed against the pieces."""
    number = next(rooms_seen)
    try:
        (floor,) = lay_jobs([job])
    except SceneError as error:
        assert error.args and "\n" not in str(error)
        return
    layout = floor.layout
    for line in layout.lines:
        assert layout.field.buffer(1e-6).covers(Point(line.start))
    text = layout_text(floor)
    words = text + check_text([floor])
    assert "nan" not in words.casefold().split() and "inf" not in words.split() and "None" not in words.split()
    assert not re.search(r"(?<![\d(,×-] )-\d", text.split("Cut field boards")[0])  # no distance is under nothing
    document = json.loads(layout_json(floor))
    assert all(math.isfinite(value) for value in document["measures"].values())
    roles = Counter(each["role"] for each in document["pieces"])
    boards = [each for each in document["pieces"] if each["role"] == "board"]
    whole = sum(each["whole"] for each in boards)
    pieces = re.search(r"Pieces +([\d,]+) whole \(([\d,]+) lean left, ([\d,]+) lean right\), ([\d,]+) cut", text)
    assert [_number(each) for each in pieces.groups()][0::3] == [whole, len(boards) - whole]
    assert sum(_number(each) for each in pieces.groups()[1:3]) == whole
    courses = int(re.search(r"Courses +(\d+)", text)[1])
    assert courses == len({each["course"] for each in boards})
    border = re.search(r"^  (?:In all +)?([\d,]+) pieces? .* wide", text.split("\nBorder\n")[-1], re.MULTILINE)
    if roles["border"]:
        assert _number(border[1]) == roles["border"]
    if number % DRAWN == 0:
        assert plan_svg(floor).startswith(b"<?xml")
        assert layout_dxf(floor)
    if number % (10 * DRAWN) == 0:
        assert layer_card(floor).startswith(b"%PDF")
        found = search(all_candidates([job]))
        assert options_text(job, found, rank(found.evaluated, order([])), order([]), 5)


def _number(text):
    return int(text.replace(",", ""))


@given(jobs())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
def test_every_room_is_told_or_refused_in_plain_words(job):
    told(job)


@pytest.mark.slow
@given(jobs())
@settings(max_examples=5000, deadline=None, suppress_health_check=list(HealthCheck))
def test_five_thousand_rooms_are_told_or_refused_in_plain_words(job):
    told(job)
