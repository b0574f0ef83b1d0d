"""The other parts of the page, the homeowner's page, and how all of it is read and fits."""

import io
import re
import tomllib
import zipfile

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe
from fitting import larger, tight
from PIL import Image

PARTS = ("floor", "layouts", "room", "papers", "customer")
SCHEMES = ("light", "dark")
CLOCK_STOPS = "() => { const now = Date.now(); window.goes = Date.now; Date.now = () => now; }"
CLOCK_GOES = "() => { Date.now = window.goes; }"


def open_part(looker, part):
    looker.page.goto(f"{looker.home}/#{part}")
    looker.page.locator("#tools button").first.wait_for()
    if part == "floor":
        looker.settle()
        looker.open_row("Centred on")
        looker.open_row("Wood")
    if part == "room":
        looker.page.locator(".room input").first.wait_for()


def broken_rules(looker, scheme):
    """The rules of accessibility that a page breaks; of a dark one those of colour, as the others know no colours."""
    rules = {} if scheme == "light" else {"runOnly": ["color-contrast"]}
    found = Axe().run(looker.page, options={"resultTypes": ["violations"], **rules}).response["violations"]
    return [(each["id"], each["nodes"][0]["html"]) for each in found]


def test_every_part_passes_the_rules_of_accessibility(look):
    here = look(bypass_csp=True)  # the checker is a script put into the page
    for width, parts in ((1100, PARTS), (360, ("floor", "room"))):  # the others are narrow columns on either
        here.page.set_viewport_size({"width": width, "height": 800})
        for part in parts:
            open_part(here, part)
            for scheme in SCHEMES if width > 360 else SCHEMES[:1]:  # colours are the same on a phone
                here.page.emulate_media(color_scheme=scheme)
                assert broken_rules(here, scheme) == [], (part, width, scheme)


@pytest.mark.slow
def test_every_part_passes_the_rules_of_accessibility_on_a_phone(look):
    here = look(width=360, bypass_csp=True)
    for part in PARTS:
        open_part(here, part)
        assert broken_rules(here, "light") == [], part


@pytest.mark.slow
def test_every_part_fits_its_window_with_large_text_too(look):
    here = look()
    found = []
    for width, text in ((360, "200%"), (360, "100%"), (1024, "150%"), (2560, "100%"), (2560, "200%")):
        here.page.set_viewport_size({"width": width, "height": 900})
        larger(here, text)
        for part in PARTS:
            open_part(here, part)
            found += [(width, text, part, each) for each in tight(here, text == "100%")]
    assert found == []


def test_everything_that_can_be_used_is_read_with_a_name_and_what_it_is(look):
    here = look(width=420)
    for part in PARTS:
        open_part(here, part)
        read = here.page.locator("body").aria_snapshot()
        check_read(part, read.splitlines())


def check_read(part, read):
    """Check what a screen reader is given of a part."""
    kinds = r"\s*- '?(button|link|textbox|combobox|slider|checkbox|img)\b"
    used = [line.strip().removeprefix("- ").strip("'") for line in read if re.match(kinds, line)]
    assert used
    assert [line for line in used if not re.match(r'\w+ "[^"]', line)] == []
    if part == "floor":
        assert any(line.startswith('button "Pattern herringbone"') for line in used)
        assert any("Centred on the room" in line and "[expanded]" in line for line in used)
        assert any("On the room" in line and "[pressed]" in line for line in used)
        assert any(line.startswith('img "Box room: On the room, from the archway"') for line in used)
    if part == "room":
        assert re.search(r'textbox "Height of the room":(\s+- /placeholder: .*)?\s+- text: "96"', "\n".join(read))


def test_a_change_of_picture_and_numbers_is_told_once_and_politely(look):
    here = look()
    here.settle()
    news = here.page.locator(".news")
    news.filter(has_text="The picture shows “On the room”").wait_for()
    assert news.get_attribute("role") == "status"  # which is polite
    before = news.inner_text()
    here.type_in("Board width", "3")
    here.settle()
    told = here.page.locator(".news", has_text=f"Boards to cut {here.figure('Boards to cut')}")
    told.wait_for()
    assert told.inner_text() != before
    assert re.search(r"Waste [\d.]+ %.*(no warnings|\d warnings?)\.$", told.inner_text())


def made_papers(here, kinds):
    """Press the button of each paper, then fetch each from its link."""
    made = {}
    for what in kinds:
        here.page.locator(f".papers li[data-what={what}]").get_by_role("button").click()
    for what in kinds:
        link = here.page.locator(f".papers li[data-what={what}]").get_by_role("link")
        with here.page.expect_download() as fetched:
            link.click(timeout=180_000)
        made[what] = fetched.value.path().read_bytes()
    return made


