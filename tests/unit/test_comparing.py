"""What a comparison shows: pieces that differ, lines in true perspective, words, strips, pages, dissolves."""

import io
import re
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pypdfium2
import pytest
from paper_scenes import PLAIN, laid
from pdf_reading import page_texts
from PIL import Image

from preview.floor.differing import differing
from preview.floor.laid import LaidFloor
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.paper.compare.compare_pictures import TALLEST_OF_TWO, compare_pictures
from preview.paper.compare.compare_sheet import NOTE, Comparison, PictureRow, compare_pdf, compare_sheet, how_to_read
from preview.paper.compare.compare_words import compare_words
from preview.paper.compare.difference import difference_band, difference_strip
from preview.paper.compare.dissolve import dissolve
from preview.paper.compare.line_marks import CENTRE, SIGHT, floor_lines, mark_lines
from preview.paper.compare.plan_picture import MARKED_LEFT, MARKED_RIGHT, plan_picture
from preview.paper.words.compare_rows import compared
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.scene.job import Center, Sun

INCH = 0.0254
SIZE = (400, 250)


@pytest.fixture(scope="module")
def floors():
    return laid(PLAIN)


def moved(floor, inches):
    """The same boards, the centre line moved to the right."""
    place = float(floor.layout.center_line[0, 0]) + inches * INCH
    choice = replace(
        floor.job.floor, center=Center("point", point=(place, 0.0)), board_length=floor.layout.board.length
    )
    job = replace(floor.job, floor=choice, variant=f"moved {inches}")
    return LaidFloor(job, floor.room, lay_floor(floor.room, job))


def eye(floor, depth=None):
    """A grey picture from the archway; floor as far as one sees, or what `depth` says."""
    opening = floor.room.opening("archway")
    position = np.array([*opening.middle, 1.6])
    target = np.array([*(opening.middle + 4 * opening.inward), 0.6])
    camera = Camera("eye", position, target, np.array([0.0, 0.0, 1.0]), np.radians(60), 0.0, SIZE)
    rgb = np.full((SIZE[1], SIZE[0], 3), 128, np.uint8)
    far = np.full((SIZE[1], SIZE[0]), 100.0, np.float32) if depth is None else depth
    return Picture(camera, "Plain room", "x", rgb, np.zeros((0, 0, 3), np.float32), far)


def colour(name):
    return np.array([int(name[at : at + 2], 16) for at in (1, 3, 5)])


def near(pixels, name, off=70):
    return np.abs(pixels.astype(int) - colour(name)).max(axis=-1) < off


def test_pieces_that_differ_by_looking_at_each(floors):
    """Each piece against the other layout's piece of its place: there, and cut to the same area?"""
    base = floors[0]
    layout = moved(base, 1.5).layout
    told = differing(layout, base.layout)
    assert told.same_boards
    for number in range(len(layout.pieces)):
        if layout.pieces.role[number] != Role.BOARD:
            assert not told.pieces[number]
            continue
        areas = []
        for each in (layout, base.layout):
            same = (each.pieces.role == Role.BOARD) & (each.pieces.key == layout.pieces.key[number]).all(axis=1)
            areas.append(sum(polygon.area for polygon in each.pieces.polygons[same]))
        assert told.pieces[number] == (areas[1] == 0 or abs(areas[0] - areas[1]) > 1e-4)
    assert 0 < told.pieces.sum() < 0.5 * len(layout.pieces)
    assert not differing(base.layout, base.layout).pieces.any()


def test_boards_of_another_size_mark_the_last_pieces(floors):
    job = replace(floors[0].job, floor=replace(floors[0].job.floor, board_width=5 * INCH))
    layout = lay_floor(floors[0].room, job)
    told = differing(layout, floors[0].layout)
    courses = set(layout.pieces.course[told.pieces].tolist())
    assert not told.same_boards
    assert courses == {0, int(layout.pieces.course.max())}
    assert not layout.pieces.whole[told.pieces].any()


def test_lines_are_where_the_camera_sees_them(floors):
    """Of points on each line that are in the picture the pixel is the line's colour, whatever the perspective."""
    floor = floors[0]
    picture = eye(floor)
    marked = mark_lines(picture, floor.room, floor.layout, "in")
    (lines,) = floor_lines(floor.room, floor.layout)
    assert lines.sight[:, 0] == pytest.approx([70 * INCH] * 2)
    assert lines.centre[:, 0] == pytest.approx([90 * INCH] * 2)
    assert lines.sight[1, 1] == pytest.approx(144 * INCH)
    for line, ink in ((lines.sight, SIGHT), (lines.centre, CENTRE)):
        hits = tried = 0
        for share in np.linspace(0.3, 0.95, 60):
            point = line[0] + share * (line[1] - line[0])
            x, y = np.floor(picture.camera.project(np.array([[*point, 0.0]]))[0]).astype(int)
            if 3 < x < SIZE[0] - 3 and 3 < y < SIZE[1] - 3:
                tried += 1
                hits += near(marked[y - 2 : y + 3, x - 2 : x + 3], ink).any()
        assert tried > 15
        assert hits > (0.95 if ink == SIGHT else 0.55) * tried
    assert not near(picture.rgb, SIGHT).any()


