"""Looking round at the table: the engine's own picture in every direction, never one older than the scene."""

import io

import numpy as np
from axe_playwright_python.sync_playwright import Axe
from looking import SCENE, Fingers
from PIL import Image

from preview.page.standing_points import EAST, NORTH, UP, standing_points
from preview.picture.view.camera import Camera
from preview.scene.read import read_scene
from preview.session.drawn import draw_views
from preview.steps import eye_cameras, lay_jobs

DRAWN = 180_000  # ms that pictures may take on a busy machine


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


def test_one_looks_round_by_keys_and_a_change_takes_it_away(look):
    here = look(bypass_csp=True, has_touch=True)  # the checker is a script put into the page
    here.page.set_default_timeout(DRAWN)
    before = here.full_picture()
    here.page.get_by_role("button", name="Look round").click()
    here.page.locator(".around[data-revision]").wait_for()
    assert here.page.evaluate("document.activeElement.tagName") == "CANVAS"
    for key in ("ArrowRight", "ArrowRight", "ArrowDown"):
        here.page.keyboard.press(key)
    ours = seen(here)
    floor = lay_jobs(read_scene(SCENE, "room.toml")[:1])[0]
    point = standing_points(eye_cameras(floor)[:1], floor.room, 1)[0]
    bearing, pitch = point.bearing + 2 * 0.12, point.pitch - 0.12
    ahead = np.cos(pitch) * (np.sin(bearing) * EAST + np.cos(bearing) * NORTH) + np.sin(pitch) * UP
    camera = Camera("there", point.eye, point.eye + ahead, UP, 1.35, 0.0, ours.shape[1::-1])
    expected = next(draw_views([floor], [camera], floor)).picture.rgb.astype(float)
    edge = 4  # pixels of the focus' outline
    inner = (slice(edge, -edge), slice(edge, -edge))
    assert np.abs(ours - expected)[inner].mean() < 6
    assert np.abs(ours - expected[:, ::-1])[inner].mean() > 12, "another picture is told apart"
    assert not Axe().run(here.page).response["violations"]

    x, y = (sum(each) / 2 for each in zip(*ends(here.page.locator(".around canvas")), strict=True))
    stands = here.page.evaluate("[scrollX, scrollY]")
    fingers = Fingers(here.page)
    fingers.drag(((x, y), (x - 150, y - 60)))
    turned = seen(here)
    assert np.abs(turned - ours)[inner].mean() > 5
    fingers.drag(((x, y), (x, y)), ((x + 40, y), (x + 160, y + 80)))
    assert np.abs(seen(here) - turned)[inner].mean() < 1, "a second finger does nothing"
    assert here.page.evaluate("[scrollX, scrollY]") == stands

    here.page.evaluate(WATCH)
    here.choose("Wood", "walnut")
    here.page.locator(".around").wait_for(state="hidden")
    revision = here.settle()
    came = here.page.evaluate("window.came")
    assert came[0] == "gone" and came[-1] == f"{revision} full", came
    assert here.full_picture() != before
    here.page.get_by_role("button", name="Look round").click()
    here.page.get_by_text("Drawing the room all round").wait_for()
    here.page.keyboard.press("Escape")
    here.page.locator(".around").wait_for(state="hidden")
    assert here.page.evaluate("document.activeElement.textContent") == "Look round"


def test_a_face_is_of_the_newest_scene_alone(look):
    here = look()
    here.page.set_default_timeout(DRAWN)
    revision = here.settle()
    asked = {"revision": str(revision), "view": "from the archway"}
    ask = here.page.request.get
    assert ask(f"{here.home}/api/round", params=asked).json()["faces"] == 6
    assert ask(f"{here.home}/face/7", params=asked).status == 422
    assert ask(f"{here.home}/face/1", params={**asked, "view": "plan"}).status == 422
    assert ask(f"{here.home}/face/1", params={**asked, "revision": str(revision - 1)}).status == 410
