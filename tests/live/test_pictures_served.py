"""Pictures and numbers from the server are those of the scene that it saves; newer ones are never beside older."""

import io
import re
import threading
import time
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor

import anyio
import numpy as np
import pytest
from browsing import Browser
from PIL import Image
from starlette.requests import Request

from preview.commands.look import lay_scene
from preview.commands.show import render_scene
from preview.live.app import live_app
from preview.live.served import Served
from preview.live.workspace import Workspace
from preview.session import Stale
from preview.session import session as sessions

SMALL = """
title = "Box room"
units = "mm"
room.walk = ["E 2400", "N 2000", "W 2400", "S 2000"]
openings = [{ name = "door", kind = "door", wall = 1, offset = 500, width = 800 },
            { name = "window", kind = "window", wall = 3, offset = 600, width = 1000 }]
floor.board_width = 90
border.width = 90
viewpoints = [{ name = "in", at = { opening = "door" } }, { name = "plan", kind = "plan" }]
variants = [{ name = "Walnut", wood.species = "walnut" }]
"""


@pytest.fixture
def small(tmp_path, keys):
    file = tmp_path / "box.toml"
    file.write_text(SMALL)
    work = Workspace(file, file.read_bytes(), SMALL, None)
    app = live_app(Served(work), keys)
    yield Browser(app, keys.firm), Browser(app, keys.customer), work
    work.session.close()


def picture(browser, revision, **asked):
    return browser.get("/picture", params={"revision": revision, "size": "240x150", **asked})


def test_a_full_picture_is_what_render_draws_of_the_saved_scene(small, tmp_path):
    browser, _, work = small
    browser.change((None, "floor.start", "full"), (None, "wood.stain", "dark"))
    state = browser.post_json("/api/save").json()
    assert state["saved"]
    served = picture(browser, state["revision"], variant="Walnut", view="in")
    assert served.headers["content-type"] == "image/png"
    list(render_scene(str(work.file), ["Walnut"], ["in"], "240x150", tmp_path / "out"))
    assert served.content == (tmp_path / "out" / "box--walnut--in.png").read_bytes()


def test_a_picture_that_was_drawn_is_sent_again_and_not_drawn(small, monkeypatch):
    browser, customer, _ = small
    first = browser.get("/api/state").json()["revision"]
    drawn = picture(browser, first, view="in")
    browser.change((None, "wood.stain", "dark"))
    dark = browser.get("/api/state").json()["revision"]
    assert picture(browser, dark, view="in").content != drawn.content
    back = browser.post_json("/api/undo").json()["revision"]
    assert back > dark
    monkeypatch.setattr(sessions, "draw_lit", lambda *_: pytest.fail("it was drawn before"))
    for whoever, coarse in ((browser, 0), (browser, 1), (customer, 0)):
        again = picture(whoever, back, view="in", coarse=coarse)
        assert again.content == drawn.content
        assert again.headers["x-revision"] == str(back)
    monkeypatch.undo()
    assert picture(browser, back, view="in", size="200x125").content != drawn.content
    assert picture(browser, back, view="in", variant="Walnut").content != drawn.content


def test_numbers_are_those_of_lay(small):
    browser, _, work = small
    state = browser.change((None, "floor.board_width", "120")).json()
    browser.post_json("/api/save")
    told = browser.get("/api/numbers", params={"revision": state["revision"], "variant": "Walnut"}).json()
    laid = lay_scene(str(work.file), "Walnut", "text").decode()
    rows = {each["label"]: each["text"] for each in told["rows"]}
    assert f"{rows['Boards to cut']} at the stop block" in laid
    share = rows["Waste"].removesuffix(", no offcut used again")
    assert f"{share} on top of the field, no offcut used again" in laid
    assert all(each in laid for each in told["warnings"])
    assert ET.fromstring(told["plan"]).tag.endswith("svg")
    costs = browser.get("/api/costs", params={"revision": state["revision"], "key": "floor.board_width"}).json()
    own = next(each for each in costs["costs"] if each["value"] == "120 mm")
    assert own["text"].startswith(f"{rows['Boards to cut']} boards, {share} waste")


def test_a_point_of_the_plan_is_where_its_frame_says(small):
    """The middle of the window's two lines, found on the drawing, lies in the wall that it was taped in."""
    browser, _, work = small
    told = browser.get("/api/numbers", params={"revision": work.revision}).json()
    frame, walls = (
        told["plan_frame"],
        next(
            each
            for each in ET.fromstring(told["plan"]).iter()
            if each.get("id") == "walls" or each.get("class") == "walls"
        ),
    )
    numbers = [float(each) for each in re.findall(r"-?[0-9.]+", walls.get("d"))]
    east = [(u - frame["x"]) * frame["metres"] for u in numbers[::2]]
    north = [(frame["y"] - v) * frame["metres"] for v in numbers[1::2]]
    assert min(east) == pytest.approx(-0.124, abs=2e-3)
    assert max(east) == pytest.approx(2.4 + 0.124, abs=2e-3)
    assert min(north) == pytest.approx(-0.124, abs=2e-3)
    assert max(north) == pytest.approx(2.0 + 0.124, abs=2e-3)


