"""The pages that variants are chosen by, read back as PDF: words, sizes, labels, order; any number of variants."""

import re
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from compare_pictures import eye
from glyphs import outside, overlapping, smallest_size
from hypothesis import assume
from hypothesis import strategies as st
from paper_scenes import ASKEW, PLAIN, laid
from pdf_reading import page_texts

from preview.errors import SceneError
from preview.paper.compare.compare_pages import A4, LETTER, NOTE, grouped
from preview.paper.compare.compare_sheet import Comparison, compare_pdf, lined_picture
from preview.paper.compare.sheet_text import READABLE, text_block
from preview.paper.compare.trade_off import choice_text, few_numbers, trade_offs
from preview.paper.compare.view_marks import view_marks
from preview.scene.job import Center
from preview.steps import lay_jobs
from tests.strategies import checked, rooms

INCH = 0.0254
BASE = PLAIN.split("[[variants]]")[0]
CHANGES = (
    'floor.center = { opening = "archway" }',
    'floor.board_width = "5 in"',
    'wood.species = "walnut"',
    'floor.pattern = "chevron"',
    "border.width = 0",
)


def chosen(count, scene=BASE):
    variants = [f'[[variants]]\nname = "Variant {n}"\n{each}\n' for n, each in enumerate(CHANGES[: count - 1])]
    return laid(scene + "".join(variants))


def made(floors, views=1, size=(400, 250), shade=128):
    return compare_pdf(Comparison(floors, [[eye(each, size, shade=shade) for each in floors] for _ in range(views)]))


def squeezed(text):
    """A text without white space, however its lines are broken."""
    return re.sub(r"[\s\u200b]", "", text)


def assert_readable(data, size=None):
    """On every page: no letter on another, none off the page, none smaller than what can be read."""
    document = pypdfium2.PdfDocument(data)
    for page in document:
        if size:
            assert page.get_size() == pytest.approx(size, abs=0.5)
        assert not overlapping(page)
        assert not outside(page)
        assert smallest_size(page) > READABLE - 0.15  # of what is inked, rounded to a hundredth of a point
    return document


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize(("units", "size"), [("in", LETTER), ("mm", A4)])
def test_two_or_three_variants_stand_on_one_page(count, units, size):
    scene = BASE if units == "in" else re.sub(r"\b(\d+)\b", lambda each: str(round(int(each[1]) * 25.4)), BASE)
    scene = scene.replace('units = "in"', f'units = "{units}"').replace(f"run = {round(90 * 25.4)}", "run = 90")
    scene = scene.replace(f"wall = {round(25.4)}", "wall = 1")
    floors = chosen(count, scene)
    assert len(assert_readable(made(floors), size)) == 1


def test_more_variants_stand_on_further_pages_each_with_the_base():
    assert [grouped(count) for count in (1, 2, 3, 4)] == [[[0]], [[0, 1]], [[0, 1, 2]], [[0, 1, 2], [0, 3]]]
    assert grouped(6) == [[0, 1, 2], [0, 3, 4], [0, 5]]
    floors = chosen(6)
    pages = page_texts(made(floors))
    assert len(pages) == 3
    for text, group in zip(pages, grouped(6), strict=True):
        for number, floor in enumerate(floors):
            assert (floor.job.variant in text) == (number in group)


def test_the_printed_words_are_what_differs():
    floors = chosen(3)
    aspects = trade_offs(floors)
    text = squeezed(page_texts(made(floors))[0])
    said = [floors[0].job.title, choice_text(floors, aspects), NOTE, *(each.job.variant for each in floors)]
    said += [f"{each}." for aspect in aspects for each in aspect.said]
    said += [words for each in few_numbers(floors, aspects) for words in (each.label, *each.values)]
    said += [
        '20" apart',
        "both in line",
        "straight in from the archway",
        "where courses meet in “As drawn”",
        "15'",
        "12'",
    ]
    for words in said:
        assert squeezed(words) in text, words
    assert "Waste" not in text and "Boardstocut" not in text
    places = [text.index(squeezed(each)) for each in ("Plain room", "The choice", "As drawn", '20" apart')]
    assert places == sorted(places)


def test_a_choice_of_woods_shows_no_lines():
    floors = laid(BASE + '[[variants]]\nname = "Dark"\nwood.stain = "dark"\n')
    text = page_texts(made(floors))[0]
    assert "dark stain" in text and "no stain" in text
    assert "apart" not in text and "middle of the pattern" not in text


