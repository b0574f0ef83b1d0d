"""Files are written whole or not at all, under plain names that differ."""

import errno
import os
import re
import socket
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preview.errors import UsageError
from preview.files import check_file, check_folder, distinct_slugs, slug, write_whole


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


def test_a_missing_folder_is_made_with_the_file(tmp_path):
    assert write_whole(tmp_path / "a" / "b" / "a.svg", b"new").read_bytes() == b"new"


def test_a_failure_takes_the_folders_made_for_it_away_again(tmp_path):
    (tmp_path / "there").mkdir()
    with pytest.raises(TypeError):
        write_whole(tmp_path / "there" / "a" / "b" / "a.svg", "not bytes")
    assert list(tmp_path.rglob("*")) == [tmp_path / "there"]


def test_a_full_disk_leaves_all_as_it_was(tmp_path, monkeypatch):
    def full(handle):
        raise OSError(errno.ENOSPC, "No space left on device")

    old = tmp_path / "a.svg"
    old.write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", full)
    for path in (old, tmp_path / "b" / "a.svg"):
        with pytest.raises(UsageError, match=r"a.svg: can't be written \(no space left on device\)"):
            write_whole(path, b"new")
    assert old.read_bytes() == b"old" and list(tmp_path.rglob("*")) == [old]


def as_it_is(path):
    """What stands there, all but when it was last looked at: following a link counts as looking."""
    found = os.lstat(path)
    return found.st_mode, found.st_ino, found.st_nlink, found.st_size, found.st_mtime_ns, found.st_ctime_ns


def socket_at(path):
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(path))


@pytest.mark.parametrize("linked", [False, True])
@pytest.mark.parametrize(
    ("make", "told"),
    [
        (Path.mkdir, "this is a folder; name a file in it, such as"),
        (os.mkfifo, "this is a pipe, not a file; name a file, or a new name"),
        (socket_at, "this is a socket, not a file; name a file, or a new name"),
        (lambda path: path.symlink_to("/dev/null"), "this is a device, not a file; name a file, or a new name"),
    ],
    ids=["folder", "pipe", "socket", "device"],
)
def test_what_is_no_file_is_left_alone(tmp_path, monkeypatch, make, told, linked):
    monkeypatch.chdir(tmp_path)  # a socket's path must be short
    make(Path("thing"))
    if linked:
        Path("link").symlink_to("thing")
    path = Path("link" if linked else "thing")
    before = [as_it_is(each) for each in sorted(tmp_path.iterdir())]
    for attempt in (check_file, lambda path: write_whole(path, b"new")):
        with pytest.raises(UsageError, match=re.escape(told)):
            attempt(path)
    assert [as_it_is(each) for each in sorted(tmp_path.iterdir())] == before


def test_the_null_device_is_no_file():
    with pytest.raises(UsageError, match="/dev/null: this is a device, not a file"):
        check_file(Path("/dev/null"))


@pytest.mark.parametrize("mode", [0o444, 0o400, 0o000, 0o464])
def test_a_read_only_file_is_left_alone_by_a_superuser_too(tmp_path, mode):
    """A superuser's opening it for writing would not fail, so the mode says whether its owner means it to change."""
    path = tmp_path / "a.svg"
    path.write_bytes(b"old")
    path.chmod(mode)
    with pytest.raises(UsageError, match="this file is read-only; name another, or allow writing to it first"):
        write_whole(path, b"new")
    path.chmod(0o644)
    assert path.read_bytes() == b"old" and list(tmp_path.iterdir()) == [path]


