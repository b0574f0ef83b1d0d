"""The quote sheet, read back from its PDF."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pypdfium2 as pdfium
import pytest
from paper_scenes import ASKEW, PLAIN, laid
from pdf_reading import page_sizes, page_texts, paths
from PIL import Image

from preview.floor.layout import Role
from preview.paper.quote.agreement import agreed_rows
from preview.paper.quote.bill import bills
from preview.paper.quote.firm_details import Customer, Details, Firm
from preview.paper.quote.logo import TALLEST, WIDEST, small_logo
from preview.paper.quote.price_lines import Price
from preview.paper.quote.quote import Shown, quote_sheet
from preview.paper.typesetting import breakable

RNG = np.random.default_rng(5)
FIRM = Firm("Example Floors", ("1 Sample Street", "Exampleton"), "555-0100", "hello@floors.example")
DETAILS = Details(
    reference="OH-0042",
    date="14 October 2026",
    currency="USD",
    firm=FIRM,
    customer=Customer("Frau Ødegård-Šimková", ("Rue de l’Œuf 3",)),
    prices=(
        Price("Laying", Decimal("216.8"), "sq ft", Decimal("24.55")),
        Price("Carpet allowed for", Decimal(1), "", Decimal("-100")),
    ),
)


def picture(variant="As drawn", viewpoint="from the archway", size=(40, 64)):
    return Shown(variant, viewpoint, RNG.integers(0, 255, (*size, 3), dtype=np.uint8))


def sheet(floors, pictures=None, details=DETAILS, logo=None, paper="letter"):
    return quote_sheet(floors, pictures or [picture()], details, bills(details, floors), logo, paper)


@pytest.fixture(scope="module")
def plain():
    return laid(PLAIN)


def test_it_says_what_is_agreed_and_asks_for_signatures(plain):
    content = sheet(plain, [picture(), picture(viewpoint="plan"), picture("On the archway")])
    words = " ".join(page_texts(content))
    for part in (
        "Plain room", "As drawn", "On the archway", "Example Floors", "Frau Ødegård-Šimková", "Rue de l’Œuf 3",
        "OH-0042", "white oak", 'Centre line', "The pattern is centred on the room", '4" wide',
        'at 45° to the centre line', "the south wall (wall 1)", "Real wood varies from board to board",
        "Signature", "Date", "from the archway", "centre line of the floor",
    ):  # fmt: skip
        assert part in words, part
    assert "Scale" not in words and "Drawn to scale" in words


def test_one_grille_is_one():
    (floor,) = laid(ASKEW)
    rows = dict(agreed_rows(floor))
    assert rows["Grilles"] == "1 flush wooden grille: V1, where the plan shows it."


def test_sides_are_named_by_walls():
    _, archway = laid(PLAIN)
    rows = dict(agreed_rows(archway))
    assert rows["Centre line"] == (
        "The pattern is centred on the archway. The centre line starts in the middle of the archway and ends at the "
        "north wall (wall 3), 5' 10\" from its corner with the west wall (wall 4)."
    )
    assert "At the south wall (wall 1): full triangles." in rows["Where the boards end"]
    assert re.search(r"Along the east wall \(wall 2\).*: boards cut to ", rows["Where the boards end"])


def test_no_line_ends_within_a_length():
    """7' 2 9/16" over two lines is read as 7' or as 2 9/16"."""
    kept = breakable("7' 2 9/16\" from wall 2 (with 2 windows), 31 617 mm, 9.9 % of 12")
    assert kept == ("7'\u00a02\u00a09/16\" from wall\u00a02 (with 2 windows), 31 617\u00a0mm, 9.9\u00a0% of 12")


def test_title_language_bookmarks_tags_and_fonts(plain):
    content = sheet(plain)
    document = pdfium.PdfDocument(content)
    assert document.get_metadata_dict()["Title"] == "Plain room · As drawn"
    assert document.is_tagged()
    assert b"/Lang(en)" in content
    names = [each.get_title() for each in document.get_toc()]
    assert names[:2] == ["Plain room", "The floor"] and names[-2:] == ["Price", "Signed"]
    assert b"SourceSansPro-Regular" in content and content.count(b"/FontFile") >= 2  # embedded, not just named


@pytest.mark.parametrize(("paper", "size"), [("letter", (215.9, 279.4)), ("a4", (210.0, 297.0))])
def test_every_page_is_the_paper_asked_for(plain, paper, size):
    assert set(page_sizes(sheet(plain, paper=paper))) == {size}


def test_same_input_same_bytes(plain):
    shown = [picture()]
    assert sheet(plain, shown) == sheet(plain, shown)


def test_prices_are_added_up_as_printed(plain):
    words = " ".join(page_texts(sheet(plain)))
    assert "5,322.44 USD" in words  # 216.8 x 24.55 = 5322.44
    assert "−100.00 USD" in words and "5,222.44 USD" in words
    assert "Price" not in " ".join(page_texts(sheet(plain, details=Details())))