def test_a_page_says_what_its_pictures_have_in_common():
    floors = laid(BASE + '[[variants]]\nname = "Blue"\npaint.walls = "dark blue"\n')
    assert "the same camera; where light or paint differ, each is exposed for its own." in page_texts(made(floors))[0]
    assert "the same camera and exposure, in the same light." in page_texts(made(chosen(2)))[0]


def test_further_viewpoints_stand_on_further_pages():
    floors = chosen(2)
    document = assert_readable(made(floors, views=4), LETTER)
    assert len(document) == 3
    assert all("Variant 0" in each for each in page_texts(made(floors, views=4)))


def test_no_view_from_eye_level_leaves_the_plans():
    floors = chosen(2)
    data = compare_pdf(Comparison(floors, []))
    assert len(assert_readable(data, LETTER)) == 1
    assert "15'" in page_texts(data)[0]


HOSTILE = '*bold* _it_ #panic("no") $x$ [[y]] @z <b> `q` \\ ~ // "'


def test_what_people_wrote_is_text():
    floors = chosen(2)
    jobs = [
        replace(each.job, title=f"Title {HOSTILE}", variant=f"{name} {HOSTILE}")
        for name, each in zip(("First", "Second"), floors, strict=True)
    ]
    floors = [replace(each, job=job) for each, job in zip(floors, jobs, strict=True)]
    data = made(floors)
    document = pypdfium2.PdfDocument(data)
    assert document.is_tagged() and document.get_metadata_dict()["Title"] == jobs[0].title
    text = squeezed(page_texts(data)[0])
    for words in (jobs[0].title, *(job.variant for job in jobs)):
        assert squeezed(words) in text


def test_very_long_names_are_told_in_full_and_nothing_runs_over():
    floors = chosen(3)
    long = "a rather long name of a variant that somebody has written to say all of it at once " * 2 + "x" * 90
    floors = [replace(each, job=replace(each.job, variant=f"{n} {long}")) for n, each in enumerate(floors)]
    data = made(floors)
    assert_readable(data)
    assert squeezed(f"2 {long}") in squeezed(page_texts(data)[0])


def test_the_same_input_gives_the_same_bytes():
    floors = chosen(3)
    assert made(floors) == made(floors)


def test_lines_of_text_fit_their_width():
    for words in ("one two three four five six", "x" * 200, '8" off the middle of the hall archway', "של שלום"):
        block = text_block(words, 10, 60)
        assert squeezed("".join(block.lines)) == squeezed(words)
        assert block.height == pytest.approx(len(block.lines) * 12)
    assert text_block("one two three four five six", 10, 60, most=1).lines[0].endswith("…")


def test_a_picture_with_its_lines_keeps_its_size():
    floor = chosen(2)[0]
    picture = eye(floor, (800, 500))
    lined = lined_picture(picture, view_marks(picture, floor, "archway"))
    assert lined.shape == picture.rgb.shape
    changed = (np.abs(lined.astype(int) - picture.rgb).max(axis=-1) > 20).mean()
    assert 0.002 < changed < 0.1


@st.composite
def variants(draw):
    """A room of any kind, and one or two floors in it that lie or look otherwise."""
    job = replace(draw(rooms()), title="A room with a name of its own", units=draw(st.sampled_from(["in", "mm", "m"])))
    x0, y0 = np.array(job.room.corners).min(0)
    place = (float(x0 + draw(st.floats(0.6, 2.0))), float(y0 + draw(st.floats(0.6, 2.0))))
    moved = replace(job, variant="Moved", floor=replace(job.floor, center=Center("point", point=place)))
    wider = replace(job, variant="In wider boards", floor=replace(job.floor, board_width=5 * INCH, board_length=None))
    return [job, moved, wider][: draw(st.integers(2, 3))]


@checked(4, 40, variants(), st.sampled_from([20, 128, 230]))
def test_pages_of_any_room_can_be_read(jobs, shade):
    try:
        floors = lay_jobs(jobs)
    except SceneError:
        assume(False)
    assert_readable(made(floors, size=(160, 100), shade=shade))


def test_a_room_out_of_square_can_be_read():
    floors = laid(ASKEW + '[[variants]]\nname = "On the door"\nfloor.center = { opening = "Flurtür" }\n')
    assert_readable(made(floors), A4)
