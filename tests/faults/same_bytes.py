"""The same bytes from the same scene, whatever stands around it.

``python -m tests.faults.same_bytes [--python PATH ...] [KIND ...]``: every kind of file, made over working folders,
hash seeds, numbers of threads, locales and time zones, with a cold cache and a warm one; each must be the first one's,
byte for byte. PATH is another Python, in which the program and the same releases of its libraries are installed: from
nothing it makes the same bytes of each kind too.
"""

from __future__ import annotations

import argparse
import sys
import time
from importlib.util import find_spec

from tests.faults.runs import SIZE, house

KINDS = (
    ("png", "render", *SIZE, "--viewpoint", "plan", "--out", "out"),
    ("exr", "render", *SIZE, "--viewpoint", "plan", "--format", "exr", "--out", "out"),
    ("webp", "compare", *SIZE, "--viewpoint", "plan", "--out", "out/fade.webp"),
    ("pdf", "quote", *SIZE, "--out", "out/quote.pdf"),
    ("card", "card", "--out", "out/card.pdf"),
    ("svg", "lay", "--format", "svg", "--out", "out/plan.svg"),
    ("json", "lay", "--format", "json", "--out", "out/layout.json"),
    ("dxf", "card", "--out", "out/card.dxf"),
    ("html", "page", "--out", "out/page.html"),
    ("glb", "export", "--out", "out/floor.glb"),
    *((ending, "export", "--out", f"out/floor.{ending}") for ending in ("obj", "stl", "ply")),
    *([("usdz", "export", "--out", "out/floor.usdz")] if find_spec("pxr") else []),
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


def main() -> int:
    """Make every kind, or those that are named; return 1 where bytes differ."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("kinds", nargs="*", choices=[[], *(each[0] for each in KINDS)], help="which, by default all")
    asked.add_argument("--python", action="append", default=[], help="another Python that has the program")
    given = asked.parse_args()
    wrong = 0
    with house() as first:
        for kind, command, *arguments in KINDS:
            if given.kinds and kind not in given.kinds:
                continue
            begun, wanted = time.monotonic(), {}
            for what, environment in SURROUNDINGS.items():
                own = {} if "PREVIEW_CACHE" in environment else {"PREVIEW_CACHE": str(first.path / "cache")}
                status, words, made = _made(sys.executable, {**environment, **own}, command, *arguments)
                wanted = wanted or made
                if status or made != wanted:
                    wrong = 1
                    _say(f"{kind}, {what}: exit {status}, {words} {made} {wanted}")
            _say(f"{kind}: made {len(SURROUNDINGS)} times, {time.monotonic() - begun:.0f} s")
            for python in given.python:
                status, words, made = _made(python, {}, command, *arguments)
                same = "the same bytes" if made == wanted else "other bytes"
                _say(f"{kind}, {python}: {f'exit {status}, {words}' if status else same}")
                wrong = wrong or int(status != 0 or made != wanted)
    return wrong


def _made(python: str, environment: dict[str, str], *arguments: str) -> tuple[int, str, dict[str, str]]:
    """Return the exit status, the words and what is made where a Python runs a command of the program."""
    with house(**environment) as place:
        place.python = python
        run = place.start(arguments[0], "room.toml", *arguments[1:])
        _, error = run.communicate()
        return run.returncode, error.decode(errors="replace"), place.made()


def _say(words: str) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
