"""Pictures in every format, read back by the libraries of those formats."""

import io
from xml.etree import ElementTree

import numpy as np
import OpenEXR
import pytest
from PIL import Image, ImageCms
from running import SMALL, preview

from preview.picture.picture import NATURE
from preview.scene.read import read_scene
from preview.session import draw_floors
from preview.steps import lay_jobs

SIZE = (160, 100)
TITLE = "Box & <room>"


@pytest.fixture(scope="module")
def text():
    return SMALL.replace('"Box room"', f'"{TITLE}"')


@pytest.fixture(scope="module")
def floor(text):
    return lay_jobs(read_scene(text, "room.toml")[:1])[0]


@pytest.fixture(scope="module")
def drawn(floor):
    """The picture from the archway."""
    return next(draw_floors([floor], ["from the archway"], SIZE)).picture


@pytest.fixture
def written(text, tmp_path):
    """Return a function that writes that picture in a format, and gives the file."""

    def write(form):
        (tmp_path / "room.toml").write_text(text)
        where = ("--size", "160x100", "--viewpoint", "from the archway", "--variant", "As drawn")
        ran = preview("render", tmp_path / "room.toml", *where, "--format", form, "--out", tmp_path / "out")
        assert ran.returncode == 0, ran.stderr
        (path,) = (tmp_path / "out").iterdir()
        return path

    return write


@pytest.mark.parametrize("form, ending, off", [
    ("png", ".png", 0), ("jpeg", ".jpg", 3), ("webp", ".webp", 4), ("avif", ".avif", 4), ("tiff", ".tif", 0),
])  # fmt: skip
def test_a_picture_says_what_it_shows_and_has_srgb(written, drawn, form, ending, off):
    path = written(form)
    assert path.suffix == ending
    with Image.open(path) as image:
        image.load()
        assert image.format == form.upper()
        assert np.abs(np.asarray(image.convert("RGB")).astype(int) - drawn.rgb).mean() <= off
        if form == "png":
            said, profile = str(image.text), "srgb" in image.info
        else:
            packet = image.tag_v2[700] if form == "tiff" else image.info["xmp"]
            said = "".join(ElementTree.fromstring(packet).itertext())
            inside = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
            profile = "sRGB" in ImageCms.getProfileDescription(inside)
    assert profile
    for words in (TITLE, "As drawn", "from the archway", NATURE):
        assert words in said


def test_openexr_has_linear_light_depth_and_what_is_floor(written, drawn, floor):
    file = OpenEXR.File(str(written("exr")))
    header, channels = file.header(), file.channels()
    assert (header["title"], header["variant"], header["viewpoint"]) == (TITLE, "As drawn", "from the archway")
    assert header["comments"] == NATURE and header["whiteLuminance"] == 1
    assert channels["RGB"].pixels == pytest.approx(drawn.hdr)
    assert channels["Z"].pixels == pytest.approx(drawn.depth)
    mask = channels["floor"].pixels
    assert set(np.unique(mask)) == {0, 1} and 0.2 < mask.mean() < 0.9
    middle = floor.room.field.representative_point()
    x, y = drawn.camera.project(np.array([[middle.x, middle.y, 0.0]]))[0].astype(int)
    assert mask[y, x] == 1 and mask[0, 80] == 0


def test_depth_and_rays_agree(drawn):
    """What a pixel shows projects back to its middle."""
    places = drawn.camera.places(drawn.depth)
    seen = drawn.depth > 0
    rows, columns = np.nonzero(seen)
    back = drawn.camera.project(places[seen])
    assert back == pytest.approx(np.column_stack([columns, rows]) + 0.5, abs=1e-6)


def test_an_unknown_format_is_refused_with_those_there_are(tmp_path, text):
    (tmp_path / "room.toml").write_text(text)
    ran = preview("render", tmp_path / "room.toml", "--format", "bmp", "--out", tmp_path / "out")
    assert ran.returncode == 2 and b"exr" in ran.stderr and not (tmp_path / "out").exists()
