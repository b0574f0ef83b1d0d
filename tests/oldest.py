"""The program with the oldest libraries that pyproject.toml allows: ``python -m tests.oldest``.

A virtual environment under a temporary folder gets the lowest release that the bound of each dependency of the program
names; what those depend on, and what the tests need, is left to pip. Unit tests and checks against outside sources run
in it. What comes after ``--`` goes to pytest in their place. It takes ten minutes, with the Python that runs it: the
oldest, 3.11, is the one to try.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
import venv
from pathlib import Path

ROOT = Path(__file__).parents[1]
TOLD = ("tests/unit", "tests/published")


def lowest(requirement: str) -> str:
    """Return a requirement of one release, the lowest that ``name>=1.2`` or ``name>=1.2,<2`` allows; one that is
    pinned stays.

    Raises:
        ValueError: it has no lowest release.
    """
    found = re.fullmatch(r"([\w.-]+)(?:>=|==)([\w.]+)(?:,<[\w.]+)?", requirement)
    if found is None:
        raise ValueError(f"{requirement}: write name>=release, or name==release")
    return f"{found[1]}=={found[2]}"


def dependencies() -> list[str]:
    """What pyproject.toml asks for: of the program each as its lowest release, of the tests as it is."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [*map(lowest, project["dependencies"]), *project["optional-dependencies"]["test"]]


def main() -> int:
    """Install, tell what was installed, run the tests and return pytest's status."""
    chosen = sys.argv[sys.argv.index("--") + 1 :] if "--" in sys.argv else [*TOLD]
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder) / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
        install = (python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check")
        if status := subprocess.call([*install, *dependencies()]):
            return status
        if status := subprocess.call([*install, "--no-deps", "--editable", str(ROOT)]):
            return status
        subprocess.call([python, "-m", "pip", "list", "--disable-pip-version-check"])
        return subprocess.call([python, "-m", "pytest", "-p", "no:cacheprovider", "-n", "auto", *chosen], cwd=ROOT)


if __name__ == "__main__":
    sys.exit(main())
