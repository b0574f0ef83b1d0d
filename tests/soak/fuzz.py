"""Spoilt scenes, details, materials, logos and cached entries, thousands of them: each is read or refused, in time and
in words.

``python -m tests.soak.fuzz --files 20000 --jobs 2`` writes what breaks it, made short, into `--out`; the same seed
tries the same files.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from time import perf_counter

from preview.data import data_folder
from tests.soak.logos import spoilt_logo
from tests.soak.mutations import mutated
from tests.soak.processes import asked_for, say, tried
from tests.soak.room_kinds import scene_of
from tests.soak.spoilt_entries import spoilt_entry
from tests.soak.trial import REFUSED, Outcome, trial

KINDS = ("scene",) * 8 + ("details", "material", "logo", "entry")
DRAWN = {"logo": spoilt_logo, "entry": spoilt_entry}
"""Kinds whose files are made, not taken from those of the program."""

ROOMS, SMALL = 60, 0.7
"""So many small rooms are spoilt in turn with the program's scenes, in this share of all scenes."""

SUFFIX = {"logo": "picture", "entry": "arrays"}
TRIES = 150  # of what may be left out of a file that breaks the program


@cache
def originals(kind: str) -> list[str]:
    """Return the good files of a kind, as text; of materials those that are shared begin with their name."""
    scenes = [*data_folder("scenes").glob("*.toml"), *(data_folder("scenes") / "gallery").glob("*.toml")]
    scenes.sort()
    if kind == "material":
        paths = sorted(data_folder("materials").glob("*.toml"))
        return [f"# {each.name}\n{each.read_text(encoding='utf-8')}" for each in paths]
    chosen = [each for each in scenes if ("details" in each.name) == (kind == "details")]
    return [each.read_text(encoding="utf-8") for each in chosen]


@cache
def small_scenes() -> list[str]:
    """Return scenes of every kind of room and pattern that are laid in a fifth of the time of the program's own."""
    return [scene_of(1, number).decode() for number in range(ROOMS)]


def spoilt(seed: int, number: int) -> tuple[str, bytes]:
    """Return the kind and the bytes of the file of a number."""
    rng = random.Random(f"{seed}-{number}")
    kind = rng.choice(KINDS)
    if kind in DRAWN:
        return kind, DRAWN[kind](rng)
    texts = originals(kind)
    few = kind == "scene" and rng.random() < SMALL
    return kind, mutated(rng.choice(small_scenes() if few else texts), rng, texts)


def shortened(kind: str, content: bytes, fault: str) -> bytes:
    """Return the file with all lines left out that its fault doesn't need, as far as some tries find them."""
    lines, size, tries = content.split(b"\n"), 0, 0
    size = max(1, len(lines) // 2)
    while size and tries < TRIES:
        at = 0
        while at < len(lines) and tries < TRIES:
            fewer = lines[:at] + lines[at + size :]
            tries += 1
            if trial(kind, b"\n".join(fewer)).fault == fault:
                lines = fewer
            else:
                at += size
        size //= 2
    return b"\n".join(lines)


def file_of(asked: tuple[int, int]) -> tuple[str, Outcome]:
    """Return the kind of the file of a seed and a number, and what came of it."""
    kind, content = spoilt(*asked)
    return kind, trial(kind, content)


def main(arguments: list[str] | None = None) -> int:
    """Try the files that the command line asks for, and return 1 where one broke the program."""
    asked = asked_for("files", __doc__, arguments)
    start, slowest = perf_counter(), (0.0, 0)
    faults, read = Counter(), Counter()
    count, numbers = 0, range(asked.first, asked.first + asked.count)
    for number, (kind, outcome) in tried(file_of, asked.seed, numbers, asked.jobs, asked.seconds):
        count += 1
        read[kind, outcome.accepted] += 1
        slowest = max(slowest, (outcome.seconds, number))
        if outcome.fault:
            faults[outcome.fault] += 1
            say(f"{number} ({kind}): {outcome.fault}")
            if faults[outcome.fault] == 1:
                short = not asked.as_found and outcome.seconds <= REFUSED
                _keep(asked.out, f"{kind}-{asked.seed}-{number}", *spoilt(asked.seed, number), outcome, short)
    for kind in dict.fromkeys(KINDS):
        say(f"{kind}: {read[kind, True]:,} accepted, {read[kind, False]:,} refused")
    say(f"{count:,} files from {asked.first:,}, seed {asked.seed}, in {perf_counter() - start:.0f} s")
    say(f"the slowest, {slowest[1]}, took {slowest[0]:.1f} s; {sum(faults.values()):,} faults of {len(faults)} kinds")
    for fault, count in faults.most_common():
        say(f"  {count:,} x {fault}")
    return int(bool(faults))


def _keep(folder: Path, name: str, kind: str, content: bytes, outcome: Outcome, short: bool) -> None:
    """Write a file that breaks the program, made short where that is asked, and what it broke."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.{SUFFIX.get(kind, 'toml')}").write_bytes(
        shortened(kind, content, outcome.fault) if short else content
    )
    (folder / f"{name}.txt").write_text(f"{outcome.fault}\n{outcome.trace}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