def test_a_coarse_picture_comes_as_a_jpeg_and_from_where_one_stands(small):
    browser, _, work = small
    found = picture(browser, work.revision, coarse=1, eye="1.2,0.6,1.6", look="1.2,1.6,1.2")
    assert found.headers["content-type"] == "image/jpeg"
    assert Image.open(io.BytesIO(found.content)).size == (240, 150)
    eye = browser.get("/api/eye", params={"revision": work.revision, "view": "in"}).json()
    told = {key: ",".join(map(str, eye[key])) for key in ("eye", "look")}
    again = picture(browser, work.revision, coarse=1, fov=eye["fov"], **told)
    assert again.status_code == 200


@pytest.mark.parametrize(
    "asked",
    [
        {"size": "9x9"},
        {"size": "99999x100"},
        {"size": "240"},
        {"eye": "1,2"},
        {"eye": "nan,1,1", "look": "1,1,1"},
        {"eye": "1,1,1", "look": "1,2,1", "fov": "500"},
        {"eye": "90,1,1", "look": "1,2,1"},
        {"view": "none such"},
        {"view": ""},
        {"view": "in", "variant": "none such"},
        {"revision": "x", "view": "in"},
        {"revision": "1" * 30, "view": "in"},
    ],
)
def test_what_can_not_be_drawn_is_told_in_words(small, asked):
    browser, _, work = small
    answer = picture(browser, **{"revision": work.revision, **asked})
    assert answer.status_code == 422
    assert answer.json()["words"]
    assert "Traceback" not in answer.text


def test_what_is_asked_for_an_older_revision_is_not_answered(small):
    browser, _, work = small
    old = work.revision
    browser.change((None, "wood.stain", "dark"))
    assert picture(browser, old, view="in").status_code == 410
    assert browser.get("/api/numbers", params={"revision": old}).status_code == 410
    assert browser.get("/api/costs", params={"revision": old, "key": "wood.stain"}).status_code == 410
    assert browser.get("/api/options", params={"revision": old}).status_code == 410


def test_a_picture_that_is_being_drawn_is_given_up_for_a_newer_one(small, monkeypatch):
    browser, _, work = small
    begun, go = threading.Event(), threading.Event()
    drawn = sessions.draw_lit

    def slow(engine, floor, ready, camera, check, coat):
        begun.set()
        go.wait(10)
        check()
        return drawn(engine, floor, ready, camera, check, coat)

    monkeypatch.setattr(sessions, "draw_lit", slow)
    answers = []
    asking = threading.Thread(target=lambda: answers.append(picture(browser, work.revision, view="in")))
    asking.start()
    assert begun.wait(60)
    newer = browser.change((None, "wood.stain", "dark")).json()["revision"]
    go.set()
    asking.join(60)
    assert answers[0].status_code == 410
    assert picture(browser, newer, view="in").status_code == 200


def test_a_drawing_that_crashes_is_told_and_the_next_one_works(small, monkeypatch):
    browser, _, work = small
    drawn = sessions.draw_lit

    def broken(*_):
        raise MemoryError("no room on the card")

    monkeypatch.setattr(sessions, "draw_lit", broken)
    with browser.listen() as socket:
        answer = picture(browser, work.revision, view="in")
        told = socket.receive_json()
    assert answer.status_code == 500
    assert "could not be drawn" in answer.json()["words"]
    assert "Traceback" not in answer.text
    assert told == {"kind": "drawing-failed", "words": answer.json()["words"]}
    monkeypatch.setattr(sessions, "draw_lit", drawn)
    assert picture(browser, work.revision, view="in").status_code == 200


def test_the_customer_sees_the_same_picture(small):
    browser, customer, work = small
    shown = [picture(each, work.revision, view="in", variant="Walnut").content for each in (browser, customer)]
    assert shown[0] == shown[1]


def test_every_page_sees_a_change_at_once_the_customers_without_numbers(small):
    browser, customer, _ = small
    with browser.listen() as one, customer.listen() as other:
        browser.change((None, "wood.stain", "dark"))
        told = one.receive_json()
        assert told["kind"] == "state"
        assert told["state"]["values"]["As drawn"]["wood.stain"]["text"] == "dark"
        seen = other.receive_json()
        assert seen["state"]["revision"] == told["state"]["revision"]
        assert "values" not in seen["state"]


