"""Engines are opened and closed one after another, and what is left of a closed one harms no later one."""

import gc
from dataclasses import replace

import numpy as np
import pytest
from synthetic_room import room

from preview.picture.draw import _load_engine, open_engine
from preview.picture.view.camera import Camera

VIEW = Camera("plan", np.array([2.35, 1.9, 1.2]), np.array([2.35, 1.9, 0]), np.array([0.0, 1, 0]), None, 6.0, (16, 10))


@pytest.fixture(scope="module")
def bare_room():
    """The floor, four of its boards, under a page of one colour: what opens quickly."""
    model, boards, lighting = room()
    floor = model.floor[0]
    few = replace(floor, faces=floor.faces[:40])
    page = np.full((8, 8, 3), 150, np.uint8)
    return replace(model, floor=(few,), parts=model.parts[:1]), replace(boards, pages=(page,)), lighting


@pytest.fixture
def eager_collector():
    before = gc.get_threshold()
    gc.set_threshold(100, 5, 5)
    yield
    gc.set_threshold(*before)


@pytest.mark.parametrize("engines", [6, pytest.param(50, marks=pytest.mark.slow)])
def test_many_engines_with_an_eager_garbage_collector(bare_room, eager_collector, engines):
    """A driver gives a new context the address of one that was closed, so that whatever still knows that address would
    end the new one. What is left of closed contexts is collected here while a later engine is open."""
    drawn = []
    for _ in range(engines):
        left = [_closed_in_a_cycle() for _ in range(12)]
        with open_engine(*bare_room) as engine:
            left.clear()
            drawn.append(engine.draw(VIEW, 0.004).rgb)
    assert all((each == drawn[0]).all() for each in drawn)


def _closed_in_a_cycle():
    """A context that was closed, held by a cycle, as a renderer's or an error's frames may hold one."""
    context = _load_engine().Context()
    context.close()
    cycle = [context]
    cycle.append(cycle)
    return cycle


def test_engines_open_at_once_are_closed_in_any_order(bare_room):
    with open_engine(*bare_room) as outer:
        expected = outer.draw(VIEW, 0.004).rgb
        for _ in range(3):
            with open_engine(*bare_room) as inner:
                assert (inner.draw(VIEW, 0.004).rgb == expected).all()
            del inner
            gc.collect()
            assert (outer.draw(VIEW, 0.004).rgb == expected).all()


def test_an_engine_that_fails_to_open_ends_no_other(bare_room):
    model, boards, lighting = bare_room
    with open_engine(*bare_room) as outer:
        expected = outer.draw(VIEW, 0.004).rgb
        with pytest.raises(IndexError), open_engine(model, replace(boards, pages=()), lighting):
            pass
        gc.collect()
        assert (outer.draw(VIEW, 0.004).rgb == expected).all()


def test_a_closed_context_has_nothing_left_to_end():
    """pyrender ends a platform's context, and with it the display, whenever the platform is collected."""
    context = _load_engine().Context()
    platform = context.platform
    context.close()
    other = _load_engine().Context()
    platform.delete_context()
    other.activate()
    assert other.renderer()
    other.close()
