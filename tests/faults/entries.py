"""Cached entries damaged in every way that a disk, a copy or another version may: none may be taken for one.

``python -m tests.faults.entries FOLDER``: the entries that lie in the folder of a cache, such as
~/.cache/herringbone-preview/light, each read from a copy under a thousand damages and more.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from preview.cache import MOST_BYTES
from preview.cache_entry import BEGINS, LENGTH, SUM, read_entry


def damaged(whole: bytes, other: bytes, places: Iterable[int], flips: int = 1) -> Iterator[tuple[str, bytes]]:
    """Yield names and bytes of `whole` damaged: `places` are those of the bytes that are changed, in one bit each of
    `flips`, and where it is cut; `other` is another key's entry."""
    for what, content in _all(whole, other, list(places), flips):
        if content != whole:
            yield what, content


def _all(whole: bytes, other: bytes, places: list[int], flips: int) -> Iterator[tuple[str, bytes]]:
    for place in places:
        for bit in range(flips):
            yield f"bit {bit} of byte {place}", _with(whole, place, bytes([whole[place] ^ 1 << bit]))
        if whole[place] != 255:
            yield f"byte {place} of ones", _with(whole, place, b"\xff")
    for place in places:
        yield f"cut at {place}", whole[:place]
    for place in places[:: max(len(places) // 50, 1)]:
        yield f"zeros from {place}", whole[:place] + bytes(len(whole) - place)
        yield f"a byte more at {place}", whole[:place] + b"\0" + whole[place:]
        yield f"another's from {place}", whole[:place] + other[place:]
    yield "another's", other
    yield "twice", whole + whole
    yield "a byte more", whole + b"\0"
    for version in (b"0", b"2"):
        yield f"version {version.decode()}", BEGINS.replace(b"1", version) + whole[len(BEGINS) :]
    yield "another's sum", _with(whole, len(BEGINS), other[len(BEGINS) : len(BEGINS) + SUM])
    yield "a head longer than the file", _with(whole, len(BEGINS) + SUM, b"\xff" * LENGTH)
    middle = len(whole) // 2
    yield "halves swapped", whole[middle:] + whole[:middle]


def _with(whole: bytes, place: int, part: bytes) -> bytes:
    return whole[:place] + part + whole[place + len(part) :]


def _say(words: str) -> None:
    sys.stdout.write(f"{words}\n")


def main(folder: Path, seed: int = 1, sampled: int = 1000, most: int = 12) -> int:
    """Damage up to `most` entries of a folder; return how many damages were not seen."""
    draw, begun, missed, seen = random.Random(seed), time.monotonic(), 0, Counter()
    entries = sorted(folder.glob("*.arrays"), key=lambda each: each.stat().st_size)[:most]
    if len(entries) < 2:
        sys.exit(f"{folder}: holds {len(entries)} entries; at least two are needed")
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / "entry"
        for number, path in enumerate(entries):
            whole, other = path.read_bytes(), entries[number - 1].read_bytes()
            copy.write_bytes(whole)
            if read_entry(copy, path.stem, MOST_BYTES) is None:
                _say(f"{path}: can't be read as it is")
                missed += 1
            start = len(BEGINS) + SUM
            head = start + LENGTH + int.from_bytes(whole[start : start + LENGTH], "little")
            sparse = max(len(whole) // 100_000, 1)  # a large entry is copied for each of its damages
            places = [*range(0, head, sparse), *(draw.randrange(len(whole)) for _ in range(sampled // sparse))]
            for what, content in damaged(whole, other, sorted(places)):
                copy.write_bytes(content)
                seen[path.name] += 1
                if read_entry(copy, path.stem, MOST_BYTES) is not None:
                    _say(f"{path}: taken for an entry: {what}")
                    missed += 1
    _say(f"{sum(seen.values())} damages of {len(seen)} entries, seed {seed}, {time.monotonic() - begun:.0f} s: "
          f"{missed} not seen")  # fmt: skip
    return missed


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])) > 0)
