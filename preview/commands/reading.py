"""The scene a command is given, and its options that need reading."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path

from preview.errors import UsageError
from preview.files import slug
from preview.scene.document import MOST_BYTES
from preview.scene.job import Job
from preview.scene.read import STANDARD_INPUT, load_scene, read_scene
from preview.steps import pick

SMALLEST, LARGEST = 16, 8192
MOST_PIXELS = 2**24
"""Of a picture. A picture of so many takes 2.0 GB at its peak, one of 6 million 0.8 GB, one of 1.6 million 0.5 GB (a
furnished study in plan, drawn by the processor); 8192 x 8192 took 8 GB."""


def read_jobs(scene: str, materials: Path | None = None) -> tuple[Job, ...]:
    """Return the variants of the scene in file `scene`, or on standard input where it is ``-``.

    materials: a folder of material files that adds to the program's own.
    """
    if scene != "-":
        return load_scene(scene, materials=materials)
    return read_scene(_piped(), STANDARD_INPUT, materials=materials)


def _piped() -> bytes:
    """Return what comes through standard input, of a scene too long no more than that it is."""
    if sys.stdin is None:
        raise UsageError("-: standard input is closed; give the name of a scene file, or send one through a pipe")
    try:
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    except OSError as error:
        raise UsageError(f"-: standard input can't be read ({error.strerror}); give the name of a scene file") from None


def choose_variants(jobs: Sequence[Job], names: Sequence[str]) -> list[Job]:
    """Return the variants called `names`, all where there are none; in the order of the scene."""
    chosen = pick([job.variant for job in jobs], names, "variant")
    return [job for job in jobs if job.variant in chosen]


def file_stem(scene: str, jobs: Sequence[Job]) -> str:
    """Return what the names of a scene's files begin with: its own name, or its title where it has none."""
    return slug(Path(scene).stem if scene != "-" else jobs[0].title)


def read_size(text: str) -> tuple[int, int]:
    """Return ``1600x1000`` as (width, height) in pixels.

    Raises:
        UsageError: it is not two whole numbers, or a picture too small or too large.
    """
    match = re.fullmatch(r"\s*(\d{1,9})\s*[xX×]\s*(\d{1,9})\s*", text)
    if match is None:
        raise UsageError(f'--size: found "{text}"; write width x height in pixels, such as 1600x1000')
    width, height = int(match[1]), int(match[2])
    if not (SMALLEST <= width <= LARGEST and SMALLEST <= height <= LARGEST):
        raise UsageError(f"--size: {width} x {height} pixels; each side must be from {SMALLEST} to {LARGEST}")
    if width * height > MOST_PIXELS:
        raise UsageError(
            f"--size: {width} x {height}, {width * height / 1e6:.1f} million pixels; "
            f"{MOST_PIXELS / 1e6:.1f} million are the most, such as 4096x4096"
        )
    return width, height