def test_swatches_are_drawn_of_what_there_is_and_of_nothing_else(small):
    browser, customer, _ = small
    walnut, oak = (browser.get(f"/swatch/wood/species/{each}").content for each in ("walnut", "white%20oak"))
    colours = [Image.open(io.BytesIO(each)).resize((1, 1)).getpixel((0, 0)) for each in (walnut, oak)]
    assert sum(colours[0]) < sum(colours[1]) - 60  # walnut is the darker
    paint = browser.get("/swatch/paint/%23a0b0c0")
    assert Image.open(io.BytesIO(paint.content)).getpixel((9, 9)) == pytest.approx((0xA0, 0xB0, 0xC0), abs=3)
    for path in ("wood/species/none", "wood/species/stains", "wood/size/walnut", "floor/species/walnut", "paint/none"):
        assert browser.get(f"/swatch/{path}").status_code in (404, 422), path
    assert customer.get("/swatch/wood/species/walnut").status_code == 403


def test_lines_are_drawn_over_a_picture_and_told_in_words(small):
    browser, customer, _ = small
    revision = browser.state()["revision"]
    asked = {"variant": "Walnut", "view": "in"}
    plain = picture(customer, revision, **asked)
    lined = picture(customer, revision, **asked, lines=1, against="Walnut")
    assert Image.open(io.BytesIO(lined.content)).size == Image.open(io.BytesIO(plain.content)).size
    assert lined.content != plain.content
    told = customer.get("/api/lines", params={"revision": revision, "variant": "Walnut"}).json()["lines"]
    assert told == [
        {"kind": "sight", "words": "straight in from the door"},
        {"kind": "centre", "words": "middle of the pattern"},
    ]
    # Where courses meet elsewhere in the floor that it is compared with, its seams are drawn too, thin and dashed.
    moved = {"variant": "Walnut", "key": "floor.courses", "value": "odd"}
    revision = browser.change((moved["variant"], moved["key"], moved["value"])).json()["revision"]
    seen = [picture(customer, revision, **asked, lines=1, against="As drawn", seams=seams).content for seams in (0, 1)]
    assert seen[0] != seen[1]
    both = {"revision": revision, "variant": "As drawn", "against": "Walnut"}
    told = customer.get("/api/lines", params=both).json()["lines"]
    assert told[-1] == {"kind": "seam", "words": "on the right, where the courses of As drawn meet"}
    plan = {"variant": "Walnut", "view": "plan"}
    assert picture(browser, revision, **plan, lines=1).content == picture(browser, revision, **plan).content


def test_numbers_tell_the_centre_and_what_was_left_to_the_program(small):
    browser, _, _ = small
    told = browser.get("/api/numbers", params={"revision": browser.state()["revision"]}).json()
    assert told["center"] == [1.2, pytest.approx(1.0, abs=0.05)]
    assert [end[0] for end in told["center_line"]] == [1.2, 1.2]
    assert told["used"]["floor.run"] == "straight in from the door, along walls 2 and 4: by itself, the first door"
    assert re.fullmatch(r"\d+ mm, to fit the room", told["used"]["floor.board_length"])
    state = browser.change((None, "floor.center", {"metres": [0.9, 0.5]})).json()
    told = browser.get("/api/numbers", params={"revision": state["revision"]}).json()
    assert told["center"] == [0.9, 0.5]


def test_paint_that_is_left_out_is_shown_as_it_is(small):
    browser, _, _ = small
    values = browser.state()["values"]["Walnut"]
    assert values["paint.walls"]["text"] == "warm off-white"
    assert values["paint.walls"]["value"] is None
    shown = Image.open(io.BytesIO(browser.get(values["paint.walls"]["picture"]).content)).convert("RGB")
    red, green, blue = shown.getpixel((24, 24))
    assert 200 < blue < green < red
    values = browser.change((None, "paint.walls", "sage green")).json()["values"]["Walnut"]
    green = Image.open(io.BytesIO(browser.get(values["paint.walls"]["picture"]).content)).convert("RGB")
    assert np.abs(np.subtract(green.getpixel((24, 24)), (0xA5, 0xB0, 0x9A))).max() < 6  # as paints.toml has it


def test_what_nobody_waits_for_any_longer_is_given_up(tmp_path):
    """The browser leaves while a picture is drawn: what draws is told, and whoever answers learns that it is stale."""
    file = tmp_path / "box.toml"
    file.write_text(SMALL)
    work = Workspace(file, file.read_bytes(), SMALL, None)
    served = Served(work, None, "http://localhost:8123/?token=x")
    begun, told = threading.Event(), threading.Event()

    async def leave():
        await anyio.to_thread.run_sync(begun.wait)
        return {"type": "http.disconnect"}

    def draw(wanted):
        begun.set()
        while wanted():
            time.sleep(0.01)
        told.set()

    async def ask():
        with anyio.fail_after(20):
            await served.while_waited_for(Request({"type": "http"}, leave), draw)

    with ThreadPoolExecutor(1) as apart, pytest.raises(Stale):  # where no test of a browser has its own loop
        apart.submit(anyio.run, ask).result()
    assert told.wait(20)
    work.session.close()
