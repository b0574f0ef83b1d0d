"""Every slip gets one plain message: file, line, key, what was found, what is accepted.

The cases are the edits in `bad_scenes`: each is made, the scene is read and its room is built.
"""

import pytest
from bad_scenes import EDITS, NO_TEXT
from good_scene import GOOD

from preview.errors import SceneError
from preview.room.measured import build_room
from preview.scene import load_scene, read_scene


def build(text):
    for job in read_scene(text, "study.toml"):
        build_room(job)


def test_the_good_scene_is_good():
    build(GOOD)


@pytest.mark.parametrize(("edit", "message"), [case[1:] for case in EDITS], ids=[case[0] for case in EDITS])
def test_a_slip_is_named_with_its_place_and_a_way_out(edit, message):
    old, new = edit
    assert GOOD.count(old) == 1, f"the edit is not of one place: {old}"
    with pytest.raises(SceneError) as caught:
        build(GOOD.replace(old, new))
    separator = ", " if message.startswith("line") else ": "
    assert str(caught.value) == f"study.toml{separator}{message}"
    assert caught.value.exit_code == 2


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\x89PNG\r\n\x1a\n\x00", f", line 1: {NO_TEXT}"),
        (b'title = "a"\nunits = "\xff"', f", line 2: {NO_TEXT}"),
        (GOOD.encode("utf-16"), ": text in UTF-16; save the scene as plain text in UTF-8"),
        (b"a = " + b"[" * 100_000, ", line 1: brackets nested hundreds deep; write a scene's tables and arrays"),
        (b"x" * 10_000_000, ": a file of 10.0 MB; a scene is a short text, of 1 MB at most"),
        (b"a = " + b"9" * 5000, ", line 1: a number too long to be read; shorten the very long number"),
        (b"", ': units: no "units"; add units = "in", "ft", "mm", "cm" or "m", before the first table'),
    ],
    ids=["a picture", "a stray byte", "UTF-16", "brackets", "10 MB", "digits", "empty"],
)
def test_junk_is_refused_in_plain_words(tmp_path, content, message):
    path = tmp_path / "room.toml"
    path.write_bytes(content)
    with pytest.raises(SceneError) as caught:
        load_scene(path)
    assert str(caught.value) == f"{path}{message}"


def test_a_folder_and_a_missing_file_are_named(tmp_path):
    (tmp_path / "kitchen.toml").touch()
    with pytest.raises(SceneError) as caught:
        load_scene(tmp_path)
    assert str(caught.value) == f"{tmp_path}: this is a folder; give a scene file in it, such as room.toml"
    missing = tmp_path / "kitchn.toml"
    with pytest.raises(SceneError) as caught:
        load_scene(missing)
    assert str(caught.value) == f'{missing}: there is no such file; did you mean "kitchen.toml"?'


def test_marks_and_line_ends_of_other_systems_do_no_harm(tmp_path):
    path = tmp_path / "room.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert [job.variant for job in load_scene(path)] == ["As drawn", "On the door", "Wide boards"]
    assert load_scene(path)[0].lines == read_scene(GOOD, "room.toml")[0].lines
