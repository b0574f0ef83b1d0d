"""A session's full picture is what `render` draws of the scene as it then stands, byte for byte, whatever was changed
before; nothing that is older than the newest change is handed out; and no failure ends it."""

import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from preview.errors import SceneError, UsageError
from preview.picture import draw
from preview.picture.draw import open_engine
from preview.picture.view.camera import Camera
from preview.scene.job import Target, Viewpoint
from preview.scene.read import read_scene
from preview.session import Session, Stale, draw_floors
from preview.session.pipeline import Pipeline
from preview.steps import lay_jobs

SCENE = """
title = "Small"
units = "mm"
base_name = "Base"
[room]
corners = [[0, 0], [2600, 0], [2600, 2200], [0, 2200]]
height = 2400
baseboard = 15
[[openings]]
name = "door"
kind = "door"
wall = 1
offset = 300
width = 800
[[openings]]
name = "window"
kind = "window"
wall = 3
offset = 600
width = 1000
[floor]
board_width = 90
run = 90
[border]
width = 90
[wood]
species = "white oak"
[[viewpoints]]
name = "from the door"
at = { opening = "door" }
[[viewpoints]]
name = "plan"
kind = "plan"
[[variants]]
name = "On the door"
floor.center = { opening = "door" }
[[variants]]
name = "Walnut"
wood.species = "walnut"
"""
SIZE, SMALL = (320, 200), (96, 60)
VIEW = "from the door"


def scene(*edits):
    """The jobs of the scene with texts replaced."""
    text = SCENE
    for old, new in edits:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return read_scene(text, "small.toml")


def rendered(jobs, variant, view=VIEW):
    """What `render` draws of a variant from one viewpoint, in a process that knows nothing yet."""
    floors = {floor.job.variant: floor for floor in lay_jobs(jobs)}
    (drawn,) = draw_floors([floors[variant]], [view], SIZE, floors[jobs[0].variant])
    return drawn.picture.rgb


@pytest.fixture(scope="module")
def session():
    with Session(scene()) as opened:
        yield opened


SUNNY = """[light]
sky = "clear"
sun = { latitude = 51.5, longitude = -0.1, time = 2026-06-14T21:00:00+01:00 }"""

CHANGES = [
    ([], "Base", VIEW),
    ([("run = 90", 'run = 90\nstart = "full"')], "Base", VIEW),
    ([("[border]\nwidth = 90", "[border]\nwidth = 70")], "Base", VIEW),
    ([('species = "white oak"', 'species = "white oak"\nfinish = "gloss"')], "Base", VIEW),
    ([("[wood]", '[paint]\nwalls = "#a04030"\n[wood]')], "On the door", VIEW),
    ([("[wood]", f"{SUNNY}\n[wood]")], "Base", "plan"),
    ([], "Base", VIEW),
]
FURTHER = [
    ([], "On the door", VIEW),
    ([], "Walnut", VIEW),
    ([("run = 90", "run = 90\nstart = 55")], "On the door", VIEW),
    ([("[border]\nwidth = 90", "[border]\nwidth = 0")], "Walnut", VIEW),
    ([("board_width = 90", "board_width = 110")], "Base", "plan"),
    ([("[wood]", f"{SUNNY}\n[wood]")], "Base", VIEW),
]
"""What needs longest: other woods and widths are sawn anew."""


@pytest.mark.parametrize(
    "changes",
    [CHANGES, pytest.param([*FURTHER, *CHANGES, *FURTHER], marks=pytest.mark.slow)],
    ids=["a few", "many"],
)
def test_after_any_changes_a_full_picture_is_what_render_draws(session, changes):
    """One session goes through them all; each is drawn coarse first, as a page asks for it."""
    for edits, variant, view in changes:
        jobs = scene(*edits)
        revision = session.change(jobs)
        coarse = session.picture(revision, variant, view, SMALL, coarse=True)
        full = session.picture(revision, variant, view, SIZE)
        assert (full.rgb == rendered(jobs, variant, view)).all(), (edits, variant)
        assert (full.variant, full.camera.name) == (variant, view)
        if view == VIEW:  # a plan's margins are not to scale
            assert np.abs(coarse.rgb.mean(axis=(0, 1)) - full.rgb.mean(axis=(0, 1))).max() < 3, (edits, variant)


def test_numbers_are_those_of_the_revision(session):
    narrow = session.change(scene())
    boards = session.floor(narrow).layout.measures["whole_boards"]
    wide = session.change(scene(("board_width = 90", "board_width = 110")))
    assert session.floor(wide).layout.measures["whole_boards"] < boards
    assert session.floor(wide, "on the DOOR").job.variant == "On the door"
    with pytest.raises(Stale):
        session.floor(narrow)
    with pytest.raises(UsageError, match="Walnut"):
        session.floor(wide, "Walnutt")


def test_what_is_older_than_the_newest_change_is_stale(session):
    old = session.change(scene())
    session.change(scene())
    with pytest.raises(Stale):
        session.picture(old, None, VIEW, SMALL)


def test_a_change_gives_up_the_picture_that_is_being_drawn(session, monkeypatch):
    """The change comes while the picture is drawn: between two strips of it."""
    monkeypatch.setattr("preview.picture.device.engine.STRIP", 64 * SIZE[0])
    revision = session.change(scene())
    session.picture(revision, None, VIEW, SMALL, coarse=True)
    strips = []

    def wanted():
        strips.append(1)
        if len(strips) == BEFORE_STRIPS + 2:
            session.change(scene())
        return True

    with pytest.raises(Stale):
        session.picture(revision, None, VIEW, (SIZE[0], 64 * 8), wanted=wanted)
    assert len(strips) <= BEFORE_STRIPS + 2