def test_what_stands_before_the_floor_hides_the_lines(floors):
    floor = floors[0]
    near_wall = np.full((SIZE[1], SIZE[0]), 0.5, np.float32)
    assert mark_lines(eye(floor, near_wall), floor.room, floor.layout, "in") is None
    half = np.full((SIZE[1], SIZE[0]), 100.0, np.float32)
    half[:, : SIZE[0] // 2 + 20] = 0.5
    marked = mark_lines(eye(floor, half), floor.room, floor.layout, "in")
    assert not near(marked, SIGHT).any() and near(marked, CENTRE).any()


def test_words_of_a_customer(floors):
    base = floors[0]
    other = moved(base, 1.5)
    said = compare_words(other, base)
    for wall in ("East wall", "West wall"):
        assert any(each.startswith(f"{wall}: ") and " instead of " in each for each in said)
    assert compare_words(base, base) == ()
    wider = replace(other.job, floor=replace(other.job.floor, board_width=5 * INCH))
    said = compare_words(LaidFloor(wider, base.room, lay_floor(base.room, wider)), other)
    assert said[0] == 'The boards are 1" wider.'


def test_a_plan_marks_what_differs(floors):
    base = floors[0]
    plain = plan_picture(base, None, (500, 400))
    marked = plan_picture(moved(base, 1.5), base.layout, (500, 400))
    found = near(marked, MARKED_LEFT, 25) | near(marked, MARKED_RIGHT, 25)
    assert found.sum() > 200
    assert not (near(plain, MARKED_LEFT, 25) | near(plain, MARKED_RIGHT, 25)).any()
    assert near(marked, SIGHT).any() and near(marked, CENTRE, 90).any()


def test_a_strip_shows_where_pictures_differ():
    first = np.full((200, 100, 3), 120, np.uint8)
    second = first.copy()
    second[90:140, 40:60] = 220
    low, high = difference_band([first, second])
    assert (low, high) == (90, 140)
    strip = difference_strip(first, second, (low, high))
    assert near(strip[:, 40:60], "#d1342f", 5).all()
    assert np.ptp(strip[:, :40], axis=2).max() == 0
    low, high = difference_band([first, first])
    assert high - low == 36


def test_rows_of_a_comparison(floors):
    rows = compare_pictures(floors, [[eye(floors[0]), replace(eye(floors[0]), variant="y")]])
    captions = [row.caption for row in rows]
    assert (
        captions[0].startswith("the plan: red the sight line")
        and "orange the last pieces left and right" in captions[0]
    )
    assert captions[1] == "eye" and captions[2].startswith("eye: red the sight line")
    assert captions[3] == "eye: red where it differs from “x”"
    assert all(len({image.shape for image in row.images}) == 1 for row in rows)


def test_pages_of_a_pdf(floors):
    picture = np.full((250, 400, 3), 90, np.uint8)
    rows = [PictureRow(f"view {number}", [picture, picture]) for number in range(5)]
    words = [("The last board on the left is 3 in longer.",), ()]
    data = compare_pdf(Comparison(floors, rows, words))
    document = pypdfium2.PdfDocument(data)
    assert len(document) > 1
    for page in range(len(document)):
        assert document[page].get_size() == pytest.approx((792, 612), abs=0.5)
    assert document.get_metadata_dict()["Title"] == "Plain room"
    for page in range(1, len(document)):  # the names stand on every page, over a rule as wide as each column
        shown = np.asarray(document[page].render(scale=2).to_pil().convert("L"))
        assert (shown[:100] < 100).mean(axis=1).max() > 0.7
    dark = sum(
        int((np.asarray(document[page].render(scale=2).to_pil().convert("L")) < 100).sum())
        for page in range(len(document))
    )
    full = 10 * 250 * 400 * ((792 - 2 * 34) * 2 / (2 * 400 + 36)) ** 2
    assert 0.95 * full / 1.5**2 < dark < 1.05 * full
    assert data == compare_pdf(Comparison(floors, rows, words))


def held(floors, views, count):
    """Variants compared: words, a plan, and `views` rows of pictures clean and with their lines, all of usual size."""
    shown = [floors[0], *(floors[1] for _ in range(count - 1))]
    tallest = 1000 * TALLEST_OF_TWO if count == 2 else 1000
    plan, eye_view = (np.full((int(tall), 1000, 3), 90, np.uint8) for tall in (tallest, 625))
    rows = [
        PictureRow("the plan", [plan] * count),
        *(PictureRow(f"view {number}", [eye_view] * count) for number in range(2 * views)),
    ]
    words = [tuple(f"Sentence {number} of what is otherwise in this one." for number in range(8))] * count
    return Comparison(shown, rows, words)


@pytest.mark.parametrize("views", [1, 2, 3])
@pytest.mark.parametrize("count", [2, 3, 4])
def test_pages_of_a_comparison_are_filled(floors, views, count):
    """All that the sheet has is on the pages, and none but the last leaves 30 % of its height empty at one place."""
    made = held(floors, views, count)
    pages = [
        np.asarray(each.render(scale=1).to_pil().convert("L")) for each in pypdfium2.PdfDocument(compare_pdf(made))
    ]
    for page in pages[:-1]:
        inked = np.flatnonzero((page < 235).any(axis=1))
        assert np.diff([0, *inked, len(page)]).max() < 0.3 * len(page)
    sheet = np.asarray(Image.open(io.BytesIO(compare_sheet(made))).convert("L"))
    dark = sum((page < 100).sum() / page.shape[1] ** 2 for page in pages)
    shown = dark / ((sheet < 100).sum() / sheet.shape[1] ** 2)
    assert (
        1 / 1.5**2 < shown < (sheet.shape[1] / (sheet.shape[1] - 140)) ** 2
    )  # the same, smaller or between less margin


HOSTILE = '*bold* _it_ #panic("no") $x$ [[y]] @z <b> `q` \\ ~ // "'


def test_the_words_of_a_comparison_are_text(floors):
    """Title, names, choice, what differs, captions and numbers are read back; markup in them is nothing but letters."""
    base = replace(floors[0], job=replace(floors[0].job, title=f"Title {HOSTILE}", variant=f"First {HOSTILE}"))
    other = moved(floors[0], 1.5)
    other = replace(
        other, job=replace(other.job, variant=f"Second {HOSTILE}", wood=replace(other.job.wood, stain="dark"))
    )
    picture = np.full((250, 400, 3), 90, np.uint8)
    rows = [PictureRow(f"view {number} {HOSTILE}", [picture] * 2) for number in range(3)]
    words = [(), compare_words(other, base)]
    data = compare_pdf(Comparison([base, other], rows, words, (f"The choice {HOSTILE}.",)))
    document = pypdfium2.PdfDocument(data)
    assert document.is_tagged() and document.get_metadata_dict()["Title"] == base.job.title
    pages = page_texts(data)
    for name in ("First", "Second"):
        assert all(squeezed(f"{name} {HOSTILE}") in squeezed(each) for each in pages)
    numbers = compared([base, other])
    said = [base.job.title, f"The choice {HOSTILE}.", *words[1], NOTE, *(row.caption for row in rows)]
    said += [text for each in numbers if each.differs for text in (each.label, *each.values)]
    said += [f"{each.label.lower()} {each.values[0]}" for each in numbers if not each.differs]
    whole = squeezed(" ".join(pages))
    assert len(words[1]) > 1 and len(said) > 15
    for text in said:
        assert squeezed(text) in whole, text


def squeezed(text):
    """A text without white space, however its lines are broken."""
    return re.sub(r"[\s\u200b]", "", text)


@pytest.mark.parametrize("suffix", [".apng", ".gif", ".webp"])
def test_one_melts_into_the_other(suffix):
    first, second = (np.full((100, 160, 3), shade, np.uint8) for shade in (40, 200))
    image = Image.open(io.BytesIO(dissolve((first, second), ("A", "B"), suffix)))
    assert image.n_frames >= 20 and image.info["loop"] == 0
    shades, times = [], []
    for number in range(image.n_frames):
        image.seek(number)
        image.load()
        shades.append(int(np.asarray(image.convert("RGB"))[10, 80].mean()))
        times.append(image.info["duration"])
    assert shades[0] == pytest.approx(40, abs=4) and max(shades) == pytest.approx(200, abs=4)
    top = shades.index(max(shades))
    assert shades[: top + 1] == sorted(shades[: top + 1]) and shades[top:] == sorted(shades[top:], reverse=True)
    assert max(times) >= 1500 and min(times) < 200


def test_wide_pictures_are_brought_down():
    wide = np.zeros((500, 2000, 3), np.uint8)
    assert Image.open(io.BytesIO(dissolve((wide, wide + 9), ("A", "B"), ".webp"))).size == (1200, 300)


def test_wider_boards_with_full_triangles_are_no_difference_at_that_end(floors):
    floor = floors[0]
    job = replace(floor.job, floor=replace(floor.job.floor, board_width=5 * INCH))
    layout = lay_floor(floor.room, job)
    said = compare_words(LaidFloor(job, floor.room, layout), floor)
    assert 'The boards are 1" wider' in said[0]
    assert not any("full triangles" in each for each in said)


def test_the_heading_tells_no_light_that_is_not_there(floors):
    job = floors[1].job
    assert not any(each.kind == "window" for each in job.openings)  # drawn in lamplight
    assert how_to_read(Comparison(floors, [])) == (
        "Each row is one viewpoint: the same camera and exposure, in the same light."
    )
    sun = Sun(51.5, -0.1, datetime(2026, 10, 14, 16, tzinfo=UTC))
    lit = replace(job, light=replace(job.light, sky="clear", sun=sun))
    assert "the same camera; where light or paint differ, each picture is exposed for its own." in how_to_read(
        Comparison([floors[0], replace(floors[1], job=lit)], [])
    )
