"""The list of materials, and a firm's own beside the program's."""

import json

import pytest
from running import ROOT, SCENES, SMALL, in_a_process, preview


@pytest.fixture
def own(tmp_path):
    """A folder with a new species and a stain that takes the place of one of the program's."""
    folder = tmp_path / "our woods"
    folder.mkdir()
    text = (ROOT / "materials" / "walnut.toml").read_text("utf-8")
    text = text.replace('name = "walnut"', 'name = "bog oak"').replace(
        'aliases = ["black walnut"]', 'aliases = ["morta"]'
    )
    (folder / "bog-oak.toml").write_text(text, "utf-8")
    (folder / "stains.toml").write_text(
        '["grey"]\nabsorption = [0.2, 0.2, 0.2]\nscatter = 0.3\npores = 2.0\nwhat = "our own grey"\nsource = "ours"\n',
        "utf-8",
    )
    return folder


def test_the_list_in_words():
    ran = in_a_process("materials")
    assert ran.returncode == 0, ran.stderr.decode()
    text = ran.stdout.decode()
    for word in ("white oak", "teak", "quartersawn", "rustic", "limed", "oil satin", "matt wall paint", "estimate"):
        assert word in text
    assert "CIELAB 81.1, 7.2, 20" in text and "Dzurenda" in text  # what was measured, and by whom
    assert "Real wood" not in text and "real wood varies" in text


def test_the_list_as_json():
    found = json.loads(preview("materials", "--format", "json").stdout)
    assert len(found["species"]) >= 10 and set(found["cuts"]) == {"plainsawn", "riftsawn", "quartersawn"}
    assert found["species"]["birch"]["measured"]["lab"] == [81.1, 7.2, 20.0]
    assert "heartwood" in found["species"]["walnut"]["estimates"]
    assert all(table["source"] for kind in ("grades", "stains", "finishes", "paints") for table in found[kind].values())


def test_a_firm_s_own_are_listed_and_laid(own, tmp_path):
    listed = preview("materials", "--materials", own).stdout.decode()
    assert "bog oak" in listed and "our own grey" in listed and "driftwood" not in listed
    scene = tmp_path / "room.toml"
    scene.write_text(SMALL.replace('species = "white oak"', 'species = "morta"\nstain = "grey"'), "utf-8")
    refused = preview("check", scene)
    assert refused.returncode == 2 and b'"morta"' in refused.stderr
    checked, laid = (preview(command, scene, "--materials", own) for command in ("check", "lay"))
    assert checked.returncode == laid.returncode == 0, checked.stderr.decode()
    assert "bog oak" in checked.stdout.decode()


def test_a_firm_s_own_wood_is_drawn(own, tmp_path):
    from PIL import Image

    scene = tmp_path / "room.toml"
    scene.write_text(SMALL.replace('species = "white oak"', 'species = "bog oak"'), "utf-8")
    ran = preview(
        "render", scene, "--materials", own, "--variant", "As drawn", "--viewpoint", "plan", "--size", "160x120",
        "--out", tmp_path / "pictures",
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr.decode()
    with Image.open(ran.stdout.decode().strip()) as picture:
        middle = picture.getpixel((80, 60))
    assert max(middle) < 160  # as dark as walnut


@pytest.mark.parametrize(
    "arguments, words",
    [
        (("--materials", "nowhere"), "nowhere: no such folder of materials"),
        (("--materials", 300 * "x"), "xxx: no such folder of materials"),  # which no file system can be asked for
        (("--swatches", "sheet.jpg"), "--swatches: sheet.jpg does not end in .png or .pdf; name it swatches.png"),
        (("--swatches", "/proc/none/sheet.png"), "can't be used as a folder for the results"),
    ],
)
def test_what_can_t_be_done_is_said(arguments, words):
    ran = preview("materials", *arguments)
    assert ran.returncode == 2 and ran.stdout == b""
    assert words in ran.stderr.decode()


def test_a_folder_without_materials_is_no_folder_of_materials(tmp_path):
    """A folder of scenes, an empty one: said of the folder itself, whatever the command."""
    (tmp_path / "empty").mkdir()
    for folder, words in (
        (
            SCENES,
            "dining-room.toml in this folder of materials is none; name a folder that holds nothing but materials",
        ),
        (tmp_path / "empty", "there are no materials in this folder; name a folder that holds nothing but materials"),
    ):
        for command in (("materials",), ("check", SCENES / "dining-room.toml")):
            ran = preview(*command, "--materials", folder)
            assert ran.returncode == 2 and ran.stdout == b""
            assert ran.stderr.decode().startswith(f"preview: {folder}: {words}")
            assert "white-oak.toml" in ran.stderr.decode()


def test_what_is_wrong_with_a_file_is_said_with_its_name(own):
    (own / "finishes.toml").write_text('["wax"]\ngloss = 8\nior = 1.45\nkind = "oil"\n', "utf-8")
    ran = preview("materials", "--materials", own)
    assert ran.returncode == 2
    message = ran.stderr.decode()
    assert message == f'preview: {own / "finishes.toml"}, line 1: wax: no "deepening"; add deepening = 0.3\n'


def test_check_finds_a_wood_that_can_t_be_drawn(own, tmp_path):
    """The scene is right but the file of its wood is not: told before anything is drawn."""
    file = own / "bog-oak.toml"
    file.write_text(file.read_text("utf-8").replace("[rings]\nwidth_mm = 3.4", "[rings]\nwidth_mm = 0"), "utf-8")
    scene = tmp_path / "room.toml"
    scene.write_text(SMALL.replace('species = "white oak"', 'species = "bog oak"'), "utf-8")
    ran = preview("check", scene, "--materials", own)
    assert ran.returncode == 2 and ran.stdout == b""
    assert "bog-oak.toml, line 29: rings.width_mm: a width of rings in mm of 0" in ran.stderr.decode()
