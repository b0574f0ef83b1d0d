"""A logo is what the file is, not what it is called; it starts no other program and fetches nothing."""

import base64
import io
import subprocess

import pytest
from PIL import Image

from preview.paper.quote import logo, svg_drawing
from preview.paper.quote.logo import small_logo

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 200 50">{}</svg>'
BAR = '<rect x="10" y="10" width="180" height="30" fill="{}"/>'
EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n0 0 10 10 rectfill\nshowpage\n"


def picture(kind, size=(50, 20)):
    content = io.BytesIO()
    Image.new("RGB", size, (20, 60, 200)).save(content, kind)
    return content.getvalue()


def read(tmp_path, name, content):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    made, trouble = small_logo(path)
    assert (made is None) == bool(trouble)
    return Image.open(io.BytesIO(made)) if made else trouble


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("name", ["logo.png", "logo.eps", "logo"])
def test_a_picture_is_read_whatever_it_is_called(tmp_path, kind, name):
    made = read(tmp_path, name, picture(kind, (1800, 720)))
    assert made.format == "PNG" and made.size == (900, 360)
    assert made.convert("RGB").getpixel((450, 180)) == pytest.approx((20, 60, 200), abs=3)


@pytest.mark.parametrize("name", ["logo.svg", "logo.png"])
def test_an_svg_is_drawn_and_cut_to_what_it_shows(tmp_path, name):
    made = read(tmp_path, name, SVG.format(BAR.format("#143cc8")))
    assert made.size == (810, 135)  # 180 x 30 of 200 x 50, drawn 900 wide
    assert made.getpixel((400, 60)) == (20, 60, 200, 255)


def test_an_svg_with_a_document_type_its_own_gradient_and_a_link(tmp_path):
    written = SVG.format(
        '<linearGradient id="g"><stop stop-color="&c;"/></linearGradient><style>.a { fill: url(#g) }</style>'
        '<a xlink:href="https://example.test/"><rect class="a" x="10" y="10" width="180" height="30"/></a>'
    )
    written = f'<!DOCTYPE svg [<!ENTITY c "#143cc8">]>{written}'
    assert read(tmp_path, "logo.svg", written).getpixel((400, 60)) == (20, 60, 200, 255)
    inside = base64.b64encode(picture("PNG")).decode()
    held = f'<image width="50" height="20" xlink:href="data:image/png;base64,{inside}"/>'
    assert read(tmp_path, "logo.svg", SVG.format(held)).convert("RGB").getpixel((9, 9)) == (20, 60, 200)


@pytest.mark.parametrize("name", ["logo.eps", "logo.png", "logo.svg", "logo.jpg"])
def test_postscript_is_refused_and_starts_no_program(tmp_path, name, monkeypatch):
    def start(*arguments, **options):
        raise AssertionError(f"a program was started: {arguments}")

    for way in ("Popen", "run", "call", "check_call", "check_output"):
        monkeypatch.setattr(subprocess, way, start)
    assert "neither PNG, JPEG nor SVG" in read(tmp_path, name, EPS)
    tiff_preview = b"\xc5\xd0\xd3\xc6" + (30).to_bytes(4, "little") + len(EPS).to_bytes(4, "little") + bytes(18)
    assert "neither PNG, JPEG nor SVG" in read(tmp_path, name, tiff_preview + EPS)


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "WEBP", "PDF", "PPM"])
def test_other_kinds_are_refused_whatever_they_are_called(tmp_path, kind):
    assert "neither PNG, JPEG nor SVG" in read(tmp_path, "logo.png", picture(kind))


