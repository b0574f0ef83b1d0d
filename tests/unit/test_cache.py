"""The cache of arrays: nothing in it can break a run."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from itertools import chain
from pathlib import Path

import numpy as np
import pytest

from preview.cache import MOST_BYTES, cache_folder, cached, content_key
from preview.cache_entry import BEGINS, LENGTH, SUM, entry_bytes, read_entry
from tests.faults.entries import damaged

NAMES = ("a", "b")


def make(value=1.0, size=4):
    return {"a": np.full(size, value), "b": np.arange(3)}


def refuse():
    pytest.fail("made again")


def test_made_once(tmp_path):
    first = cached("key", NAMES, make, tmp_path)
    second = cached("key", NAMES, refuse, tmp_path)
    assert all(np.array_equal(first[name], second[name]) for name in NAMES)
    assert [each.name for each in tmp_path.iterdir()] == ["key.arrays"]


def test_read_back_as_it_was(tmp_path):
    arrays = {
        "halves": np.linspace(0, 1, 7, dtype=np.float16),
        "columns": np.asfortranarray(np.arange(12).reshape(3, 4)),
        "every second": np.arange(10)[::2],
        "one": np.array(2.5),
        "none": np.zeros((0, 3), np.float32),
        "yes": np.array([True, False]),
        "names": np.array(["Élan", "b"]),
        "other end": np.arange(3, dtype=">i4"),
    }
    path = tmp_path / "key.arrays"
    path.write_bytes(entry_bytes("key", arrays))
    found = read_entry(path, "key", MOST_BYTES)
    for name, array in arrays.items():
        assert found[name].dtype == array.dtype and found[name].shape == array.shape
        assert np.array_equal(found[name], array) and found[name].flags.writeable
    assert found["columns"].flags.f_contiguous


def test_no_damage_passes_for_an_entry(tmp_path):
    """Every byte of a small entry, each of its lengths, its parts in another order, another's bytes, other versions."""
    path = tmp_path / "key.arrays"
    whole = entry_bytes("key", make(size=60))
    other = entry_bytes("another", make(2.0, size=60))
    count = 0
    head = range(len(BEGINS) + SUM + LENGTH + 60)
    for what, content in chain(damaged(whole, other, head, flips=8), damaged(whole, other, range(0, len(whole), 2))):
        path.write_bytes(content)
        assert read_entry(path, "key", MOST_BYTES) is None, what
        count += 1
    path.write_bytes(whole)
    assert np.array_equal(read_entry(path, "key", MOST_BYTES)["a"], make(size=60)["a"])
    assert count > 1500


@pytest.mark.parametrize("place", ["junk", "folder", "pipe", "other names", "too large"])
def test_whatever_stands_in_an_entry_s_place_is_passed_over(tmp_path, place):
    path = tmp_path / "key.arrays"
    if place == "junk":
        path.write_bytes(b"junk")
    elif place == "folder":
        path.mkdir()
    elif place == "pipe":  # reading it would wait for ever
        os.mkfifo(path)
    elif place == "other names":
        path.write_bytes(entry_bytes("key", {"c": np.zeros(2)}))
    else:
        with path.open("wb") as file:
            file.write(BEGINS)
            file.truncate(2**40)
    assert cached("key", NAMES, lambda: make(2.0), tmp_path)["a"][0] == 2.0


def test_an_entry_cannot_hold_more_than_arrays():
    with pytest.raises(ValueError, match="can't be cached"):
        entry_bytes("key", {"a": np.array([print], dtype=object)})


def sizes(folder):
    return sum(each.stat().st_size for each in folder.rglob("*") if each.is_file())


def test_size_is_bounded_oldest_first(tmp_path):
    for number in range(5):
        cached(f"{number}", NAMES, lambda: make(size=1000), tmp_path, most=30_000)
        os.utime(tmp_path / f"{number}.arrays", (number, number))
    left = sorted(each.stem for each in tmp_path.iterdir())
    assert left == ["2", "3", "4"]
    assert sizes(tmp_path) <= 30_000


