"""Ask pip whether the program installs on Windows and macOS without a compiler: ``python -m tests.platforms``.

For each platform and version of Python, pip resolves the dependencies of pyproject.toml from wheels alone; nothing is
installed. What is published as source alone is first built here, and passes only if that gives a wheel for any
platform, pure Python. It says nothing of whether the program runs there.
"""

from __future__ import annotations

import itertools
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

PLATFORMS = ("win_amd64", "macosx_14_0_arm64", "macosx_14_0_x86_64")
PYTHONS = ("3.11", "3.12", "3.13")
SOURCE_ALONE = ("PyOpenGL==3.1.0",)  # which pyrender 0.1.45 asks for


def dependencies() -> list[str]:
    """What the program itself needs, and what exports for phones need, as pyproject.toml names it."""
    project = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [*project["dependencies"], *project["optional-dependencies"]["usd"]]


def pip(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run pip and return how it ended."""
    return subprocess.run([sys.executable, "-m", "pip", *arguments], capture_output=True, text=True, check=False)


def main() -> int:
    """Print a line for each platform and version, and return 1 if one has no wheel for something."""
    with tempfile.TemporaryDirectory() as folder:
        built = pip("wheel", "--quiet", "--no-deps", "--wheel-dir", folder, *SOURCE_ALONE)
        wheels = [each.name for each in Path(folder).iterdir()]
        if built.returncode or not all(each.endswith("-none-any.whl") for each in wheels):
            sys.stdout.write(f"{', '.join(SOURCE_ALONE)}: {built.stderr.strip() or wheels}\n")
            return 1
        failed = 0
        for platform, python in itertools.product(PLATFORMS, PYTHONS):
            only = ("--only-binary=:all:", "--platform", platform, "--python-version", python)
            where = ("--find-links", folder, "--target", f"{folder}/none")
            ran = pip("install", "--dry-run", "--ignore-installed", *only, *where, *dependencies())
            failed |= ran.returncode != 0
            told = "wheels for all" if ran.returncode == 0 else ran.stderr.strip()
            sys.stdout.write(f"{platform}, Python {python}: {told}\n")
            sys.stdout.flush()
    return failed


if __name__ == "__main__":
    sys.exit(main())