@pytest.mark.parametrize(
    "drawing",
    [
        '<image xlink:href="http://127.0.0.1:9/logo.png" width="50" height="20"/>',
        '<image href="//127.0.0.1:9/logo.png" width="50" height="20"/>',
        '<image href="beside.png" width="50" height="20"/>',
        '<image href="file:///etc/hostname" width="50" height="20"/>',
        '<image href="data:image/svg+xml;base64,PHN2Zy8+" width="50" height="20"/>',
        '<use href="other.svg#mark"/>',
        '<style>@import url("http://127.0.0.1:9/a.css");</style>',
        "<style>@import 'a.css';</style>",
        '<rect width="9" height="9" style="fill: url( \'http://127.0.0.1:9/a.svg#g\' )"/>',
        '<rect width="9" height="9" fill="URL(a.svg#g)"/>',
    ],
)
def test_an_svg_that_draws_on_anything_outside_itself_is_refused(tmp_path, drawing):
    (tmp_path / "beside.png").write_bytes(picture("PNG"))
    words = read(tmp_path, "logo.svg", SVG.format(BAR.format("red") + drawing))
    assert "an SVG that draws on something outside itself" in words


def test_entities_neither_fetch_nor_grow(tmp_path):
    secret = tmp_path / "secret.txt"
    secret.write_text("secret")
    drawn = BAR.format("red") + "<text y='20'>&c;</text>"
    fetching = f'<!DOCTYPE svg [<!ENTITY c SYSTEM "{secret.as_uri()}">]>' + SVG.format(drawn)
    assert "the logo is left out" in read(tmp_path, "logo.svg", fetching)
    tens = "".join(f'<!ENTITY a{n} "' + 10 * f"&a{n - 1};" + '">' for n in range(1, 10))
    growing = f'<!DOCTYPE svg [<!ENTITY a0 "some words">{tens}]>' + SVG.format(drawn.replace("&c;", "&a9;"))
    assert "the logo is left out" in read(tmp_path, "logo.svg", growing)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "neither PNG, JPEG nor SVG"),
        (picture("PNG")[:60], "a damaged PNG"),
        (picture("JPEG")[:200], "a damaged JPEG"),
        ("<html/>", "neither PNG, JPEG nor SVG"),
        (SVG.format(""), "an SVG that shows nothing"),
        (SVG.format("<g>" * 5000 + "</g>" * 5000), "left out"),
    ],
)
def test_what_is_damaged_is_told(tmp_path, content, told):
    assert told in read(tmp_path, "logo.svg", content)


def test_what_is_no_file_or_too_large_is_told(tmp_path, monkeypatch):
    assert "there is no such logo" in small_logo(tmp_path / "none.png")[1]
    assert "not a file" in small_logo(tmp_path)[1]
    monkeypatch.setattr(logo, "MOST_BYTES", 10)
    assert "the logo is left out (over 0 MB)" in read(tmp_path, "logo.png", picture("PNG"))
    monkeypatch.undo()
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 100)
    assert "too many pixels" in read(tmp_path, "logo.png", picture("PNG"))


@pytest.mark.parametrize(
    "size", ['width="90mm" height="99999999999mm"', 'viewBox="0 0 9000 1"', 'viewBox="0 0 1 9000"']
)
def test_an_svg_as_thin_as_a_line_is_left_out_in_words(tmp_path, size, capfd):
    """The typesetter's drawing of it has no pixel: it panicked, which is no exception of Python's."""
    content = f'<svg xmlns="http://www.w3.org/2000/svg" {size}><rect width="9" height="9"/></svg>'
    assert "(a damaged SVG)" in read(tmp_path, "thin.svg", content)
    assert "panicked" not in capfd.readouterr().err


def test_an_svg_that_takes_too_long_is_left_out_in_words(tmp_path, monkeypatch):
    monkeypatch.setattr(svg_drawing, "SECONDS", 2)
    turbulent = '<filter id="f"><feTurbulence numOctaves="99999999" baseFrequency="1"/></filter>'
    drawing = SVG.format(turbulent + '<rect width="90" height="9" filter="url(#f)"/>')
    assert "(an SVG that takes too long to draw)" in read(tmp_path, "slow.svg", drawing)
