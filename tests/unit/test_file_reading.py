"""What a user names is read only where it is a regular file, and none too large: nothing hangs or fills the memory."""

import os
import socket
import sys

import pytest

from preview.errors import SceneError
from preview.file_reading import NoFile, TooLarge, file_content
from preview.paper.quote.firm_details import load_details
from preview.paper.quote.logo import small_logo
from preview.scene import load_scene

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="pipes and devices have names on POSIX alone")


@pytest.fixture(params=["a folder", "a pipe", "a socket", "a device"])
def no_file(request, tmp_path, monkeypatch):
    path = tmp_path / "thing.toml"
    if request.param == "a folder":
        path.mkdir()
    elif request.param == "a pipe":
        os.mkfifo(path)
    elif request.param == "a socket":
        monkeypatch.chdir(tmp_path)  # the name of a socket is short
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    else:
        path.symlink_to("/dev/zero")
    return path, request.param


@POSIX
def test_what_is_no_file_is_said_to_be_none(no_file, monkeypatch):
    monkeypatch.chdir(no_file[0].parent)
    path, kind = no_file
    inside = " in it" if kind == "a folder" else ""
    with pytest.raises(NoFile, match=f"^this is {kind}$"):
        file_content(path, 10)
    with pytest.raises(SceneError) as found:
        load_scene(path)
    assert str(found.value) == f"{path}: this is {kind}; give a scene file{inside}, such as room.toml"
    with pytest.raises(SceneError, match=f"this is {kind}; give a details file{inside}"):
        load_details(path)
    assert small_logo(path) == (None, f"{path}: the logo is left out (not a file); {small_logo.__globals__['REMEDY']}")


@POSIX
def test_materials_that_are_no_files(no_file, monkeypatch):
    monkeypatch.chdir(no_file[0].parent)
    path, kind = no_file
    with pytest.raises(SceneError, match=f"thing.toml: this is {kind}"):
        load_scene("room.toml", 'units = "m"', materials=path.parent)


def test_the_size_is_asked_before_anything_is_read(tmp_path):
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(10**12)  # of which no block is there
    with pytest.raises(TooLarge) as found:
        file_content(path, 10**6)
    assert found.value.size == 10**12
    with pytest.raises(SceneError, match=r"a file of 1000000.0 MB; a scene is a short text, of 1 MB at most"):
        load_scene(path)


def test_a_link_is_followed(tmp_path):
    (tmp_path / "a.txt").write_bytes(b"ten bytes.")
    (tmp_path / "b.txt").symlink_to("a.txt")
    assert file_content(tmp_path / "b.txt", 10) == b"ten bytes."
    with pytest.raises(TooLarge):
        file_content(tmp_path / "b.txt", 9)
