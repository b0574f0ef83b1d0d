"""What a change costs in a session, as a ratio against `render` of the same scene in the same run.

The peer is what is done without a session: read the scene, lay it, cut the boards, light the room from the cache, open
a context and draw one picture at the same size. Processor time of all threads is compared, so that a busy machine does
not matter; seconds by the clock are in DEVELOPERS.md. A session has drawn its first picture before, as a page has.
"""

import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from statistics import median
from time import process_time

import pytest

from preview.scene.job import LightChoice, Sun, Target, Viewpoint
from preview.scene.read import load_scene
from preview.session import Session, draw_floors
from preview.steps import lay_jobs

SCENE = Path(__file__).parents[2] / "scenes" / "dining-room.toml"
VIEW, COARSE, FULL = "from the archway", (480, 300), (1600, 1000)
INCH = 0.0254


def clock(work):
    """Return the processor seconds that a call takes, in all its threads."""
    start = process_time()
    work()
    return process_time() - start


def render():
    """What `render` does for one picture, after imports."""
    jobs = load_scene(SCENE)
    floors = lay_jobs(jobs[:1])
    list(draw_floors(floors, [VIEW], FULL))


@pytest.fixture(scope="module")
def rendered():
    """The seconds of `render`, its light and its wood from the cache: the median of three."""
    render()
    return median(clock(render) for _ in range(3))


@pytest.fixture(scope="module")
def session():
    with Session(load_scene(SCENE)) as opened:
        opened.picture(1, None, VIEW, FULL)
        opened.picture(1, None, VIEW, COARSE, coarse=True)
        yield opened


def changed(**choices):
    """The jobs of the scene, its base changed: `floor`, `border`, `wood` or `light` by keys of them."""
    base, *others = load_scene(SCENE)
    tables = {name: replace(getattr(base, name), **keys) for name, keys in choices.items()}
    return [replace(base, **tables), *others]


def times(session, jobs):
    """The processor seconds from a change to its numbers, to a coarse picture and to the full one."""
    start = process_time()
    revision = session.change(jobs)
    session.floor(revision)
    numbers = process_time() - start
    session.picture(revision, None, VIEW, COARSE, coarse=True)
    coarse = process_time() - start
    session.picture(revision, None, VIEW, FULL)
    return numbers, coarse, process_time() - start


def told(what, rendered, found):
    sys.stdout.write(
        f"{what}: numbers {found[0]:.2f}, coarse {found[1]:.2f}, full {found[2]:.2f} s; render {rendered:.2f} s\n"
    )


def test_another_start_is_seen_in_a_fifth_and_both_pictures_cost_less_than_one_anew(session, rendered):
    starts = [times(session, changed(floor={"start": each * INCH})) for each in (0.5, 1.1, 1.7, 2.3, 2.9)]
    found = [median(each) for each in zip(*starts, strict=True)]
    told("another start", rendered, found)
    assert found[1] < 0.2 * rendered
    assert found[2] < 0.95 * rendered


def test_another_border_is_seen_in_a_third_and_both_cost_little_more_than_one_anew(session, rendered):
    """Its light is baked for the full picture alone."""
    borders = [times(session, changed(border={"width": each * INCH})) for each in (3.5, 4.5, 5.0)]
    found = [median(each) for each in zip(*borders, strict=True)]
    told("another border", rendered, found)
    assert found[1] < 0.35 * rendered
    assert found[2] < 1.35 * rendered


def test_a_width_that_was_there_before_comes_again_as_quickly_as_a_start(session, rendered):
    first = times(session, changed(floor={"board_width": 5 * INCH}))
    times(session, changed())
    again = times(session, changed(floor={"board_width": 5 * INCH}))
    told("another width", rendered, first)
    told("that width again", rendered, again)
    assert again[1] < 0.2 * rendered
    assert again[2] < 0.9 * rendered


def test_a_wood_that_was_there_before_comes_again_as_quickly_as_a_start(session, rendered):
    first = times(session, changed(wood={"species": "walnut"}))
    times(session, changed())
    again = times(session, changed(wood={"species": "walnut"}))
    told("another wood", rendered, first)
    told("that wood again", rendered, again)
    assert again[1] < 0.2 * rendered
    assert again[2] < 0.9 * rendered


def test_another_hour_of_sun_costs_less_than_three_pictures(session, rendered):
    hours = [datetime.fromisoformat(f"2026-10-14T{each}:00:00+01:00") for each in ("11", "12", "14")]
    suns = [LightChoice("clear", Sun(51.5, -0.1, each), "auto") for each in hours]
    base, *others = load_scene(SCENE)
    _, *found = [times(session, [replace(base, light=each), *others]) for each in suns]
    for each in found:
        told("another hour", rendered, each)
        assert each[2] < 2.3 * rendered


def test_walking_round_a_coarse_picture_takes_a_sixth(session, rendered):
    revision = session.change(changed())
    look = Target("point", point=(2.2, 2.6, None))
    steps = [
        Viewpoint("walk", "eye", Target("point", point=(1.0 + 0.1 * each, 1.0, None)), 1.6, look, None)
        for each in range(9)
    ]
    took = median(clock(lambda each=each: session.picture(revision, None, each, COARSE, coarse=True)) for each in steps)
    sys.stdout.write(f"a step: {took:.2f} s, {1 / took:.1f} a second; render {rendered:.2f} s\n")
    assert took < rendered / 6
