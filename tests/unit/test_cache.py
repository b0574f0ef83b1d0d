"""The cache of arrays: nothing in it can break a run."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from preview.cache import cache_folder, cached, content_key

NAMES = ("a", "b")


def make(value=1.0, size=4):
    return {"a": np.full(size, value), "b": np.arange(3)}


def refuse():
    pytest.fail("made again")


def test_made_once(tmp_path):
    first = cached("key", NAMES, make, tmp_path)
    second = cached("key", NAMES, refuse, tmp_path)
    assert all(np.array_equal(first[name], second[name]) for name in NAMES)
    assert [each.name for each in tmp_path.iterdir()] == ["key.npz"]


@pytest.mark.parametrize("damage", [b"", b"junk", None, "flip", "other", "method"])
def test_damaged_entry_is_made_anew(tmp_path, damage):
    cached("key", NAMES, lambda: make(size=4000), tmp_path)
    path = tmp_path / "key.npz"
    whole = path.read_bytes()
    if damage is None:
        path.write_bytes(whole[: len(whole) // 2])
    elif damage == "flip":
        path.write_bytes(whole[:2000] + bytes([whole[2000] ^ 255]) + whole[2001:])
    elif damage == "method":  # a compression that no zip has: zipfile raises NotImplementedError
        for mark, offset in ((b"PK\x03\x04", 8), (b"PK\x01\x02", 10)):  # in each entry's head, and in the directory
            at = whole.index(mark) + offset
            whole = whole[:at] + b"\x63\x00" + whole[at + 2 :]
        path.write_bytes(whole)
        with pytest.raises(NotImplementedError), np.load(path) as entry:
            entry["a"]
    elif damage == "other":
        np.savez(path, c=np.zeros(2))
    else:
        path.write_bytes(damage)
    assert cached("key", NAMES, lambda: make(2.0), tmp_path)["a"][0] == 2.0
    assert cached("key", NAMES, refuse, tmp_path)["a"][0] == 2.0


def test_an_entry_cannot_hold_more_than_arrays(tmp_path):
    np.savez(tmp_path / "key.npz", a=np.array([print], dtype=object), b=np.zeros(1))
    assert cached("key", NAMES, make, tmp_path)["a"][0] == 1.0


def test_size_is_bounded_oldest_first(tmp_path):
    for number in range(5):
        cached(f"{number}", NAMES, lambda: make(size=1000), tmp_path, most=30_000)
        os.utime(tmp_path / f"{number}.npz", (number, number))
    left = sorted(each.stem for each in tmp_path.iterdir())
    assert left == ["2", "3", "4"]
    assert sum(each.stat().st_size for each in tmp_path.iterdir()) <= 30_000


def test_left_over_halves_are_swept(tmp_path):
    half = tmp_path / ".old.part"
    half.write_bytes(b"half")
    os.utime(half, (1, 1))
    cached("key", NAMES, make, tmp_path)
    assert not half.exists()


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
    assert all(each.suffix == ".npz" for each in tmp_path.iterdir())
