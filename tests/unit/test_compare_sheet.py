"""The sheet of variants: what differs is told, what is the same is told once, pictures stand in their columns."""

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from compare_pictures import eye
from paper_scenes import PLAIN, laid
from PIL import Image, ImageDraw

from preview.fonts import font, shortened
from preview.paper.compare.compare_sheet import Comparison, compare_sheet
from preview.paper.words.compare_rows import compared


@pytest.fixture(scope="module")
def floors():
    return laid(PLAIN)


def sheet(floors, size=(500, 320)):
    red, blue = (np.full((size[1], size[0], 3), colour, np.uint8) for colour in ((200, 0, 0), (0, 0, 200)))
    views = [[replace(eye(floor, size), rgb=blue if number else red) for number, floor in enumerate(floors)]]
    data = compare_sheet(Comparison(floors, views))
    return Image.open(io.BytesIO(data)), data


def test_numbers_that_differ_are_marked(floors):
    lines = {line.label: line for line in compared(floors)}
    assert lines["Centre line"].values == (
        "in the middle of the field",
        '20" off the middle, towards the west wall (wall 4)',
    )
    assert lines["Centre line"].differs and not lines["Wood"].differs


def test_each_picture_stands_in_its_column(floors):
    """The same picture twice, with its lines and clean, and nothing else of its colour in the other's column."""
    image, _ = sheet(floors)
    pixels = np.asarray(image.convert("RGB")).astype(int)
    red, blue = (np.abs(pixels - colour).max(axis=-1) < 3 for colour in ((200, 0, 0), (0, 0, 200)))
    assert red.mean() > 0.1 and blue.mean() == pytest.approx(red.mean(), rel=0.05)
    assert np.flatnonzero(red.any(0)).max() < np.flatnonzero(blue.any(0)).min()
    assert (red.any(1) == blue.any(1)).mean() > 0.99


def test_it_says_what_it_is(floors):
    image, data = sheet(floors)
    assert b"sRGB" in data[:200]
    assert image.info["Title"] == "Plain room"
    assert "On the archway" in image.info["Description"]


def test_same_input_same_bytes(floors):
    assert sheet(floors)[1] == sheet(floors)[1]


@pytest.mark.parametrize("count", [1, 6, pytest.param(30, marks=pytest.mark.slow)])
def test_one_or_many_variants(floors, count):
    image, _ = sheet((floors * 15)[:count])
    assert image.width == 2200 and image.height == 1700 * max(1, -(-(count - 1) // 2))


def test_accents_have_letters():
    """Each of these draws something else than the box of a missing letter."""
    face = font(40)
    missing = face.getmask("\ufffe").getbbox(), bytes(face.getmask("\ufffe"))
    for letter in "éüñøłœ½′″×°–’“ЖΩ":
        assert (face.getmask(letter).getbbox(), bytes(face.getmask(letter))) != missing, letter


@pytest.mark.parametrize("weight", ["Regular", "Semibold", "It"])
def test_names_from_right_to_left_have_letters_and_their_order(weight):
    """A word of two letters begins at its right; letters of the typeface stay where Pillow has them."""
    face = font(40, weight)

    def inked(text, anchor="la"):
        page = Image.new("L", (400, 100))
        ImageDraw.Draw(page).text((150, 40), text, font=face, fill=255, anchor=anchor)
        return np.asarray(page) > 128

    box = inked("\ufffe")
    for text in ("שלום", "كوخ"):
        assert 60 < face.getlength(text) < 120
        assert not all((inked(letter) == box).all() for letter in text)
        left, top, right, bottom = face.getbbox(text)
        rows, columns = np.nonzero(inked(text))
        assert (columns.min(), columns.max()) == pytest.approx((150 + left, 150 + right - 1), abs=2)
        assert (rows.min(), rows.max()) == pytest.approx((40 + top, 40 + bottom - 1), abs=2)
    first = np.nonzero(inked("ש"))[1]
    word = np.nonzero(inked("של"))[1]
    assert word.max() - word.min() > first.max() - first.min() + 5
    last = int(first.max() - first.min())
    assert (inked("של")[:, word.max() - last : word.max() + 1].sum()) == pytest.approx(len(first), rel=0.1)
    for anchor in ("la", "lm", "ms", "rs"):  # the Latin letters beside them stand on the same line as alone
        plain, mixed = (np.nonzero(inked(text, anchor)[:, :]) for text in ("hxh", "hxh ש"))
        assert plain[0].max() == pytest.approx(mixed[0].max(), abs=1)


def test_a_name_too_long_for_its_line_is_cut():
    face = font(20)
    assert shortened("on  the archway", face, 1000) == "on the archway"
    for name in ("a rather long name of a variant that goes on", "x" * 500):
        line = shortened(name, face, 150)
        assert line.endswith("…") and 100 < face.getlength(line) <= 150
    assert Path(face.path).name.startswith("SourceSansPro")


def test_a_variant_that_differs_in_finish_or_grade_alone_is_told_apart(floors):
    floor = floors[0]
    oiled = replace(floor.job, wood=replace(floor.job.wood, finish="oil matt", grade="rustic"))
    lines = {line.label: line for line in compared([floor, replace(floor, job=oiled)]) if line.differs}
    assert lines["Finish"].values == (
        "satin water-borne finish",
        "matt oil finish; border satin water-borne finish",
    )
    assert lines["Grade"].values == ("select", "rustic; border select")
    assert set(lines) == {"Finish", "Grade"}
