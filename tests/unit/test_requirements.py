"""What pyproject.toml asks for: its bounds agree, and each has a lowest release for `python -m tests.oldest` to try."""

import subprocess
import sys

import pytest

from tests import oldest


def test_what_is_installed_agrees():
    """As pip sees it, of everything in this environment: releases, and libraries for this machine."""
    ran = subprocess.run([sys.executable, "-m", "pip", "check"], capture_output=True, text=True, timeout=120)
    assert ran.returncode == 0, ran.stdout + ran.stderr


def test_every_dependency_of_the_program_has_a_lowest_release():
    first, *_ = oldest.dependencies()
    assert first == "numpy==2"


def test_a_dependency_without_one_is_refused():
    assert oldest.lowest("trimesh>=4.5") == "trimesh==4.5" and oldest.lowest("a-b.c==0.1.45") == "a-b.c==0.1.45"
    assert oldest.lowest("typer>=0.26,<0.29") == "typer==0.26"
    for endless in ("rich", "rich<14"):
        with pytest.raises(ValueError, match="write name>=release"):
            oldest.lowest(endless)