@pytest.mark.parametrize("scene", [PLAIN, ASKEW])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_plan_geometry_is_the_layout_at_the_stated_scale(scene, paper):
    """Every vertex of every board, border piece and grille lies where the layout has it, within 0.1 mm on paper."""
    floors = laid(scene)
    content = sheet(floors, paper=paper)
    page, text = next((n, t) for n, t in enumerate(page_texts(content)) if "Plan Drawn to scale" in t)
    scales = {"3/8\" = 1'": 32, "1/2\" = 1'": 24, "1/4\" = 1'": 48, "1:25": 25, "1:50": 50, "1:20": 20}
    ratio = next(value for name, value in scales.items() if f"scale, {name}, when" in text)
    pieces = floors[0].layout.pieces
    drawn = paths(content, page)
    leaning = np.sin(2 * (pieces.grain - floors[0].layout.run)) > 0
    board = pieces.role == Role.BOARD
    groups = [board & leaning, board & ~leaning, pieces.role == Role.BORDER, pieces.role == Role.GRILLE]
    checked, shifts = 0, []
    for group in (each for each in groups if each.any()):
        rings = [ring for p in pieces.polygons[group] for ring in (p.exterior, *p.interiors)]
        expected = np.concatenate([np.asarray(ring.coords)[:-1] for ring in rings]) * [1, -1] * 1000 / ratio
        closest = np.inf
        for each in drawn:
            # a closed ring may come back with its first point repeated
            if len(each) in (len(expected), len(expected) + len(rings)):
                points = _without_repeats(each, [len(ring.coords) - 1 for ring in rings])
                shift = points.mean(0) - expected.mean(0)
                error = float(np.abs(points - shift - expected).max())
                if error < closest:
                    closest, best = error, shift
        assert closest < 0.1, (ratio, closest)
        shifts.append(best)
        checked += len(expected)
    assert checked > 500
    assert np.ptp(shifts, axis=0).max() < 0.1  # and the groups lie true to one another


def _without_repeats(points, counts):
    if len(points) == sum(counts):
        return points
    stops = np.cumsum([0, *(count + 1 for count in counts)])
    return np.concatenate([points[a : b - 1] for a, b in itertools.pairwise(stops)])


LONG = "A very long name that goes on and on " * 5
AWKWARD = [
    LONG.strip()[:200],
    "W" * 200,
    "שלום בית הפרדס",
    "مرحبا بكم في البيت",
    "🏡 Haus 🪵🪵",
    '#evil[*x*] "$" \\ @ <b>&amp;',
    "日本の部屋",
]


@pytest.mark.parametrize("name", AWKWARD)
def test_no_name_breaks_the_page(name):
    floors = [
        replace(
            each,
            layout=replace(each.layout, title=name, variant=name),
            job=replace(each.job, title=name, variant=f"{name}{number}"),
        )
        for number, each in enumerate(laid(PLAIN))
    ]
    details = replace(
        DETAILS,
        reference=name[:60],
        note=name,
        firm=replace(FIRM, name=name),
        customer=Customer(name, (name,) * 12),
        prices=(Price(name, Decimal("1e9"), name[:20], Decimal("1e9")),),
    )
    content = sheet(floors, [picture(f"{name}0", name), picture(f"{name}1", name)], details)
    document = pdfium.PdfDocument(content)
    assert len(document) <= 8
    assert "#evil[*x*]" in " ".join(page_texts(content)) or "evil" not in name
    for page in document:
        image = np.asarray(page.render(scale=0.5, grayscale=True).to_pil())
        assert (image[:, -14:] > 200).all() and (image[:, :14] > 200).all()  # nothing runs off either side


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7])
@pytest.mark.parametrize(("scene", "paper", "details"), [(PLAIN, "letter", DETAILS), (ASKEW, "a4", Details())])
def test_pages_are_filled_however_many_pictures_there_are(scene, paper, details, count):
    """No page but the last has a quarter of it left empty in one place, and none runs into its margins."""
    floors = laid(scene)
    for shown in range(1, len(floors) + 1):
        own = floors[0].job.variant
        pictures = [picture(own, f"view {number}", (250, 400)) for number in range(count)]
        pictures += [picture(each.job.variant, "view 0", (250, 400)) for each in floors[1:shown]]
        content = sheet(floors[:shown], pictures, details, paper=paper)
        pages = [np.asarray(each.render(scale=0.4, grayscale=True).to_pil()) for each in pdfium.PdfDocument(content)]
        assert len(pages) <= 4
        for number, page in enumerate(pages):
            tall = page.shape[0] / (279.4 if paper == "letter" else 297.0)
            inked = (page < 235).any(axis=1)
            assert not inked[: int(15 * tall)].any() and not inked[-int(7 * tall) :].any()
            rows = np.flatnonzero(inked[int(17 * tall) : -int(19 * tall)])
            empty = np.diff([0, *rows, len(page) - int(36 * tall)]).max() / len(page)
            assert number == len(pages) - 1 or empty < 0.25, (shown, number, empty)


