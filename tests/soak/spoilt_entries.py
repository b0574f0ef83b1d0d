"""Entries of the cache spoilt: by a disk, a copy or a program cut short, and forged, with a checksum that is right."""

from __future__ import annotations

import random
import zlib
from functools import cache

import numpy as np

from preview.cache_entry import BEGINS, LENGTH, SUM, entry_bytes
from tests.soak.mutations import spoilt_bytes

KEY = "a" * 64


@cache
def whole_entries() -> tuple[bytes, ...]:
    """Return entries as the program writes them: of numbers of several kinds, of texts, of nothing, of another key."""
    draw = np.random.default_rng(1)
    light = {"factors": draw.random((7, 5, 3)).astype(np.float32), "seen": draw.random(40) > 0.5}
    mixed = {
        "turned": np.asfortranarray(draw.random((4, 6))),
        "names": np.array(["oak", "white oak"]),
        "one": np.array(3),
    }
    return (
        entry_bytes(KEY, light),
        entry_bytes(KEY, mixed),
        entry_bytes(KEY, {"none": np.zeros((0, 3))}),
        entry_bytes(KEY, {}),
        entry_bytes("b" * 64, light),
    )


def has_its_sum(content: bytes) -> bool:
    """Return whether the checksum of an entry is that of its bytes."""
    at = len(BEGINS)
    return zlib.crc32(content[at + SUM :]).to_bytes(SUM, "little") == content[at : at + SUM]


def spoilt_entry(rng: random.Random) -> bytes:
    """Return the bytes of an entry with some of them wrong; of half of them the checksum is that of what they are."""
    content = rng.choice(whole_entries())
    start = len(BEGINS) + SUM
    match rng.randrange(6):
        case 0:
            content = content[: rng.randrange(len(content) + 1)]
        case 1:
            content += rng.choice(whole_entries())[rng.randrange(40) :]
        case 2:
            at = rng.randrange(len(content))
            content = content[:at] + rng.choice(whole_entries())[at:]
        case 3:
            content = rng.randbytes(rng.randrange(200))
        case 4:  # the head alone, where all that is read stands
            end = start + LENGTH + int.from_bytes(content[start : start + LENGTH], "little")
            content = content[:start] + spoilt_bytes(content[start:end], rng) + content[end:]
        case _:
            content = spoilt_bytes(content, rng)
    if rng.random() < 0.5:
        body = content[start:]
        content = BEGINS + zlib.crc32(body).to_bytes(SUM, "little") + body
    return content
