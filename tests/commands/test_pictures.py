"""render, compare and demo, run as a user runs them; small pictures of a small room."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from running import SMALL, in_a_process, preview

SIZE = "160x100"


@pytest.fixture
def scene(tmp_path):
    path = tmp_path / "box room.toml"
    path.write_text(SMALL)
    return path


def test_render_draws_all_variants_from_all_viewpoints(scene, tmp_path):
    ran = in_a_process("render", scene, "--size", SIZE, "--out", tmp_path / "out")
    assert ran.returncode == 0, ran.stderr.decode()
    paths = ran.stdout.decode().splitlines()
    names = sorted(each.name for each in (tmp_path / "out").iterdir())
    assert sorted(Path(path).name for path in paths) == names
    assert "box-room--as-drawn--from-the-archway.png" in names
    assert "box-room--on-the-archway--plan.png" in names
    for path in paths:
        with Image.open(path) as image:
            assert image.size == (160, 100) or (path.endswith("--plan.png") and 60 < image.width <= 160)


def test_a_room_without_windows_is_not_drawn_black(scene, tmp_path):
    """The floor is drawn at its own lightness by lamps, and the user is told; nothing else is said."""
    door, _, rest = SMALL.partition('[[openings]]\nname = "window"')
    scene.write_text(door + rest[rest.index("[floor]") : rest.index("[[variants]]")])
    ran = in_a_process("render", scene, "--viewpoint", "plan", "--size", SIZE, "--out", tmp_path / "out")
    assert ran.returncode == 0 and ran.stderr.decode().startswith("preview: the scene has no window")
    assert "Warning" not in ran.stderr.decode()
    with Image.open(ran.stdout.decode().strip()) as image:
        red, green, blue = image.convert("RGB").getpixel((80, 50))
    assert 110 < red < 240 and red > green > blue > 60


def test_render_one_and_say_where_it_is(scene, tmp_path):
    wanted = ("--variant", "On the archway", "--viewpoint", "From the archway")
    ran = preview("render", scene, *wanted, "--size", SIZE, folder=tmp_path)
    assert ran.returncode == 0, ran.stderr.decode()
    assert ran.stdout.decode().split() == ["previews/box-room--on-the-archway--from-the-archway.png"]
    with Image.open(tmp_path / ran.stdout.decode().strip()) as image:
        assert image.info["Variant"] == "On the archway" and image.info["Viewpoint"] == "from the archway"


def test_a_pale_floor_beside_a_black_one_is_not_bleached(scene, tmp_path):
    """It is drawn no brighter than where it is the scene's own, though the room is metered on a black floor."""
    ash = 'species = "ash"\nstain = "white"'
    room = SMALL.split("[[variants]]")[0]
    black = room.replace('species = "white oak"', 'species = "ash"\nstain = "black"')
    shown = {}
    for name, text in (
        ("as-drawn", room.replace('species = "white oak"', ash)),
        ("pale", f'{black}[[variants]]\nname = "Pale"\nwood.stain = "white"\n'),
    ):
        scene.write_text(text)
        wanted = ("--viewpoint", "from the archway", "--variant", name.replace("-", " "), "--size", SIZE)
        assert preview("render", scene, *wanted, "--out", tmp_path).returncode == 0
        with Image.open(tmp_path / f"box-room--{name}--from-the-archway.png") as image:
            shown[name] = np.asarray(image.convert("L"), float)[70:]
    assert shown["pale"].mean() == pytest.approx(shown["as-drawn"].mean(), abs=3)
    assert shown["pale"].std() > 0.9 * shown["as-drawn"].std()


def test_a_variant_looks_the_same_alone_as_beside_the_others(scene, tmp_path):
    """Darker wood is not drawn brighter for being drawn alone: the base scene's exposure holds."""
    scene.write_text(SMALL.split("[[variants]]")[0] + '[[variants]]\nname = "Dark"\nwood.stain = "black"\n')
    wanted = ("--viewpoint", "from the archway", "--size", SIZE, "--out")
    for out, extra in (("all", ()), ("one", ("--variant", "Dark"))):
        assert preview("render", scene, *wanted, tmp_path / out, *extra).returncode == 0
    name = "box-room--dark--from-the-archway.png"
    assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "all" / name).read_bytes()
    assert [each.name for each in (tmp_path / "one").iterdir()] == [name]


def test_compare_makes_one_sheet(scene, tmp_path):
    out = tmp_path / "sheet.png"
    ran = preview("compare", "-", "--size", SIZE, "--viewpoint", "plan", "--out", out, given=SMALL.encode())
    assert ran.returncode == 0, ran.stderr.decode()
    assert ran.stdout.decode().strip() == str(out)
    with Image.open(out) as image:
        assert image.width > 320
    assert sorted(each.name for each in tmp_path.iterdir()) == ["box room.toml", "sheet.png"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--viewpoint", "from the archwy"], 'did you mean "from the archway"?'),
        (["--size", "1600"], "write width x height in pixels, such as 1600x1000"),
        (["--size", "99999x10"], "each side must be from 16 to 8192"),
        (["--variant", "nobody"], 'no variant is called "nobody"'),
    ],
)
@pytest.mark.parametrize("command", ["render", "compare"])
def test_wrong_use_is_told_before_any_work(scene, tmp_path, command, arguments, told):
    ran = preview(command, scene, *arguments, folder=tmp_path)
    assert ran.returncode == 2
    assert told in ran.stderr.decode()
    assert [each.name for each in tmp_path.iterdir()] == [scene.name]


@pytest.mark.parametrize("command", ["render", "compare"])
def test_a_folder_that_cant_be_written_is_told_before_any_work(scene, tmp_path, command):
    """The folder's name is taken by a file, which no user may write into, root included."""
    (tmp_path / "taken").write_text("")
    out = tmp_path / "taken" / "x.png" if command == "compare" else tmp_path / "taken"
    ran = in_a_process(command, scene, "--out", out, PYOPENGL_PLATFORM="none-such")
    assert ran.returncode == 2
    assert "can't be used as a folder for the results" in ran.stderr.decode()
    assert (tmp_path / "taken").read_text() == ""


def test_compare_goes_by_the_ending(scene, tmp_path):
    for out, told in ((tmp_path / "a.docx", "does not end in .png or .pdf"), (tmp_path, "is a folder")):
        ran = preview("compare", scene, "--out", out)
        assert ran.returncode == 2 and told in ran.stderr.decode()


def test_compare_as_pages_and_as_a_cross_fade(scene, tmp_path):
    for name, begins in (("a.pdf", b"%PDF"), ("b.webp", b"RIFF"), ("c.GIF", b"GIF89a")):
        wanted = ("--size", SIZE, "--viewpoint", "from the archway", "--out", tmp_path / name)
        ran = preview("compare", scene, *wanted)
        assert ran.returncode == 0, ran.stderr.decode()
        assert (tmp_path / name).read_bytes().startswith(begins)
    ran = preview("compare", scene, "--variant", "As drawn", "--out", tmp_path / "d.gif")
    assert ran.returncode == 2 and "name two with --variant" in ran.stderr.decode()


def test_demo_does_the_main_job(tmp_path):
    ran = in_a_process("demo", "--out", tmp_path / "shown", "--size", SIZE)
    assert ran.returncode == 0, ran.stderr.decode()
    names = {each.name for each in (tmp_path / "shown").iterdir()}
    assert {"dining-room--compare.png", "dining-room--on-the-room--plan.svg"} <= names
    assert all(str(tmp_path / "shown" / name) in ran.stdout.decode() for name in names)
