"""A memo does nothing twice, holds the last few results within so many bytes, and forgets the rest."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from threading import Barrier

import numpy as np
import pytest
from shapely import Polygon, box

from preview.session.memo import Memo, held_bytes


def counted(memo, made):
    """Ask a memo for a key's own array, noting what had to be made."""

    def ask(key, size=10):
        return memo.of(key, lambda: (made.append(key), np.full(size, key, np.uint8))[1])

    return ask


def test_a_result_is_made_once_and_the_same_object_comes_again():
    made = []
    ask = counted(Memo(3), made)
    assert ask(1) is ask(1)
    assert made == [1]


def test_the_last_used_stay():
    made = []
    ask = counted(Memo(2), made)
    for key in (1, 2, 1, 3, 1, 2):
        ask(key)
    assert made == [1, 2, 3, 2]


def test_no_more_bytes_are_held_than_said_but_the_last_in_any_case():
    made = []
    memo = Memo(100, most_bytes=100)
    ask = counted(memo, made)
    for key in range(1, 6):
        ask(key, 40)
    assert [memo.known(key) is not None for key in range(1, 6)] == [False, False, False, True, True]
    ask(6, 5000)
    assert memo.known(6) is not None and memo.known(5) is None


def test_what_could_not_be_made_is_tried_again():
    memo = Memo(2)
    with pytest.raises(ZeroDivisionError):
        memo.of("a", lambda: 1 // 0)
    assert memo.of("a", lambda: 5) == 5


def test_threads_that_ask_at_once_make_it_once():
    made, together = [], Barrier(4)
    ask = counted(Memo(2), made)

    def work(_):
        together.wait()
        return ask(7)

    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(work, range(4)))
    assert made == [7] and all(each is found[0] for each in found)


def test_bytes_are_counted_of_arrays_geometries_and_their_parts():
    @dataclass
    class Both:
        one: np.ndarray
        many: tuple
        named: dict

    square = box(0, 0, 1, 1)
    assert held_bytes(np.zeros((3, 4))) == 96
    assert held_bytes(square) >= 5 * 16
    shapes = np.array([square, Polygon([(0, 0), (1, 0), (0, 1)])], dtype=object)
    assert held_bytes(shapes) >= 9 * 16
    assert held_bytes(Both(np.zeros(5), (np.zeros(2), 3), {"a": np.zeros(1)})) == 8 * 8
