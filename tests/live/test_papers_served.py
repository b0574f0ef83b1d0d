"""Papers from the page are those that the commands write of the saved scene."""

import io
import time
import zipfile

import pypdfium2
import pytest
from browsing import Browser

from preview.commands.customer_page import page_scene
from preview.commands.look import lay_scene
from preview.commands.papers import card_scene
from preview.commands.show import render_scene
from preview.live import paper_queue
from preview.live.app import live_app
from preview.live.firm_file import FirmFile
from preview.live.served import Served
from preview.live.workspace import Workspace

SCENE = """
title = "Box room"
units = "mm"
room.walk = ["E 2400", "N 2000", "W 2400", "S 2000"]
openings = [{ name = "door", kind = "door", wall = 1, offset = 500, width = 800 },
            { name = "window", kind = "window", wall = 3, offset = 600, width = 1000 }]
floor.board_width = 90
border.width = 90
viewpoints = [{ name = "in", at = { opening = "door" } }]
variants = [{ name = "Walnut", wood.species = "walnut" }]
"""
DETAILS = """
currency = "EUR"
firm = { name = "Floors of Ours" }
prices = [{ text = "Laying", quantity = "field", unit_price = 100 }]
"""


@pytest.fixture
def box(tmp_path, keys, monkeypatch):
    monkeypatch.setattr(paper_queue, "SIZE", (240, 150))
    file, firm = tmp_path / "box.toml", tmp_path / "firm.toml"
    file.write_text(SCENE)
    firm.write_text(DETAILS)
    work = Workspace(file, file.read_bytes(), SCENE, None)
    served = Served(work, FirmFile(firm), "http://localhost:8123/?token=x")
    app = live_app(served, keys)
    yield Browser(app, keys.firm), Browser(app, keys.customer), work
    work.session.close()


def made(browser, what, variant=None, **more):
    """Ask for a paper, follow its progress, and fetch it."""
    with browser.listen() as socket:
        job = browser.post_json("/api/papers", {"what": what, "variant": variant, **more}).json()["job"]
        told = []
        while not told or not told[-1]["done"]:
            told.append(socket.receive_json())
    assert {each["job"] for each in told} == {job}
    assert not told[-1]["failed"], told[-1]["words"]
    paper = browser.get(f"/paper/{job}")
    assert paper.headers["content-disposition"] == f'attachment; filename="{told[-1]["name"]}"'
    return paper.content, told


def words(pdf):
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_the_plan_is_that_of_lay_and_the_card_that_of_card(box, tmp_path):
    browser, _, work = box
    assert made(browser, "plan", "Walnut")[0] == lay_scene(str(work.file), "Walnut", "svg")
    card, told = made(browser, "card")
    assert told[-1]["name"] == "box--as-drawn--card.pdf"
    path = card_scene(str(work.file), None, tmp_path / "card.pdf")
    assert words(card) == words(path.read_bytes())


def test_pictures_are_those_of_render(box, tmp_path):
    browser, _, work = box
    archive = zipfile.ZipFile(io.BytesIO(made(browser, "pictures", "Walnut")[0]))
    (drawn,) = render_scene(str(work.file), ["Walnut"], [], "240x150", tmp_path / "out")
    assert archive.namelist() == [drawn.name]
    assert archive.read(drawn.name) == drawn.read_bytes()


def test_the_page_to_send_is_that_of_page(box, tmp_path, monkeypatch):
    browser, _, work = box
    monkeypatch.setattr("preview.page.room_page.FACE", 48)
    monkeypatch.setattr("preview.page.room_page.SIZE", (240, 150))
    page, told = made(browser, "page")
    assert told[-1]["name"] == "box--as-drawn--page.html"
    file = page_scene(str(work.file), [], [], tmp_path / "firm.toml", tmp_path / "page.html")
    assert page == file.read_bytes()
    assert b"Floors of Ours" in page and b"Laying" not in page, "no prices"
    shown = browser.get(f"/paper/{told[-1]['job']}", params={"open": 1})
    assert shown.content == page
    assert "content-disposition" not in shown.headers
    assert shown.headers["content-security-policy"].startswith("sandbox allow-scripts;"), "no way to this server"


def test_the_page_to_send_compares_what_was_chosen(box, monkeypatch):
    browser, _, _ = box
    monkeypatch.setattr("preview.page.room_page.FACE", 48)
    monkeypatch.setattr("preview.page.room_page.SIZE", (240, 150))
    for name in ("Wide", "Narrow", "Oiled"):
        width = {"Wide": 120, "Narrow": 70, "Oiled": 90}[name]
        edits = [{"variant": None, "key": "floor.board_width", "value": width}]
        browser.post_json("/api/variant", {"do": "keep", "name": name, "variant": None, "edits": edits})
    names = ("As drawn", "Walnut", "Wide", "Narrow", "Oiled")
    for variant, beside in (("Narrow", ["Wide", "Walnut"]), ("Walnut", [])):
        page = made(browser, "page", variant, beside=beside)[0].decode()
        shown = [name for name in names if f'data-name="{name}"' in page]
        assert sorted(shown) == sorted([variant, *beside])
        assert page.index(f'data-name="{variant}"') == min(page.index(f'data-name="{each}"') for each in shown)
    sent = {"what": "page", "variant": "Walnut"}
    assert "4 variants at most" in browser.post_json("/api/papers", {**sent, "beside": names}).json()["words"]
    for wrong in ("Wide", ["Round"], [1]):
        assert browser.post_json("/api/papers", {**sent, "beside": wrong}).status_code == 422


