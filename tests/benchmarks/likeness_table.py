"""The table of likeness: how far each finished picture is from the path tracer's, rooms that may be tuned on and rooms
held out.

    python -m tests.benchmarks.likeness_table [ROOM ...]

See tests/published/test_against_path_tracer.py; FLIP of the whole picture and of its worst part (25 pixels wide), and
the mean light over the tracer's by channel.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

TOP = Path(__file__).resolve().parents[2]
REFERENCE = TOP / "tests/published/reference"
sys.path[:0] = [str(TOP), str(REFERENCE), str(REFERENCE.parent)]


def main() -> None:
    """Print the table."""
    from picture_compare import likeness
    from trace_rooms import kept
    from traced_rooms import HELD_OUT, SUNNY, TUNED, traced_room

    found: dict[str, list[float]] = {}
    sys.stdout.write(f"{'room':14s} {'view':36s} {'FLIP':>6s} {'worst':>6s} {'light R, G, B':>18s}\n")
    for name in sys.argv[1:] or (*TUNED, *HELD_OUT):
        room = traced_room(name)
        group = "may be tuned on" if name in TUNED else "held out, sun" if name in SUNNY else "held out, overcast"
        for number, picture in enumerate(room.pictures(), 1):
            traced = kept(REFERENCE / f"room_{name}_{number}.npz")
            each = likeness(room, picture, *traced)
            found.setdefault(group, []).append(each.flip)
            level = ", ".join(f"{channel:.3f}" for channel in each.level)
            sys.stdout.write(
                f"{name:14s} {picture.camera.name[:36]:36s} {each.flip:6.4f} {each.worst:6.3f} {level:>18s}\n"
            )
            sys.stdout.flush()
    for group, flips in found.items():
        sys.stdout.write(f"{group}: mean {np.mean(flips):.4f}, worst {max(flips):.4f}\n")


if __name__ == "__main__":
    main()
