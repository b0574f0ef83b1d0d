"""The customer's page as it is opened from an e-mail: a file, in a browser that asks nobody for anything."""

import io

import numpy as np
import pypdfium2
import pytest
from looking import Fingers
from PIL import Image
from running import SMALL, preview

from preview.page.standing_points import EAST, NORTH, UP, standing_points
from preview.picture.view.camera import Camera
from preview.scene.read import read_scene
from preview.session.drawn import draw_views
from preview.steps import eye_cameras, lay_jobs

HOSTILE = "<img src=x onerror=alert(1)></script><script>alert(2)</script>"
FACE = 384


@pytest.fixture(scope="module")
def scene():
    """A small room with a hostile title and name."""
    return SMALL.replace('"Box room"', f"'{HOSTILE}'").replace('"On the archway"', f"'{HOSTILE}'")


@pytest.fixture(scope="module")
def made(scene, tmp_path_factory):
    """The page of that room, its faces small."""
    folder = tmp_path_factory.mktemp("page")
    (folder / "room.toml").write_text(scene)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("preview.page.room_page.FACE", FACE)
        patch.setattr("preview.page.room_page.SIZE", (800, 500))
        ran = preview("page", folder / "room.toml", "--out", folder / "floor.html")
    assert ran.returncode == 0, ran.stderr
    return folder / "floor.html"


@pytest.fixture
def opened(chromium, made):
    """Return a function that opens the page; whatever it asks of anyone, or writes to the console, fails the test."""
    contexts, wrong = [], []

    def open_page(width=1000, height=800, **context):
        context = chromium.new_context(viewport={"width": width, "height": height}, offline=True, **context)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: "GL Driver Message" in said.text or wrong.append(said.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("request", lambda asked: asked.url.startswith(("data:", "file:")) or wrong.append(asked.url))
        page.on("dialog", lambda told: wrong.append(told.message) or told.dismiss())
        page.goto(f"file://{made}")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not wrong


def test_names_are_only_text(opened):
    page = opened()
    assert page.title() == f"{HOSTILE}: the floor"
    assert page.get_by_role("heading", level=1).inner_text() == HOSTILE
    assert page.locator("[onerror]").count() == 0
    assert page.locator("figcaption b").last.inner_text().startswith("<img src=x")


def middle_of_knob(page, divider):
    """Where across the page the knob's white is, in a picture of it."""
    box = divider.bounding_box()
    wide = page.viewport_size["width"]
    row = {"x": 0, "y": box["y"] + 0.82 * box["height"] - 1, "width": wide, "height": 2}
    page.locator(".joined .stage").evaluate(
        "each => each.querySelectorAll('img').forEach((one) => one.style.filter = 'brightness(0)')"
    )
    found = np.asarray(Image.open(io.BytesIO(page.screenshot(clip=row))).convert("L"))[0] > 200
    page.locator(".joined .stage").evaluate(
        "each => each.querySelectorAll('img').forEach((one) => one.style.filter = '')"
    )
    inside = np.flatnonzero(
        found & (np.arange(wide) > box["x"] + 24) & (np.arange(wide) < box["x"] + box["width"] - 24)
    )
    return inside.mean()


def test_the_divider_moves_by_keys_and_by_a_drag_and_a_press_flips(opened):
    page = opened()
    divider = page.get_by_role("slider", name="Divider between the two pictures")
    over = page.locator(".joined .over")
    divider.focus()
    for _ in range(20):
        page.keyboard.press("ArrowRight")
    assert "58%" in over.evaluate("each => getComputedStyle(each).clipPath")
    box = divider.bounding_box()
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + 50)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.25 * box["width"], box["y"] + 50, steps=4)
    page.mouse.up()
    assert float(divider.input_value()) == pytest.approx(25, abs=3)
    line = page.locator(".joined .rule").bounding_box()
    assert line["x"] + line["width"] / 2 == pytest.approx(middle_of_knob(page, divider), abs=3), (
        "the knob is on the line"
    )
    flip = page.get_by_role("button", name="Flip")
    flip.click()
    assert over.evaluate("each => getComputedStyle(each).clipPath") == "none"
    flip.click()
    assert over.evaluate("each => getComputedStyle(each).visibility") == "hidden"
    lines = page.get_by_role("button", name="Lines on the floor")
    assert not page.locator(".joined .under .lines").is_visible()
    lines.click()
    assert page.locator(".joined .under .lines").is_visible() and page.locator(".legend").is_visible()


def shown(page, tmp_path):
    """What the canvas shows, (h, w, 3), without what lies over it."""
    page.locator(".view .tag").evaluate_all("all => all.forEach((each) => each.remove())")
    page.wait_for_function("() => { const at = document.querySelector('canvas'); return at.width === at.clientWidth; }")
    page.wait_for_timeout(100)
    path = tmp_path / "view.png"
    page.locator("canvas").screenshot(path=path)
    return np.asarray(Image.open(path).convert("RGB")).astype(float)