def test_the_quote_has_the_firms_price_and_tells_of_each_picture(box):
    browser, _, _ = box
    quote, told = made(browser, "quote")
    text = words(quote)
    assert "Floors of Ours" in text
    price = browser.get("/api/numbers", params={"revision": browser.state()["revision"]}).json()["price"]
    assert price.endswith(" EUR")
    assert price in text
    assert next(each["words"] for each in told if "picture" in each["words"]).startswith("Drawing picture 1 of 2")


def test_a_paper_is_of_the_scene_as_it_stood_when_it_was_asked_for(box):
    browser, _, _ = box
    job = browser.post_json("/api/papers", {"what": "card", "variant": None}).json()["job"]
    browser.change((None, "title", "Another room"))
    until = time.monotonic() + 60
    while (paper := browser.get(f"/paper/{job}")).status_code == 404 and time.monotonic() < until:
        time.sleep(0.1)
    assert "Box room" in words(paper.content)
    assert "Another room" not in words(paper.content)


def test_nobody_else_gets_papers_prices_or_layouts(box):
    browser, customer, _ = box
    job = browser.post_json("/api/papers", {"what": "plan"}).json()["job"]
    for path in (f"/paper/{job}", "/api/options", "/api/numbers", "/api/costs", "/customer.svg", "/api/room"):
        assert customer.get(path).status_code == 403
    assert customer.post_json("/api/papers", {"what": "quote"}).status_code == 403
    assert browser.get("/paper/none").status_code == 404
    assert browser.post_json("/api/papers", {"what": "map"}).status_code == 422
    assert browser.get("/customer.svg").headers["content-type"] == "image/svg+xml"


def test_layouts_are_ranked_and_one_is_tried_with_one_press(box):
    browser, _, _ = box
    revision = browser.state()["revision"]
    found = browser.get("/api/options", params={"revision": revision, "prefer": "less-waste"}).json()["options"]
    assert [each["rank"] for each in found] == sorted(each["rank"] for each in found)
    changed = {edit["key"] for each in found for edit in each["edits"]}
    assert {"floor.board_width", "border.width"} & changed  # which can be kept, as below
    best = next(each for each in found if not each["own"])
    state = browser.post_json(
        "/api/variant", {"do": "keep", "name": best["name"], "variant": None, "edits": best["edits"]}
    )
    assert state.status_code == 200, state.json()["words"]
    assert state.json()["variants"][-1]["name"] == best["name"]
    numbers = browser.get("/api/numbers", params={"revision": state.json()["revision"], "variant": best["name"]}).json()
    rows = {each["label"]: each["text"] for each in numbers["rows"]}
    assert best["boards"].startswith(f"{rows['Boards to cut']} boards")


def test_layouts_keep_what_is_to_be_kept(box):
    browser, _, _ = box
    asked = {"revision": browser.state()["revision"]}
    found = browser.get("/api/options", params={**asked, "keep": ["width", "border"]}).json()["options"]
    changed = {edit["key"] for each in found for edit in each["edits"]}
    assert not {"floor.board_width", "border.width"} & changed
    assert changed


def test_prices_changed_in_their_file_hold_at_once(box, tmp_path):
    browser, _, _ = box
    firm, asked = tmp_path / "firm.toml", {"revision": browser.state()["revision"]}
    before = browser.get("/api/numbers", params=asked).json()["price"]
    firm.write_text(DETAILS.replace("100", "1000"))
    after = browser.get("/api/numbers", params=asked).json()["price"]
    assert after != before
    quote, _ = made(browser, "quote")
    assert "1,000.00" in words(quote)
    firm.write_text(DETAILS.replace("unit_price", "waste = 1, unit_price"))
    _, told = made(browser, "quote")
    assert "firm.toml, price 1: 1 % for waste, but this plan takes" in told[-1]["words"]
    after = browser.get("/api/numbers", params=asked).json()["price"]
    firm.write_text(DETAILS[: len(DETAILS) // 2] + '\n"')  # half of it is written
    assert browser.get("/api/numbers", params=asked).json()["price"] == after
    with browser.listen() as socket:
        browser.post_json("/api/papers", {"what": "quote", "variant": None})
        while not (told := socket.receive_json())["done"]:
            pass
    assert told["failed"]
    assert "firm.toml" in told["words"]
