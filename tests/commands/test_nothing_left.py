"""A command that was refused, or failed, leaves no folder behind."""

from pathlib import Path

import pytest
from running import SMALL, listing

IN_A_WALL = '[[viewpoints]]\nname = "stuck"\nat = [-40, 10]\nlook = "center"\n'


@pytest.mark.parametrize("where", ["deep/new", "previews"])
@pytest.mark.parametrize("name", ["render", "compare", "quote", "options"])
def test_a_viewpoint_in_a_wall_leaves_no_folder(run, name, where):
    Path("room.toml").write_text(f"{SMALL}\n{IN_A_WALL}")
    arguments = {
        "render": ("render", "room.toml", "--out", where),
        "compare": ("compare", "room.toml", "--out", f"{where}/a.png"),
        "quote": ("quote", "room.toml", "--out", f"{where}/a.pdf"),
        "options": ("options", "room.toml", "--keep", "border", "--keep", "width", "--pictures", f"{where}/a.png"),
    }[name]
    status, _, error = run(*arguments)
    assert status == 2 and "stuck" in error
    assert listing() == ["room.toml"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("lay", "none.toml", "--out", "new/a.svg"),
        ("lay", "room.toml", "--variant", "none", "--out", "new/a.svg"),
        ("render", "room.toml", "--viewpoint", "none", "--out", "new/deep"),
        ("compare", "room.toml", "--out", "new/a.docx"),
        ("compare", "room.toml", "--variant", "As drawn", "--out", "new/a.gif"),
        ("options", "room.toml", "--choose", "9999", "--keep", "border", "--keep", "width", "--save", "new/a.toml"),
        ("options", "room.toml", "--save", "new/a.toml", "--pictures", "new/a.gif"),
        ("quote", "room.toml", "--out", "new/a.doc"),
        ("quote", "room.toml", "--details", "none.toml", "--out", "new/a.pdf"),
        ("card", "room.toml", "--out", "new/a.png"),
        ("materials", "--swatches", "new/a.gif"),
        ("materials", "--materials", "none", "--swatches", "new/a.png"),
        ("demo", "--size", "9", "--out", "new"),
        ("new", "new/a.toml", "--wall", "E 4 m", "--wall", "N 3 m"),
        ("new", "new/a.toml", "--board-width", "wide"),
    ],
)  # fmt: skip
def test_whatever_is_refused_leaves_no_folder(run, arguments):
    status, _, error = run(*arguments)
    assert status == 2 and "preview: " in error
    assert listing() == ["room.toml"]


def test_a_picture_that_can_not_be_drawn_leaves_no_folder(run, monkeypatch):
    from preview import cached_pictures
    from preview.errors import RenderError
    from preview.picture import draw

    def broken(*arguments, **options):
        raise RenderError("no picture can be drawn")

    monkeypatch.setattr(draw.Engine, "draw", broken)
    monkeypatch.setattr(cached_pictures, "cache_folder", lambda kind: None)
    for arguments in (
        ("render", "room.toml", "--size", "64x40", "--out", "new/deep"),
        ("compare", "room.toml", "--size", "64x40", "--out", "new/deep/a.png"),
        ("quote", "room.toml", "--size", "64x40", "--out", "new/deep/a.pdf"),
    ):
        assert run(*arguments)[0] == 1
        assert listing() == ["room.toml"]


def test_what_was_finished_before_a_fault_stays_and_is_said(run, monkeypatch):
    """The second picture can't be drawn; the chosen layout is saved before its picture can't be drawn."""
    from preview.errors import RenderError
    from preview.picture import draw

    drawn = draw.Engine.draw
    left = [1]

    def once(*arguments, **options):
        if not left:
            raise RenderError("no picture can be drawn")
        left.pop()
        return drawn(*arguments, **options)

    monkeypatch.setattr(draw.Engine, "draw", once)
    status, said, error = run("render", "room.toml", "--size", "64x40", "--viewpoint", "plan", "--out", "new")
    one = "new/room--as-drawn--plan.png"
    assert (status, said) == (1, f"{one}\n") and listing() == ["new", one, "room.toml"]
    assert error == (
        "preview: not all is done: 1 file is finished and stays, as listed\npreview: no picture can be drawn\n"
    )
    arguments = ("--keep", "border", "--keep", "width", "--choose", "2", "--save", "a.toml", "--pictures", "a.png")
    status, said, error = run("options", "room.toml", *arguments, "--size", "64x40")
    assert status == 1 and said.endswith("a.toml\n") and "1 file is finished and stays, as listed" in error
    assert listing() == ["a.toml", "new", one, "room.toml"]