BEFORE_STRIPS = 6
"""How often is asked, at least, before the first strip is drawn: as it is asked for, as it is begun, between steps."""


def test_a_picture_that_is_wanted_no_longer_is_given_up(session):
    revision = session.change(scene())
    with pytest.raises(Stale):
        session.picture(revision, None, VIEW, SIZE, wanted=lambda: False)
    assert session.picture(revision, None, VIEW, SMALL).rgb.shape == (60, 96, 3)


def test_a_coarse_picture_goes_before_full_ones_which_are_drawn_all_the_same(session):
    revision = session.change(scene())
    session.picture(revision, None, VIEW, SMALL, coarse=True)
    done, asked = [], threading.Event()

    def wanted():
        asked.set()
        return True

    def picture(name, size, coarse):
        session.picture(revision, None, VIEW, size, coarse, wanted)
        done.append(name)

    with ThreadPoolExecutor(4) as pool:
        full = [pool.submit(picture, f"full {each}", (1200, 900), False) for each in range(3)]
        asked.wait()
        soon = pool.submit(picture, "coarse", SMALL, True)
        for each in (*full, soon):
            each.result()
    assert "coarse" in done[:2]  # one may have been all but done
    assert len(done) == 4


def test_a_viewpoint_of_ones_own_and_a_camera_are_drawn(session):
    revision = session.change(scene())
    stand, look = Target("point", point=(0.6, 0.5, None)), Target("point", point=(2.0, 1.9, None))
    own = Viewpoint("here", "eye", stand, 1.6, look, None)
    seen = session.picture(revision, None, own, SIZE)
    assert seen.camera.name == "here"
    again = session.picture(revision, None, replace(seen.camera, size=(10, 10)), SIZE)
    assert (again.rgb == seen.rgb).all()
    with pytest.raises(SceneError, match="outside"):
        session.picture(revision, None, replace(own, at=Target("point", point=(-3.0, 0.5, None))), SIZE)


def test_a_floor_that_can_not_be_laid_is_told_and_the_next_one_drawn(session):
    bad = session.change(scene(("[border]\nwidth = 90", "[border]\nwidth = 2000")))
    for ask in (session.floor, lambda revision: session.picture(revision, None, VIEW, SMALL)):
        with pytest.raises(SceneError, match=r"border\.width"):
            ask(bad)
    good = session.change(scene())
    assert session.picture(good, None, VIEW, SMALL).rgb.any()


def test_a_drawing_that_breaks_is_told_and_the_next_one_is_drawn_afresh(session, monkeypatch):
    revision = session.change(scene())
    before = session.picture(revision, None, VIEW, SIZE).rgb

    def broken(*_, **__):
        raise MemoryError("no room for a picture")

    with monkeypatch.context() as patched:
        patched.setattr(draw.Engine, "draw", broken)
        with pytest.raises(MemoryError):
            session.picture(revision, None, VIEW, SIZE)
    assert (session.picture(revision, None, VIEW, SIZE).rgb == before).all()


def test_a_closed_session_hands_out_nothing_and_leaves_no_thread():
    names = {each.name for each in threading.enumerate()}
    session = Session(scene())
    session.picture(1, None, VIEW, SMALL, coarse=True)
    asked = threading.Event()

    def wanted():
        asked.set()
        return True

    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(session.picture, 1, None, VIEW, (3200, 2400), wanted=wanted)
        asked.wait()
        session.close()
        assert isinstance(waiting.exception(), Stale)
    with pytest.raises(Stale):
        session.picture(1, None, VIEW, SMALL)
    assert {each.name for each in threading.enumerate() if each.name == "drawing"} <= names


def test_a_picture_drawn_in_strips_is_the_same(monkeypatch):
    """Only a scissor cuts strips: every pixel, its light and its depth."""
    monkeypatch.setattr("preview.picture.device.engine.STRIP", 64 * SIZE[0])
    (job, *_), pipeline, calls = scene(), Pipeline(), []
    floor = pipeline.lay(job)
    for name in (VIEW, "plan"):
        camera = pipeline.camera(floor, name, (420, 333))
        lit = pipeline.lit(floor, floor, [camera])
        with open_engine(lit.model, lit.boards, lit.lighting) as engine:
            whole = engine.draw(camera, lit.exposure)
            parts = engine.draw(camera, lit.exposure, between=lambda: calls.append(1))
        for each in ("rgb", "hdr", "depth"):
            assert (getattr(whole, each) == getattr(parts, each)).all(), (name, each)
    assert len(calls) >= 8


def test_another_start_leaves_the_room_and_the_pages_on_the_device(monkeypatch):
    """What is uploaded for another start: the floor's mesh alone."""
    from preview.picture.device.engine import ImageTexture

    made, whole = [], ImageTexture.__init__
    with Session(scene()) as session:
        session.picture(1, None, VIEW, SIZE)
        monkeypatch.setattr(ImageTexture, "__init__", lambda self, *a, **k: (made.append(a), whole(self, *a, **k))[1])
        before = session.floor(1).layout
        revision = session.change(scene(("run = 90", "run = 90\nstart = 55")))
        assert not np.array_equal(session.floor(revision).layout.pieces.origin, before.pieces.origin)
        session.picture(revision, None, VIEW, SIZE)
    assert made == []


def test_a_camera_takes_the_size_that_is_asked_for(session):
    revision = session.change(scene())
    camera = Camera(
        "eye", np.array([1.3, 0.6, 1.5]), np.array([1.3, 2.0, 0.9]), np.array([0.0, 0, 1]), 1.1, 0.0, (9, 9)
    )
    assert session.picture(revision, None, camera, (120, 80), coarse=True).rgb.shape == (80, 120, 3)
