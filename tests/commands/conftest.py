"""The command line run in this process, for tests of what is refused before any work."""

import io
import sys
from pathlib import Path

import pytest
from running import SMALL

from preview import cli


@pytest.fixture
def run(tmp_path, monkeypatch, capsys):
    """Return what runs the command line in a folder that holds a scene, and gives its exit status and what it said."""
    monkeypatch.chdir(tmp_path)
    Path("room.toml").write_text(SMALL)

    def run(*arguments):
        monkeypatch.setattr(sys, "stdin", io.StringIO())
        monkeypatch.setattr(sys, "argv", ["preview", *map(str, arguments)])
        try:
            cli.main()
            status = 0
        except SystemExit as stop:
            status = stop.code or 0
        said = capsys.readouterr()
        return status, said.out, said.err

    return run