def words_of(content):
    paper = pypdfium2.PdfDocument(content)
    words = " ".join(page.get_textpage().get_text_bounded() for page in paper)
    paper.close()
    return words


def test_papers_are_made_with_progress_and_open(look):
    made = made_papers(look(path="#papers"), ("card", "plan", "sheet"))
    card, sheet = words_of(made["card"]), words_of(made["sheet"])
    assert "Box room" in card and "Box room" in sheet
    assert "USD" not in card
    assert "On the archway" in sheet
    assert b"<svg" in made["plan"]


@pytest.mark.slow
def test_papers_of_large_pictures_are_made_too(look):
    """In small ones tests/live holds them against what the commands make."""
    made = made_papers(look(path="#papers"), ("quote", "pictures"))
    assert "Box room" in words_of(made["quote"])
    assert "USD" in words_of(made["quote"])
    with zipfile.ZipFile(io.BytesIO(made["pictures"])) as pictures:
        names = ["box-room--on-the-room--from-the-archway.png", "box-room--on-the-room--plan.png"]
        assert sorted(pictures.namelist()) == names
        assert Image.open(io.BytesIO(pictures.read(names[0]))).size == (1600, 1000)


@pytest.mark.slow
def test_the_page_to_send_is_opened_and_looked_round_in(look):
    here = look(path="#papers")
    row = here.page.locator(".papers li[data-what=page]")
    row.get_by_role("button").click()
    link = row.get_by_role("link", name="Open it and look round")
    link.wait_for(timeout=180_000)
    with here.page.context.expect_page() as opened:
        link.click()
    page = opened.value
    round_about = page.locator("#round canvas")
    round_about.wait_for()
    before = round_about.screenshot()
    round_about.press("ArrowRight")
    page.wait_for_timeout(500)
    assert round_about.screenshot() != before
    asked = "async () => { try { await fetch('/api/state'); return true; } catch { return false; } }"
    assert page.evaluate(asked) is False  # it reaches nothing of the server


def test_a_ranked_layout_is_tried_by_one_press(look):
    here = look(width=420)
    before = here.full_picture()
    here.page.goto(f"{here.home}/#layouts")
    here.page.get_by_role("button", name="Find layouts").click()
    other = here.page.locator(".layouts li").filter(has_not_text="(as it is)").first
    other.wait_for(timeout=180_000)
    name = other.locator("h3").inner_text()
    boards = re.search(r"(\d+) boards", other.inner_text())[1]
    here.page.get_by_role("button", name=f"Try {name}", exact=True).click()
    here.page.locator("#words", has_text="is tried").wait_for()
    assert here.page.url.endswith("#floor")
    assert here.full_picture() != before
    assert here.figure("Boards to cut") == boards


def test_the_room_is_corrected_and_slips_stand_at_their_fields(look):
    here = look(path="#room")
    width = here.page.get_by_role("group", name="Openings, archway").get_by_label("Width")
    drawn, use = here.page.locator(".drawn .plan svg"), here.page.get_by_role("button", name="Use this room")
    assert use.is_disabled()  # there is nothing to use yet
    here.page.evaluate(CLOCK_STOPS)  # however long the answer takes, it has just been typed
    with here.page.expect_response("**/api/room"):
        width.fill("ninety")
    here.page.wait_for_timeout(100)
    assert width.get_attribute("aria-invalid") is None  # one is still typing
    tops = "all => [...new Set(all.map((each) => Math.round(each.getBoundingClientRect().top)))]"
    row = here.page.get_by_role("group", name="Openings, archway").locator(
        ".cell:not([hidden]):not(.last) :is(input, select)"
    )
    level = row.evaluate_all(tops)
    here.page.evaluate(CLOCK_GOES)
    width.press("Tab")
    here.page.locator(".thing .error", has_text="ninety").wait_for()
    assert width.get_attribute("aria-invalid") == "true"
    assert len(row.evaluate_all(tops)) == len(level)  # the fields of a row stay in line
    letters = drawn.text_content()
    assert "window" in letters  # the rest is drawn
    assert "archway" not in letters
    width.fill("40")
    here.page.locator(".thing .error", has_text="ninety").wait_for(state="hidden")
    before = here.state()["revision"]
    use.click()
    here.page.locator("#words", has_text="The room is as you typed it").wait_for()
    assert here.state()["revision"] > before
    here.page.evaluate("scrollTo(0, 0)")
    here.page.locator("body:not(.away)").wait_for()
    said, near = (here.page.locator(each).bounding_box() for each in ("#words", "#head"))
    assert near["y"] <= said["y"] and said["y"] + said["height"] <= near["y"] + near["height"]  # it covers nothing
    here.page.get_by_role("button", name="Undo").click()
    here.page.locator("#words", has_text="Undone").wait_for()


