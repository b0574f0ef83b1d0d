"""Looking round at the table: the engine's own picture in every direction, never one older than the scene."""

import io
import re

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from looking import SCENE, Fingers
from PIL import Image

from preview.page.room_page import FACE
from preview.page.standing_points import EAST, FACES, NORTH, UP, cut, face_cameras, standing_points
from preview.picture.view.camera import Camera
from preview.scene.read import read_scene
from preview.session.drawn import draw_views
from preview.steps import eye_cameras, lay_jobs

DRAWN = 180_000  # ms that pictures may take on a busy machine
COLOURS = np.array([(200, 40, 40), (40, 160, 60), (230, 230, 230), (60, 60, 60), (40, 80, 200), (220, 190, 40)])
"""Of six plain faces."""
EDGE = 4  # pixels of the focus' outline


WATCH = """() => {
  window.came = [];
  const first = document.querySelector(".stage .first"), around = document.querySelector(".around");
  new MutationObserver(() => { if (around.hidden) window.came.push("gone"); })
    .observe(around, { attributeFilter: ["hidden"] });
  new MutationObserver(() => window.came.push(`${first.dataset.revision} ${first.dataset.quality}`))
    .observe(first, { attributeFilter: ["data-revision", "data-quality"] });
}"""
"""Notes in which order the view goes and pictures come."""


def ends(located):
    """Return two opposite corners of what is located."""
    box = located.bounding_box()
    return (box["x"], box["y"]), (box["x"] + box["width"], box["y"] + box["height"])


def seen(looker):
    """What the view shows, (h, w, 3)."""
    picture = Image.open(io.BytesIO(looker.page.locator(".around canvas").screenshot()))
    return np.asarray(picture.convert("RGB")).astype(float)


def small_room():
    """The floor that the page shows, and the point from which one looks round."""
    floor = lay_jobs(read_scene(SCENE, "room.toml")[:1])[0]
    return floor, standing_points(eye_cameras(floor)[:1], floor.room, 1)[0]


def look_round(here, point):
    """Look round, turn by keys, and return what is seen (h, w, 3) and the camera that should see it."""
    here.page.get_by_role("button", name="Look round").click()
    here.page.locator(".around[data-revision]").wait_for()
    assert here.page.evaluate("document.activeElement.tagName") == "CANVAS"
    for key in ("ArrowRight", "ArrowRight", "ArrowDown"):
        here.page.keyboard.press(key)
    ours = seen(here)
    bearing, pitch = point.bearing + 2 * 0.12, point.pitch - 0.12
    ahead = np.cos(pitch) * (np.sin(bearing) * EAST + np.cos(bearing) * NORTH) + np.sin(pitch) * UP
    return ours, Camera("there", point.eye, point.eye + ahead, UP, 1.35, 0.0, ours.shape[1::-1])


def apart(one, other):
    """How far pictures (h, w, 3) differ inside the focus' outline, of 255."""
    return np.abs(one - other)[EDGE:-EDGE, EDGE:-EDGE].mean()


def told_apart(ours, expected):
    """Check that one picture (h, w, 3) is the other, and not the other mirrored."""
    assert apart(ours, expected) < 6
    assert apart(ours, expected[:, ::-1]) > 12, "another picture is told apart"


def plain_face(route):
    colour = COLOURS[int(re.search(r"/face/(\d)", route.request.url)[1]) - 1]
    written = io.BytesIO()
    Image.new("RGB", (64, 64), tuple(map(int, colour))).save(written, "PNG")
    route.fulfill(body=written.getvalue(), content_type="image/png")


def test_one_looks_round_by_keys_and_a_change_takes_it_away(look):
    """Each face, a plain one here, is seen where it lies; what the program's own show is asked for below."""
    here = look(bypass_csp=True, has_touch=True)  # the checker is a script put into the page
    here.page.set_default_timeout(DRAWN)
    before = here.full_picture()
    here.page.route("**/face/*", plain_face)
    ours, camera = look_round(here, small_room()[1])
    width, height = camera.size
    ways = camera.rays(np.stack(np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5), axis=-1).reshape(-1, 2))
    face = np.argmax(ways @ np.array([ahead for ahead, _ in FACES]).T, axis=1)
    assert len(np.unique(face)) > 1
    told_apart(ours, COLOURS[face].reshape(height, width, 3))
    assert not Axe().run(here.page).response["violations"]

    x, y = (sum(each) / 2 for each in zip(*ends(here.page.locator(".around canvas")), strict=True))
    stands = here.page.evaluate("[scrollX, scrollY]")
    fingers = Fingers(here.page)
    fingers.drag(((x, y), (x - 150, y - 60)))
    turned = seen(here)
    assert apart(turned, ours) > 5
    fingers.drag(((x, y), (x - 80, y - 40)), ((x + 40, y), (x + 160, y + 80)))
    assert apart(seen(here), turned) < 1, "a second finger does nothing"
    assert here.page.evaluate("[scrollX, scrollY]") == stands

    here.page.evaluate(WATCH)
    here.choose("Stain", "dark")
    here.page.locator(".around").wait_for(state="hidden")
    revision = here.settle()
    came = here.page.evaluate("window.came")
    assert came[0] == "gone" and came[-1] == f"{revision} full", came
    assert here.full_picture() != before
    here.page.unroute("**/face/*")
    here.page.route("**/face/*", lambda route: None)  # they never come
    here.page.get_by_role("button", name="Look round").click()
    here.page.get_by_text("Drawing the room all round").wait_for()
    here.page.keyboard.press("Escape")
    here.page.locator(".around").wait_for(state="hidden")
    assert here.page.evaluate("document.activeElement.textContent") == "Look round"


@pytest.mark.slow
def test_what_one_sees_all_round_is_what_the_engine_draws(look):
    here = look()
    here.page.set_default_timeout(DRAWN)
    here.settle()
    floor, point = small_room()
    ours, camera = look_round(here, point)
    told_apart(ours, next(draw_views([floor], [camera], floor)).picture.rgb.astype(float))


def test_a_face_is_what_the_engine_draws_and_of_the_newest_scene_alone(look):
    here = look()
    here.page.set_default_timeout(DRAWN)
    revision = here.settle()
    asked = {"revision": str(revision), "view": "from the archway"}
    ask = here.page.request.get
    assert ask(f"{here.home}/api/round", params=asked).json()["faces"] == 6
    ours = np.asarray(Image.open(io.BytesIO(ask(f"{here.home}/face/4", params=asked).body())).convert("RGB"))
    floor, point = small_room()
    drawn = next(draw_views([floor], [face_cameras(point, FACE)[3]], floor)).picture.rgb
    assert np.abs(ours.astype(float) - cut(drawn, FACE)).mean() < 2  # of a floor at one's feet; it is sent as a JPEG
    assert ask(f"{here.home}/face/7", params=asked).status == 422
    assert ask(f"{here.home}/face/1", params={**asked, "view": "plan"}).status == 422
    assert ask(f"{here.home}/face/1", params={**asked, "revision": str(revision - 1)}).status == 410
