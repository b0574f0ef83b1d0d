"""The same bytes from the same scene, whatever stands around it.

``python -m tests.faults.same_bytes``: every kind of file, made over working folders, hash seeds, numbers of threads,
locales and time zones, with a cold cache and a warm one; each must be the first one's, byte for byte.
"""

from __future__ import annotations

import sys
import time

from tests.faults.runs import SIZE, house

KINDS = (
    ("png", "render", *SIZE, "--viewpoint", "plan", "--out", "out"),
    ("pdf", "quote", *SIZE, "--out", "out/quote.pdf"),
    ("card", "card", "--out", "out/card.pdf"),
    ("svg", "lay", "--format", "svg", "--out", "out/plan.svg"),
    ("json", "lay", "--format", "json", "--out", "out/layout.json"),
    ("dxf", "card", "--out", "out/card.dxf"),
    ("html", "page", "--out", "out/page.html"),
    ("glb", "export", "--out", "out/floor.glb"),
)
SURROUNDINGS: dict[str, dict[str, str]] = {
    "cold": {},
    "warm": {},
    "hash seed 1": {"PYTHONHASHSEED": "1"},
    "hash seed 4, one thread": {
        **dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "RAYON_NUM_THREADS"), "1"),
        "LP_NUM_THREADS": "1",
        "PYTHONHASHSEED": "4",
    },
    "no cache, other place and time zone": {"PREVIEW_CACHE": "off", "LC_ALL": "C", "TZ": "Asia/Kathmandu"},
}


def main(names: list[str]) -> int:
    """Make every kind, or those that are named; return 1 where bytes differ."""
    wrong = 0
    with house() as first:
        for kind, command, *arguments in KINDS:
            if names and kind not in names:
                continue
            begun, wanted = time.monotonic(), None
            for what, environment in SURROUNDINGS.items():
                with house(**environment) as place:
                    if "PREVIEW_CACHE" not in environment:
                        place.environment["PREVIEW_CACHE"] = str(first.path / "cache")
                    run = place.start(command, "room.toml", *arguments)
                    _, error = run.communicate()
                    made = place.made()
                    wanted = wanted or made
                    if run.returncode or made != wanted:
                        wrong = 1
                        sys.stdout.write(f"{kind}, {what}: exit {run.returncode}, {error.decode()} {made} {wanted}\n")
            sys.stdout.write(f"{kind}: made {len(SURROUNDINGS)} times, {time.monotonic() - begun:.0f} s\n")
            sys.stdout.flush()
    return wrong


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