def test_a_new_room_is_typed_from_a_tape(look, new_server):
    here = look(of=new_server, path="#room")
    page = here.page
    for unit in ("ft", "in"):
        page.get_by_label("Measured in").select_option(unit)
        page.locator(".room .part:not([inert]) .help", has_text="E 14 ft 8 in" if unit == "in" else "E 4").wait_for()
    walls = page.get_by_label("Walls, in turn")
    page.get_by_role("textbox", name="Name of the room").fill("Back parlour")
    walls.fill("E 13 ft 2 in\nN 16 ft 10 in\nW 13 ft 2 1/4 in")
    page.locator(".drawn p[role=status]", has_text="Go on typing").wait_for()
    assert (
        page.locator(".drawn .plan svg").text_content().strip().endswith("3")
    )  # three walls are drawn, and no error said
    walls.press("Tab")
    page.locator(".drawn p[role=status].error").wait_for()  # not yet back at the first corner
    walls.fill("E 13 ft 2 in\nN 16 ft 10 in\nW 13 ft 2 1/4 in\nS 16 ft 10 in")
    page.locator(".drawn p[role=status]", has_text="Everything fits together").wait_for()
    assert page.locator(".drawn .plan svg").is_visible()

    def opening_of(name):
        return page.get_by_role("group", name=f"Openings, {name}")

    opening = opening_of("door")
    for label, typed in (("Name", "hall door"), ("To its near side", "49"), ("Width", "32"), ("Height", "6 ft 8 in")):
        opening.get_by_label(label, exact=True).fill(typed)
    tape = opening.get_by_label("Taped from")
    assert tape.locator("option").all_inner_texts() == ["corner 4/1", "corner 1/2"]
    tape.select_option("corner 1/2")
    page.get_by_role("button", name="Use this room").click()
    page.locator("#words", has_text="The room is as you typed it").wait_for()
    assert opening_of("hall door").get_by_label("Taped from").input_value() == "true"  # as it was typed
    assert opening_of("hall door").get_by_label("To its near side").input_value() == "49"
    page.get_by_role("link", name="Floor", exact=True).click()
    here.open_row("Centred on")
    page.locator(f'.figures[data-revision="{here.state()["revision"]}"]:not(.old)').wait_for()
    assert int(here.figure("Boards to cut")) > 300
    assert page.locator("h1").inner_text() == "Back parlour"
    here.choose("Centred on", "the hall door")
    page.get_by_role("button", name="Keep as a variant", exact=True).click()
    page.locator("dialog input").fill("On the door")
    page.locator("dialog button.main").click()
    page.locator(".tabs button[data-name='On the door'][aria-pressed=true]").wait_for()
    page.get_by_role("button", name="Save", exact=True).click()
    page.locator("#words", has_text="Saved in room.toml").wait_for()
    saved = tomllib.loads(new_server.scene.read_text())
    assert saved["title"] == "Back parlour"
    assert saved["variants"] == [{"name": "On the door", "floor": {"center": {"opening": "hall door"}}}]
    assert saved["openings"][0]["offset"] == "6 ft 5 1/16 in"  # of a wall of 13' 2" and half of what did not close


def test_the_homeowner_sees_pictures_and_names_alone(look):
    here = look(width=420)
    there = look(address=here.state()["customer"], bypass_csp=True, width=900)
    there.page.locator(".stage .first[data-quality=full]").wait_for()
    there.page.locator(".tabs button", has_text="On the archway").click()
    there.page.locator(".stage .first[data-quality=full][data-variant='On the archway']").wait_for()
    words = there.page.locator("body").inner_text()
    assert "Wood is a natural material" in words
    for hidden in ("USD", "arning", "Waste", "Save", "Keep", "toml"):
        assert hidden not in words
    for width in (900, 360):
        there.page.set_viewport_size({"width": width, "height": 800})
        for scheme in SCHEMES if width > 360 else SCHEMES[:1]:
            there.page.emulate_media(color_scheme=scheme)
            assert broken_rules(there, scheme) == [], (width, scheme)
    larger(there, "200%")
    assert tight(there) == []
