"""quote and card, run as a user runs them; small pictures of a small room."""

from pathlib import Path

import ezdxf
import pypdfium2 as pdfium
import pytest
from running import SCENES, SMALL, in_a_process, preview

SIZE = "160x100"


@pytest.fixture
def scene(tmp_path):
    path = tmp_path / "box room.toml"
    path.write_text(SMALL)
    return path


def words(path):
    return " ".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(path))


@pytest.mark.slow
def test_quote_is_the_same_when_its_pictures_are_kept(scene, tmp_path):
    """Drawn once and kept: the second run draws nothing, which a machine without graphics proves, and writes the
    same bytes."""
    details = SCENES / "orchard-house-details.toml"
    wanted = ("quote", scene, "--variant", "on the archway", "--details", details, "--size", SIZE)
    kept = {"PREVIEW_CACHE": str(tmp_path / "cache")}
    first = in_a_process(*wanted, folder=tmp_path, **kept)
    assert first.returncode == 0, first.stderr.decode()
    assert first.stdout.decode().strip() == "previews/box-room--on-the-archway--quote.pdf"
    made = (tmp_path / first.stdout.decode().strip()).read_bytes()
    text = words(tmp_path / first.stdout.decode().strip())
    assert "Example Floors" in text and "What it was compared with" in text
    # By hand: the field is 90 1/2 by 80 1/2 in, 50.6 sq ft, with 12 % for waste 56.7; the border 374 in round its outer
    # edge, 32 ft. 56.7 x 11.80 + 50.6 x 14.20 + 32 x 18 + 180, and 6.25 % of 669.06 + 576.
    assert "2,221.40 USD" in text
    assert "centred on the archway" in text
    again = in_a_process(*wanted, "--out", tmp_path / "again.pdf", **kept)
    assert again.returncode == 0, again.stderr.decode()
    assert (tmp_path / "again.pdf").read_bytes() == made


def test_a_quote_without_its_logo_says_so(scene, tmp_path):
    (tmp_path / "firm.toml").write_text('[firm]\nname = "Example Floors"\nlogo = "none.png"\n')
    ran = preview(
        "quote",
        scene,
        "--details",
        tmp_path / "firm.toml",
        "--paper",
        "a4",
        "--size",
        SIZE,
        "--out",
        tmp_path / "q.pdf",
    )
    assert ran.returncode == 0 and "there is no such logo" in ran.stderr.decode()
    assert round(pdfium.PdfDocument(tmp_path / "q.pdf")[0].get_width() * 25.4 / 72) == 210


def test_a_logo_that_makes_the_typesetter_panic_is_told_in_one_line(scene, tmp_path):
    """Its library writes to the process's standard error by itself, past Python's streams."""
    cut = '<clipPath id="c"><circle r="99999999999"/></clipPath><rect width="9" height="20" clip-path="url(#c)"/>'
    logo = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 50">{cut}</svg>'
    (tmp_path / "logo.svg").write_text(logo)
    (tmp_path / "firm.toml").write_text('[firm]\nname = "Example Floors"\nlogo = "logo.svg"\n')
    wanted = ("--details", "firm.toml", "--size", SIZE, "--out", "q.pdf")
    ran = in_a_process("quote", scene, *wanted, folder=tmp_path, RUST_BACKTRACE="0")
    assert (ran.returncode, ran.stdout) == (0, b"q.pdf\n")
    told = b"preview: logo.svg: the logo is left out (a damaged SVG)"
    assert all(line.startswith(told) for line in ran.stderr.splitlines()), ran.stderr  # another release may draw it


def test_details_that_are_wrong_are_told_before_anything_is_drawn(scene, tmp_path):
    (tmp_path / "firm.toml").write_text('[firm]\nnane = "Example Floors"\n')
    ran = preview("quote", scene, "--details", tmp_path / "firm.toml", folder=tmp_path)
    assert ran.returncode == 2
    assert ran.stderr.decode().endswith('firm.toml, line 2: firm.nane: unknown key "nane"; did you mean "name"?\n')
    assert not (tmp_path / "previews").exists()


def test_card_as_pdf_dxf_and_svg(tmp_path):
    for ending in ("pdf", "dxf", "svg"):
        out = tmp_path / f"card.{ending}"
        ran = preview("card", SCENES / "dining-room.toml", "--out", out)
        assert ran.returncode == 0, ran.stderr.decode()
        assert ran.stdout.decode().strip() == str(out)
    assert '20" from the blade' in words(tmp_path / "card.pdf")
    assert ezdxf.readfile(tmp_path / "card.dxf").query('*[layer=="chalk line"]')
    assert (tmp_path / "card.svg").read_bytes().startswith(b"<svg")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("card", "--out", "card.png"), "--out: card.png does not end in .pdf or .dxf or .svg"),
        (("quote", "--out", "quote.doc"), "--out: quote.doc does not end in .pdf"),
        (("card", "--variant", "None"), 'no variant is called "None"'),
        (("quote", "--details", "none.toml"), "none.toml: there is no such file"),
    ],
)
def test_wrong_use_is_told(scene, arguments, message):
    command, *options = arguments
    ran = preview(command, scene, *options, folder=scene.parent)
    assert ran.returncode == 2 and message in ran.stderr.decode()
    assert sorted(each.name for each in Path(scene.parent).iterdir()) == ["box room.toml"]
