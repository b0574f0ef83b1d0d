"""What is not finished is taken back, and what dead runs left is deleted; what a living run holds is not."""

import errno
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from preview.errors import UsageError
from preview.files import write_whole
from preview.unfinished import PART, Unfinished, scratch_folder, sweep

HOLDS = """
import sys, time
from pathlib import Path
from preview.unfinished import Unfinished, scratch_folder
with Unfinished() as work, scratch_folder() as scratch:
    work.folders(Path(sys.argv[1]) / "new")
    file, part = work.part(Path(sys.argv[1]) / "a.pdf")
    (scratch / "half").write_bytes(b"half")
    print(flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def temporary(tmp_path, monkeypatch):
    """A folder for temporary files."""
    folder = tmp_path / "tmp"
    folder.mkdir()
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setattr(tempfile, "tempdir", None)
    return folder


def test_a_living_run_s_are_left_alone_and_a_killed_one_s_deleted(tmp_path, temporary):
    place = tmp_path / "out"
    place.mkdir()
    other = place / ".a.pdf.part"
    other.write_bytes(b"someone else's")
    run = subprocess.Popen(
        [sys.executable, "-c", HOLDS, str(place)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=Path.cwd()
    )
    assert run.stdout.readline() == b"\n"
    parts, scratches = list(place.glob(".a.pdf.h*.part")), list(temporary.iterdir())
    assert len(parts) == len(scratches) == 1
    with scratch_folder():
        write_whole(place / "b.pdf", b"b")
    assert parts[0].exists() and (scratches[0] / "half").exists()
    run.kill()
    run.communicate()
    with scratch_folder():
        write_whole(place / "b.pdf", b"b")
    assert sorted(each.name for each in place.iterdir()) == [".a.pdf.part", "b.pdf", "new"]
    assert list(temporary.iterdir()) == []


def test_a_link_with_such_a_name_is_not_followed(tmp_path):
    target = tmp_path / "target"
    target.write_bytes(b"kept")
    (tmp_path / ".a.herringbone-preview-abcdefgh.part").symlink_to(target)
    os.mkfifo(tmp_path / ".b.herringbone-preview-abcdefgh.part")
    sweep(tmp_path, PART)
    assert target.read_bytes() == b"kept"


def test_taken_back_in_turn_unless_finished(tmp_path):
    with pytest.raises(KeyboardInterrupt), Unfinished() as work:
        work.folders(tmp_path / "a" / "b")
        work.part(tmp_path / "a" / "b" / "c.pdf")[0].close()
        raise KeyboardInterrupt
    assert list(tmp_path.iterdir()) == []


def test_a_full_place_for_temporary_files_is_named(temporary):
    with pytest.raises(UsageError) as told, scratch_folder():
        raise OSError(errno.ENOSPC, "No space left on device")
    assert str(told.value) == (
        f"{temporary}: can't be written (no space left on device); make space there, or name another folder for "
        "temporary files in the environment variable TMPDIR"
    )
    assert list(temporary.iterdir()) == []
