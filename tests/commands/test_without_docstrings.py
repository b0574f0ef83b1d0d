"""Python told to leave docstrings out, as some set it for a whole machine: the program is the same."""

import os
import subprocess
import sys

import pytest
from running import ROOT, SCENES

from preview.docstrings import with_docstrings


@pytest.mark.parametrize(("flags", "level"), [([], "2"), (["-OO"], ""), (["-O", "-O"], "2")])
def test_help_is_all_there(flags, level):
    command = [sys.executable, *flags, "-m", "preview", "--help"]
    environment = {**os.environ, "PYTHONOPTIMIZE": level}
    said = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=environment, timeout=60, check=True)
    assert "Check a scene" in said.stdout


def test_an_error_keeps_its_status():
    environment = {**os.environ, "PYTHONOPTIMIZE": "2"}
    command = [sys.executable, "-m", "preview", "check", str(SCENES)]
    said = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=environment, timeout=60, check=False)
    assert said.returncode == 2
    assert "this is a folder" in said.stderr


def test_what_is_left_out_of_a_command_line():
    command, environment = with_docstrings(
        ["python", "-OO", "-u", "-m", "preview", "check", "-O"], {"PYTHONOPTIMIZE": "2", "HOME": "/"}
    )
    assert command == [sys.executable, "-u", "-m", "preview", "check", "-O"]
    assert environment == {"HOME": "/"}
