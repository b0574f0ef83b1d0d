"""Rooms of every kind, thousands of them: each tiles, and is told as it lies, in time and memory; or it is refused.

``python -m tests.soak.rooms --rooms 100000 --jobs 16`` writes the rooms that break the program, made small, as scenes
into `--out`; the same seed tries the same rooms.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path
from time import perf_counter

from tests.soak.processes import asked_for, say, tried
from tests.soak.room_kinds import scene_of, smallest
from tests.soak.room_trial import RoomOutcome, room_trial

MADE_SMALL = 120.0
"""Seconds of processor time within which a room is made small."""

WORST = 3
"""So many of the slowest and of the largest rooms are told."""


def room_of(asked: tuple[int, int]) -> RoomOutcome:
    """Return what came of the room of a seed and a number."""
    return room_trial(scene_of(*asked), asked[1])


def main(arguments: list[str] | None = None) -> int:
    """Try the rooms that the command line asks for, and return 1 where one broke the program."""
    asked = asked_for("rooms", __doc__, arguments)
    start, faults, refused = perf_counter(), Counter[str](), Counter[str]()
    slowest: list[tuple[float, int, int]] = []
    largest: list[tuple[float, int, int]] = []
    numbers = range(asked.first, asked.first + asked.count)
    count, laid, longest_refusal = 0, 0, (0.0, 0)
    for number, outcome in tried(room_of, asked.seed, numbers, asked.jobs, asked.seconds):
        count += 1
        if outcome.fault:
            faults[outcome.fault] += 1
            say(f"{number}: {outcome.fault}")
            if faults[outcome.fault] <= WORST:
                _keep(asked.out, asked.seed, number, outcome)
            if faults[outcome.fault] == 1 and not asked.as_found:
                _make_small(asked.out / f"{_name(asked.seed, number)}-small.toml", asked.seed, number, outcome.fault)
        if outcome.refused:
            longest_refusal = max(longest_refusal, (outcome.seconds, number))
            refused[outcome.refused.split(": ")[1]] += 1
        elif outcome.pieces:
            laid += 1
            slowest = sorted([*slowest, (outcome.seconds, number, outcome.pieces)])[-WORST:]
            largest = sorted([*largest, (outcome.memory, number, outcome.pieces)])[-WORST:]
    took = perf_counter() - start
    say(f"{count:,} rooms from {asked.first:,}, seed {asked.seed}, in {took:.0f} s: {count / took:.1f} a second")
    say(f"{laid:,} laid, {sum(refused.values()):,} refused: {_counted(refused)}")
    say(f"slowest: {', '.join(f'{each[1]} {each[0]:.1f} s, {each[2]:,} pieces' for each in reversed(slowest))}")
    say(f"largest: {', '.join(f'{each[1]} {each[0] / 1e6:.0f} MB' for each in reversed(largest))}")
    say(f"slowest refused: {longest_refusal[1]} {longest_refusal[0]:.1f} s")
    say(f"{sum(faults.values()):,} faults of {len(faults)} kinds")
    for fault, times in faults.most_common():
        say(f"  {times:,} x {fault}")
    return int(bool(faults))


def _name(seed: int, number: int) -> str:
    return f"room-{seed}-{number}"


def _keep(folder: Path, seed: int, number: int, outcome: RoomOutcome) -> None:
    """Write a room that breaks the program, and what it broke."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{_name(seed, number)}.toml").write_bytes(scene_of(seed, number))
    (folder / f"{_name(seed, number)}.txt").write_text(f"{outcome.fault}\n{outcome.trace}", encoding="utf-8")


def _make_small(path: Path, seed: int, number: int, fault: str) -> None:
    """Write the smallest room like that of a number that breaks the same, as far as time allows."""
    path.write_bytes(smallest(seed, number, lambda scene: room_trial(scene, number).fault == fault, MADE_SMALL))


def _counted(reasons: Counter[str]) -> str:
    return ", ".join(f"{count:,} {reason}" for reason, count in reasons.most_common())


if __name__ == "__main__":
    sys.exit(main())
