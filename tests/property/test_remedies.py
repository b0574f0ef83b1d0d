"""What is said to do away with small triangles does: the words are followed and the floor is laid again."""

from __future__ import annotations

import re
from dataclasses import replace

from preview.data import data_folder
from preview.errors import SceneError
from preview.floor import remedies
from preview.scene.job import Center
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from preview.units import parse_length
from tests.strategies import box, checked, jobs, make_job

ADVICE = re.compile(r"to avoid small triangles, try (.*)$")


def followed(job, words):
    """Return the job as the advice has it."""
    floor = job.floor
    if width := re.search(r"boards (.+?) wide", words):
        floor = replace(floor, board_width=parse_length(width[1], job.units), board_length=None)
    for key, value in re.findall(r'(\w+) = "(\w+)"', words):
        found = {"fit": None, "room": Center("room")}.get(value, value)
        floor = replace(floor, **{key: found})
    return replace(job, floor=floor)


def small_ones(layout):
    return [each for each in layout.warnings if "end in triangles" in each or "end in small pieces" in each]


@checked(15, 60, jobs())
def test_advice_that_is_followed_leaves_no_small_triangle(job):
    try:
        (floor,) = lay_jobs([job])
    except SceneError:
        return
    told = [found[1] for each in floor.remedy.advice if (found := ADVICE.match(each))]
    assert len(told) <= 1
    if told:
        assert small_ones(floor.layout)
        (mended,) = lay_jobs([followed(job, told[0])])
        assert not small_ones(mended.layout)


def test_a_start_that_shares_the_rest_is_told_where_one_end_has_small_triangles():
    inch = 0.0254
    job = make_job(corners=box(0, 0, 180 * inch, 140 * inch), start="full")
    (floor,) = lay_jobs([job])
    assert any("end in triangles" in each for each in floor.layout.warnings)
    assert floor.remedy.advice[-1] == 'to avoid small triangles, try start = "both"'
    assert not any("triangle" in each for each in lay_jobs([followed(job, 'start = "both"')])[0].layout.warnings)


def test_a_floor_whose_tries_take_long_gets_fewer(monkeypatch):
    """A kitchen with a bay, and the same with one corner drawn out to 34 m, whose edge has three times the boards."""
    kitchen = (data_folder("scenes") / "kitchen.toml").read_text(encoding="utf-8")
    tried = []
    monkeypatch.setattr(remedies, "_remedied", lambda room, job: tried.append(job))
    for scene in (kitchen, kitchen.replace("[6400, 3400]", "[6400, 34000]", 1)):
        (floor,) = lay_jobs(read_scene(scene, "room.toml")[:1])
        assert floor.layout.small and not floor.remedy.advice
    assert 20 <= len(tried) < 30
