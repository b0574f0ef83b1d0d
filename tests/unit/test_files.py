"""Files are written whole or not at all, under plain names that differ."""

import pytest

from preview.errors import UsageError
from preview.files import picture_names, slug, writable_folder, write_whole


def test_written_whole(tmp_path):
    path = write_whole(tmp_path / "a.svg", b"new")
    assert path.read_bytes() == b"new"
    assert [each.name for each in tmp_path.iterdir()] == ["a.svg"]


def test_failure_leaves_the_old_file_and_nothing_else(tmp_path):
    old = tmp_path / "a.svg"
    old.write_bytes(b"old")
    with pytest.raises(TypeError):
        write_whole(old, "not bytes")
    assert old.read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["a.svg"]


def test_a_missing_folder_is_told(tmp_path):
    with pytest.raises(UsageError, match="can't be written"):
        write_whole(tmp_path / "none" / "a.svg", b"")
    with pytest.raises(UsageError, match="can't be written"):
        write_whole(tmp_path, b"")


def test_a_folder_is_made(tmp_path):
    assert writable_folder(tmp_path / "a" / "b").is_dir()


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "a").write_text("")
    with pytest.raises(UsageError, match="can't be used as a folder"):
        writable_folder(tmp_path / "a")
    with pytest.raises(UsageError, match="can't be used as a folder"):
        writable_folder(tmp_path / "a" / "b")


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("On the archway", "on-the-archway"),
        ("Küche & Erker", "kuche-erker"),
        ("../../etc/passwd", "etc-passwd"),
        ("4″ × 20″", "4-20"),
        ("كوخ", "كوخ"),
        ("🙂", "untitled"),
        ("", "untitled"),
        ("a" * 200, "a" * 60),
    ],
)
def test_slugs(text, plain):
    assert slug(text) == plain


def test_names_never_fall_together():
    rows = [("room", "A b"), ("room", "a-B"), ("room", "a b 2"), ("room", "A  B")]
    names = picture_names(rows, ".png")
    assert names == ["room--a-b.png", "room--a-b-2.png", "room--a-b-2-2.png", "room--a-b-3.png"]