@pytest.mark.parametrize(("width", "thickness"), [(90, 14), (120, 16), (140, 22)])
def test_long_words_beside_a_picture_stay_within_the_page(width, thickness):
    wide = ASKEW.replace("board_width = 90", f"board_width = {width}\nboard_length = 600\nthickness = {thickness}")
    content = sheet(
        laid(wide)[:1], [picture(viewpoint=f"view {n}", size=(250, 400)) for n in (1, 2)], Details(), paper="a4"
    )
    first = np.asarray(pdfium.PdfDocument(content)[0].render(scale=2, grayscale=True).to_pil())
    assert f"{width} mm × 600 mm × {thickness} mm" in page_texts(content)[0]
    assert not (first < 235).any(axis=0)[-int(17.8 * first.shape[0] / 297) :].any()


def test_pictures_that_stand_upright_leave_room_for_words(plain):
    shown = [picture(viewpoint=f"view {number}", size=(400, 250)) for number in range(3)]
    content = sheet(plain[:1], shown)
    words = page_texts(content)
    assert "The floor Wood white oak" in words[0] and len(words) <= 5


def test_thirty_variants(plain):
    base = plain[0]
    others = [replace(plain[1], job=replace(plain[1].job, variant=f"Variant {n}")) for n in range(29)]
    content = sheet([base, *others], [picture(), picture("Variant 0"), picture("Variant 1")])
    words = page_texts(content)
    assert all(f"Variant {n}" in " ".join(words) for n in range(29))
    assert 4 <= len(words) <= 7 and len(content) < 5e6


def test_large_pictures_stay_within_five_megabytes(plain):
    shown = [picture(viewpoint=f"from place {n}", size=(1000, 1600)) for n in range(7)]  # noise: the worst there is
    assert len(sheet(plain, shown)) < 5e6


def test_logos(plain, tmp_path):
    Image.new("RGB", (6000, 900), "#345").save(tmp_path / "huge.png")
    content, trouble = small_logo(tmp_path / "huge.png")
    assert not trouble
    (tmp_path / "small.png").write_bytes(content)
    with Image.open(tmp_path / "small.png") as image:
        assert image.width <= WIDEST and image.height <= TALLEST
    assert "Example Floors" in page_texts(sheet(plain, logo=content))[0]
    (tmp_path / "text.png").write_text("no picture")
    Image.new("1", (20000, 20000)).save(tmp_path / "bomb.png")
    for name, word in (("none.png", "there is no such logo"), ("text.png", "nor SVG"), ("bomb.png", "pixels")):
        content, trouble = small_logo(tmp_path / name)
        assert content is None and word in trouble and str(tmp_path / name) in trouble


def test_the_number_of_the_quote_is_called_so(plain):
    """On the first page, and at the foot of every page; nothing is said of a number or a date that is not there."""
    pages = page_texts(sheet(plain))
    assert "Quote number OH-0042 Date 14 October 2026" in pages[0]
    assert all("quote number OH-0042" in each for each in pages)
    bare = " ".join(page_texts(sheet(plain, details=replace(DETAILS, reference="", date=""))))
    assert "uote number" not in bare and "Date 14" not in bare


def test_the_sample_is_signed_for(plain):
    """The room has a white oak field and a border of another wood: the sample of each in its finish."""
    words = " ".join(page_texts(sheet(plain)))
    told = re.search(r"Wood sample\. (.*?) Customer’s signature Date", words)[1]
    assert told.startswith("The customer has seen and accepted a sample of the wood in its finish: white oak, ")
    for wood in plain[0].job.woods:
        assert f"{wood.species}, {wood.cut}" in told
    assert "finish" in told.split(": ")[1]


@pytest.mark.parametrize(
    "customer", ["Jo", "A very long name of a customer who signs, and of another who signs beside them"]
)
def test_no_word_stands_on_a_line_that_is_signed(plain, customer):
    content = sheet(plain, details=replace(DETAILS, customer=Customer(customer)))
    document = pdfium.PdfDocument(content)
    checked = 0
    for number, page in enumerate(document):
        text, height = page.get_textpage(), page.get_height()
        if "Wood sample" not in text.get_text_range():
            continue
        boxes = [[each * 25.4 / 72 for each in text.get_rect(n)] for n in range(text.count_rects())]
        for ends in paths(content, number):
            if len(ends) == 2 and np.ptp(ends[:, 1]) < 0.01:  # a rule, mm from the top
                y, (left, right) = height * 25.4 / 72 - ends[0, 1], np.sort(ends[:, 0])
                checked += 1
                assert not [each for each in boxes if each[1] < y < each[3] and each[0] < right and each[2] > left]
    assert checked >= 8