def test_the_bound_is_of_all_kinds_together_and_of_what_was_not_finished(tmp_path):
    """Entries of an earlier version and what a killed run left count too; a file of someone else's is left alone."""
    light, wood, pictures = (tmp_path / kind for kind in ("light", "wood", "pictures"))
    for folder in (light, wood, pictures):
        folder.mkdir()
    old = [light / f"{'a1' * 20}-visibility.npz", wood / f".{'b2' * 20}.k3xx_81h.part"]
    for path in (*old, pictures / "holiday.npz", pictures / "album.part"):
        path.write_bytes(bytes(9_000))
        os.utime(path, (1, 1))
    for number, folder in enumerate((light, wood, pictures) * 2):
        cached(f"{number}", NAMES, lambda: make(size=1000), folder, most=30_000)
        os.utime(folder / f"{number}.arrays", (number + 10, number + 10))
        assert sizes(tmp_path) - 18_000 <= 30_000
    assert not any(path.exists() for path in old)
    assert {"album.part", "holiday.npz", "5.arrays"} <= {each.name for each in pictures.iterdir()}
    assert (wood / "4.arrays").exists() and not (light / "0.arrays").exists()


def test_an_entry_beyond_the_bound_is_not_cached_and_costs_no_other(tmp_path):
    cached("small", NAMES, make, tmp_path, most=5_000)
    cached("large", NAMES, lambda: make(size=1000), tmp_path, most=5_000)
    assert [each.name for each in tmp_path.iterdir()] == ["small.arrays"]


def test_after_a_clock_was_set_back_what_is_new_stays(tmp_path):
    ahead = time.time() + 30 * 86400
    for number in range(3):
        cached(f"old {number}", NAMES, lambda: make(size=1000), tmp_path, most=30_000)
        os.utime(tmp_path / f"old {number}.arrays", (ahead, ahead))
    for number in range(2):
        cached(f"new {number}", NAMES, lambda: make(size=1000), tmp_path, most=30_000)
    assert {"new 0.arrays", "new 1.arrays"} <= {each.name for each in tmp_path.iterdir()}


def test_folder_that_cannot_be_written_is_no_error(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    assert cached("key", NAMES, make, blocked)["a"][0] == 1.0
    assert cached("key", NAMES, make, None)["a"][0] == 1.0


def test_where_it_lies(monkeypatch, tmp_path):
    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path))
    assert cache_folder("light") == tmp_path / "light"
    monkeypatch.setenv("PREVIEW_CACHE", "off")
    assert cache_folder("pictures") is None
    monkeypatch.delenv("PREVIEW_CACHE")
    assert cache_folder("light").parts[-2:] == ("herringbone-preview", "light")


@pytest.mark.parametrize("answer", [Path("~/.cache"), RuntimeError("no home")])
def test_without_a_home_nothing_is_cached(monkeypatch, answer):
    """As releases of the library that knows where caches lie answer where there is no home."""

    def asked(name):
        if isinstance(answer, Exception):
            raise answer
        return answer / name

    monkeypatch.delenv("PREVIEW_CACHE", raising=False)
    monkeypatch.setattr("platformdirs.user_cache_path", asked)
    assert cache_folder("light") is None


def test_key_tells_contents_apart():
    base = content_key(np.zeros(3), "a", 1)
    assert base == content_key(np.zeros(3), "a", 1)
    others = [
        content_key(np.zeros(4), "a", 1),
        content_key(np.zeros(3, np.float32), "a", 1),
        content_key(np.zeros(3), "b", 1),
        content_key(np.zeros(3), "a", 2),
        content_key(np.array([0, 0, 1e-9]), "a", 1),
    ]
    assert len({base, *others}) == 6


def test_two_runs_at_once(tmp_path):
    """Two processes write and read the same few keys for a while; neither sees half an entry."""
    script = (
        "import sys, numpy as np\n"
        "from pathlib import Path\n"
        "from preview.cache import cached\n"
        "for run in range(60):\n"
        "    key = str(run % 3)\n"
        "    found = cached(key, ('a',), lambda: {'a': np.full(20000, int(key))}, Path(sys.argv[1]), most=400_000)\n"
        "    assert (found['a'] == int(key)).all() and len(found['a']) == 20000\n"
    )
    runs = [subprocess.Popen([sys.executable, "-c", script, str(tmp_path)], stderr=subprocess.PIPE) for _ in range(2)]
    for run in runs:
        _, errors = run.communicate(timeout=60)
        assert run.returncode == 0, errors.decode()
    assert all(each.suffix == ".arrays" for each in tmp_path.iterdir())
