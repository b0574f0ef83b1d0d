"""What outlives a killed server: a record is read back whole, or it is none."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from preview.errors import UsageError
from preview.live.record import new_record, read_record, record_file, write_record

UNSAVED = 'title = "Back parlour"\nunits = "in"\n' + 'room.walk = ["E 13 ft 2 in", "N ½ in"]\n' * 20


@pytest.fixture
def kept(tmp_path):
    record = replace(new_record(), port=8123, unsaved=UNSAVED, since="2026-03-01T10:00:00")
    write_record(tmp_path / "kept.json", record)
    return tmp_path / "kept.json", record


def test_a_record_is_read_back_and_for_nobody_else_to_read(kept):
    path, record = kept
    assert read_record(path) == record
    assert path.stat().st_mode & 0o077 == 0
    write_record(path, replace(record, unsaved=None))
    assert read_record(path) == replace(record, unsaved=None)
    assert path.stat().st_mode & 0o077 == 0


def test_a_damaged_record_is_none(kept):
    """Every byte changed, cut at every byte, what a disk leaves behind: never a text that nobody wrote."""
    path, _ = kept
    whole = path.read_bytes()
    damaged = [whole[:at] + bytes([whole[at] ^ 1 << at % 8]) + whole[at + 1 :] for at in range(len(whole))]
    damaged += [whole[:at] for at in range(len(whole))]
    damaged += [whole[:at] + bytes(len(whole) - at) for at in range(0, len(whole), 97)]
    damaged += [whole + whole, whole + b" ", b"\n" + whole]
    for content in damaged:
        path.write_bytes(content)
        assert read_record(path) is None


def test_a_record_without_a_digest_and_no_file_are_none(kept, tmp_path):
    path, record = kept
    path.write_text(json.dumps(asdict(record)))
    assert read_record(path) is None
    assert read_record(tmp_path / "none.json") is None


@pytest.mark.skipif(sys.platform == "win32", reason="users have homes there")
@pytest.mark.parametrize("chosen", ["", "off"])
def test_without_a_home_it_is_said_that_nothing_unsaved_can_be_kept(monkeypatch, chosen):
    for name in ("HOME", "XDG_STATE_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("PREVIEW_CACHE", chosen)
    monkeypatch.setattr(os, "getuid", lambda: 54321)  # whom the system doesn't know
    with pytest.raises(UsageError, match=r"^the user has no home folder, .* environment variable PREVIEW_CACHE$"):
        record_file(Path("room.toml"))


def test_where_it_can_not_be_written_is_said_with_a_remedy(monkeypatch, tmp_path):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path / "file"))
    with pytest.raises(UsageError, match=r"file/live/\w+\.json: can't be written \(.*, .* variable PREVIEW_CACHE$"):
        write_record(record_file(Path("room.toml")), new_record())