def test_looking_round_shows_what_the_engine_draws_from_there(opened, scene, tmp_path):
    """Turned by keys, the view is the engine's own picture in that direction, but for how fine it is; the divider parts
    one floor from the other."""
    page = opened()
    assert page.get_by_role("heading", name="Look round").is_visible()
    floors = lay_jobs(read_scene(scene, "room.toml")[:2])
    point = standing_points(eye_cameras(floors[0]), floors[0].room, 1)[0]
    page.locator("canvas").focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowDown"):
        page.keyboard.press(key)
    bearing, pitch = point.bearing + 2 * 0.12, point.pitch - 0.12
    ahead = np.cos(pitch) * (np.sin(bearing) * EAST + np.cos(bearing) * NORTH) + np.sin(pitch) * UP
    ours = shown(page, tmp_path)
    height, width = ours.shape[:2]
    camera = Camera("there", point.eye, point.eye + ahead, UP, 1.35, 0.0, (width, height))
    first, second = (each.picture.rgb.astype(float) for each in draw_views(floors, [camera], floors[0]))
    half = width // 2
    expected = np.concatenate([first[:, :half], second[:, half:]], axis=1)
    inside = np.abs(np.arange(width) - half) > 4
    assert np.abs(ours - expected)[:, inside].mean() < 6
    apart = np.abs(first - second)[:, :half].mean()
    assert np.abs(ours - second)[:, :half].mean() > 0.5 * apart > 0.5, "the left shows the first floor"
    divider = page.get_by_role("slider", name="Divider between the two floors, looking round")
    divider.fill("0")
    alone = shown(page, tmp_path)
    assert np.abs(alone - second)[:, 4:].mean() < 6
    turned = np.abs(alone - shown_turned(page, tmp_path)).mean()
    assert turned > 5


def shown_turned(page, tmp_path):
    page.get_by_role("button", name="Turn left").click()
    return shown(page, tmp_path)


def test_a_finger_turns_the_view_and_a_second_one_changes_nothing(opened, tmp_path):
    """On a telephone a drag on the view turns it, along and up and down, and scrolls nothing; two fingers neither zoom
    the page nor make the view jump. Beside the view a drag scrolls."""
    page = opened(360, 640, has_touch=True, is_mobile=True)
    canvas = page.locator("canvas")
    canvas.scroll_into_view_if_needed()
    place = canvas.bounding_box()
    middle = (place["x"] + place["width"] / 2, place["y"] + place["height"] / 2)
    fingers = Fingers(page)

    def by(across, down):
        return (middle, (middle[0] + across, middle[1] + down))

    def stands():
        return page.evaluate("[scrollX, scrollY, visualViewport.scale]")

    before, first = stands(), shown(page, tmp_path)
    fingers.drag(by(-80, 0))
    aside = shown(page, tmp_path)
    fingers.drag(by(0, -80))
    below = shown(page, tmp_path)
    assert np.abs(aside - first).mean() > 5 and np.abs(below - aside).mean() > 5
    assert stands() == before
    fingers.drag(by(-60, 20), ((middle[0] + 30, middle[1]), (middle[0] + 120, middle[1] + 60)))
    assert stands() == before and np.abs(shown(page, tmp_path) - below).mean() < 1
    over = (middle[0], place["y"] - 12)
    fingers.drag((over, (over[0], over[1] - 200)))
    page.wait_for_function("before => scrollY > before + 50", arg=before[1])


def test_without_scripts_pictures_plan_and_words_remain(opened):
    page = opened(java_script_enabled=False)
    assert page.locator(".still img:visible").count() == 2
    assert page.locator(".plan svg:visible").count() == 2
    assert page.get_by_role("heading", name="What is planned").is_visible()
    assert not page.locator("canvas").is_visible()
    assert "Real wood varies" in page.locator("#note").inner_text()


@pytest.mark.parametrize(
    "width, scheme", [(360, "light"), (1100, "dark"), pytest.param(2560, "light", marks=pytest.mark.slow)]
)
def test_it_fits_its_window_and_passes_the_rules_of_accessibility(opened, width, scheme):
    from axe_playwright_python.sync_playwright import Axe

    page = opened(width, color_scheme=scheme)
    page.locator("#round").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(page).response["violations"]
    assert not found, [(each["id"], [node["html"][:100] for node in each["nodes"]]) for each in found]


def test_it_prints_on_two_pages(opened):
    page = opened()
    assert len(pypdfium2.PdfDocument(page.pdf(format="Letter"))) <= 2
    assert len(pypdfium2.PdfDocument(page.pdf(format="A4"))) <= 2
