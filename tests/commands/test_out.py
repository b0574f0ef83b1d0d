"""Where every command that writes may write: a plain file or a new name, never over what it reads."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from running import ROOT, SCENES, SMALL, WALKED, listing

FEW = ("--keep", "border", "--keep", "width")
WRITERS = {
    "lay": ("lay", "room.toml", "--format", "svg", "--out", "{}.svg"),
    "compare": ("compare", "room.toml", "--size", "64x40", "--viewpoint", "plan", "--out", "{}.png"),
    "options": ("options", "room.toml", "--pictures", "{}.png"),
    "options, saved": ("options", "room.toml", *FEW, "--choose", "2", "--save", "{}.toml"),
    "quote": ("quote", "room.toml", "--size", "64x40", "--out", "{}.pdf"),
    "card": ("card", "room.toml", "--out", "{}.dxf"),
    "materials": ("materials", "--swatches", "{}.png"),
}  # fmt: skip
QUICK = ("lay", "options, saved", "card")


def command(name, stem):
    return [each.format(stem) for each in WRITERS[name]]


def out(name, stem):
    return Path(command(name, stem)[-1])


@pytest.mark.parametrize("name", WRITERS)
def test_what_is_no_file_is_refused_before_any_work(run, name):
    path = out(name, "out")
    for make, told in (
        (lambda: path.mkdir(), "this is a folder; name a file in it, such as out"),
        (lambda: os.mkfifo(path), "this is a pipe, not a file"),
        (lambda: path.symlink_to("/dev/null"), "this is a device, not a file"),
        (lambda: (path.write_text("old"), path.chmod(0o444)), "this file is read-only"),
    ):
        make()
        before = os.lstat(path)
        status, said, error = run(*command(name, "out"))
        assert (status, said) == (2, "") and told in error, error
        assert os.lstat(path).st_ino == before.st_ino and listing() == sorted([str(path), "room.toml"])
        path.rmdir() if path.is_dir() else path.unlink()
    assert Path("/dev/null").is_char_device()


@pytest.mark.parametrize("name", QUICK)
def test_a_link_is_followed_and_stays(run, name):
    Path("real").mkdir()
    target, link = Path("real") / out(name, "a").name, out(name, "out")
    target.write_text("old")
    link.symlink_to(target)
    status, _, error = run(*command(name, "out"))
    assert status == 0, error
    assert link.is_symlink() and len(target.read_bytes()) > 200
    assert listing() == sorted(["room.toml", "real", str(link), str(target)])


def test_a_scene_that_is_a_link_is_added_to(run):
    Path("real.toml").write_text(Path("room.toml").read_text())
    Path("link.toml").symlink_to("real.toml")
    wanted = ("--keep", "border", "--keep", "width", "--choose", "2", "--save", "link.toml")
    assert run("options", "link.toml", *wanted)[0] == 0
    assert Path("link.toml").is_symlink() and Path("real.toml").read_text().startswith(SMALL.rstrip())
    Path("real.toml").chmod(0o444)
    before = Path("real.toml").read_bytes()
    status, _, error = run("options", "link.toml", *wanted)
    assert status == 2 and "link.toml: this file is read-only" in error
    assert Path("real.toml").read_bytes() == before


@pytest.mark.parametrize("name", ["lay", "options"])
def test_the_scene_is_not_written_over(run, name):
    arguments = command(name, "out")
    arguments[1] = "out.svg" if name == "lay" else "out.png"
    Path(arguments[1]).write_text(SMALL)
    status, _, error = run(*arguments)
    assert status == 2 and "this is the file that is read; name another for the result" in error
    assert Path(arguments[1]).read_text() == SMALL


def test_two_results_do_not_share_a_file(run):
    status, _, error = run("options", "room.toml", "--save", "a.png", "--pictures", "./a.png")
    assert status == 2 and "is also the file of --save" in error and listing() == ["room.toml"]


def test_new_writes_through_a_link_and_leaves_what_is_there(run):
    Path("link.toml").symlink_to("study.toml")
    status, _, error = run("new", "link.toml", *WALKED)
    assert status == 0, error
    assert Path("link.toml").is_symlink() and "Study" in Path("study.toml").read_text()
    os.mkfifo("pipe.toml")
    for taken in ("link.toml", "pipe.toml", "room.toml", "."):
        status, _, error = run("new", taken, *WALKED)
        assert status == 2 and "this file exists already" in error


def test_pictures_do_not_replace_what_is_no_file(run):
    Path("shown").mkdir()
    taken = Path("shown/room--on-the-archway--plan.png")
    os.mkfifo(taken)
    status, said, error = run("render", "room.toml", "--viewpoint", "plan", "--size", "64x40", "--out", "shown")
    assert (status, said) == (2, "") and "this is a pipe, not a file" in error
    assert list(Path("shown").iterdir()) == [taken]
    demo = Path("shown/dining-room--compare.png")
    demo.symlink_to("/dev/null")
    status, said, error = run("demo", "--size", "64x40", "--out", "shown")
    assert (status, said) == (2, "") and "this is a device, not a file" in error
    assert sorted(Path("shown").iterdir()) == [demo, taken]


@pytest.mark.skipif(sys.platform == "win32", reason="a folder in use can't be deleted there")
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("card", SCENES / "study.toml"), "the folder that this runs in is gone; go to one that exists"),
        (("live", "--no-browser"), "a new room can't be saved in this folder; go to one that you may write to"),
    ],
)
def test_in_a_folder_that_is_gone_it_is_said_so(tmp_path, arguments, words):
    (tmp_path / "gone").mkdir()
    leave = 'cd "$1" && rmdir "$1" && shift && exec "$@"'
    started = ("sh", "-c", leave, "sh", tmp_path / "gone", sys.executable, "-m", "preview", *arguments)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    ran = subprocess.run(started, capture_output=True, env=environment, timeout=60, check=False)
    assert (ran.returncode, ran.stdout, ran.stderr.decode()) == (2, b"", f"preview: {words}\n")