def test_what_can_not_be_opened_for_writing_is_left_alone(tmp_path, monkeypatch):
    """Stands for a read-only file system and an immutable file, which no test can make."""
    path = tmp_path / "a.svg"
    path.write_bytes(b"old")
    opened = os.open

    def refuse(name, flags, *rest, **options):
        if Path(name) == path and flags & os.O_WRONLY:
            raise OSError(errno.EROFS, "Read-only file system")
        return opened(name, flags, *rest, **options)

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(UsageError, match=r"can't be written \(read-only file system\)"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"


def test_a_link_is_followed_and_stays(tmp_path):
    (tmp_path / "real").mkdir()
    target, link, far = tmp_path / "real" / "a.svg", tmp_path / "link.svg", tmp_path / "far.svg"
    target.write_bytes(b"old")
    link.symlink_to("real/a.svg")
    far.symlink_to(link)
    for path, data in ((link, b"new"), (far, b"newer")):
        assert write_whole(path, data) == path
        assert target.read_bytes() == data and link.is_symlink() and far.is_symlink()
    assert [each.name for each in (tmp_path / "real").iterdir()] == ["a.svg"]


def test_a_link_to_a_new_name_makes_the_file_there(tmp_path):
    (tmp_path / "real").mkdir()
    link = tmp_path / "link.svg"
    link.symlink_to("real/a.svg")
    write_whole(link, b"new")
    assert link.is_symlink() and (tmp_path / "real" / "a.svg").read_bytes() == b"new"


def test_links_that_go_round_in_a_circle_are_told(tmp_path):
    (tmp_path / "a").symlink_to("b")
    (tmp_path / "b").symlink_to("a")
    with pytest.raises(UsageError, match="can't be written"):
        check_file(tmp_path / "a")


def test_a_file_that_is_replaced_keeps_its_permissions(tmp_path):
    path = tmp_path / "a.svg"
    path.write_bytes(b"old")
    path.chmod(0o600)
    write_whole(path, b"new")
    assert path.stat().st_mode & 0o777 == 0o600


def test_what_is_read_is_not_written_over(tmp_path):
    scene = tmp_path / "room.toml"
    scene.write_bytes(b"scene")
    (tmp_path / "link").symlink_to("room.toml")
    for path in (scene, tmp_path / "link"):
        with pytest.raises(UsageError, match="this is the file that is read; name another for the result"):
            check_file(path, read=["-", tmp_path / "none.toml", scene])
    check_file(scene)


def test_checking_makes_nothing(tmp_path):
    check_folder(tmp_path / "a" / "b")
    check_file(tmp_path / "a" / "b" / "c.svg")
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "a").write_text("")
    (tmp_path / "lost").symlink_to("lost")
    for path in (tmp_path / "a", tmp_path / "a" / "b", tmp_path / "lost"):
        with pytest.raises(UsageError, match="can't be used as a folder"):
            check_folder(path)
        with pytest.raises(UsageError, match="can't be"):
            write_whole(path / "c.svg", b"")


def test_a_name_too_long_for_the_disk_is_told(tmp_path):
    with pytest.raises(UsageError, match=r"can't be written \(file name too long\)"):
        check_file(tmp_path / f"{'a' * 300}.svg")


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


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Wide?", "wide!"),
        ("K\u00fcche", "Ku\u0308che"),
        ("caf\u00e9", "cafe"),
        ("Stra\u00dfe", "STRASSE"),
        ("\u210c", "h"),
        ("\uac00", "\u1100\u1161"),
        ("\ufb01ne", "fine"),
        ("\u0131", "I"),
        ("?", "!"),
        ("a" * 90 + "b", "a" * 90 + "c"),
        ("\u5ba2" * 70, "\u5ba2" * 80),
    ],
)
def test_names_that_would_fall_together_stay_apart(one, other):
    """On file systems that take no notice of case, or compose, too."""
    parts = list(distinct_slugs([one, other]).values())
    folded = {unicodedata.normalize("NFKD", part).casefold().upper() for part in parts}
    assert len(folded) == 2, parts


def test_names_are_told_apart_in_the_order_of_the_scene():
    assert list(distinct_slugs(["A b", "a-B", "a b 2", "A  B"]).values()) == ["a-b", "a-b-2", "a-b-2-2", "a-b-3"]


@given(st.lists(st.text(max_size=8), unique=True, max_size=6), st.text(max_size=8))
def test_names_stay_apart_and_what_comes_after_changes_nothing(names, last):
    parts = distinct_slugs(names)
    assert len({part.casefold() for part in parts.values()}) == len(names)
    if last not in names:
        assert list(distinct_slugs([*names, last]).items())[: len(names)] == list(parts.items())


def test_a_file_name_of_three_names_fits_the_disk(tmp_path):
    parts = [slug(letter * 200) for letter in "\u5ba2\u0645\U00020000"]
    path = write_whole(tmp_path / f"{'--'.join(parts)}.png", b"new")
    assert path.read_bytes() == b"new"
