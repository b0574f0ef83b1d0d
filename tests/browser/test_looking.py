"""Where one stands, and one variant beside another."""

import io

import numpy as np
from PIL import Image


def seen(looker, part=(0.1, 0.6, 0.9, 0.9)):
    """Return a part of the stage, of its width and height, as it is on the screen: (rows, columns, 3)."""
    shown = Image.open(io.BytesIO(looker.page.locator(".stage").screenshot())).convert("RGB")
    edges = [round(share * side) for share, side in zip(part, shown.size * 2, strict=True)]
    return np.asarray(shown.crop(edges), dtype=float)


def apart(one, other):
    return float(np.abs(one - other).mean())


def compare(looker):
    looker.settle()
    looker.page.get_by_label("Compare with").select_option("On the archway")
    looker.page.locator(".stage .second[data-quality=full]").wait_for()
    return looker.page.locator(".divider")


def test_the_divider_is_dragged_and_moved_by_keys_and_a_press_flips(look):
    here = look()
    here.settle()
    first = seen(here)
    divider = compare(here)
    place = divider.bounding_box()
    middle = place["y"] + place["height"] / 2
    here.page.mouse.move(place["x"] + place["width"] / 2, middle)
    here.page.mouse.down()
    here.page.mouse.move(place["x"] + place["width"] * 0.25, middle, steps=5)
    here.page.mouse.up()
    assert abs(int(divider.input_value()) - 25) < 4
    left, right = (0.0, 0.6, 0.2, 0.9), (0.4, 0.6, 0.9, 0.9)
    both_left, both_right = seen(here, left), seen(here, right)
    divider.press("ArrowRight")
    assert abs(int(divider.input_value()) - 26) < 4
    flip = here.page.get_by_role("button", name="Flip")
    flip.click()
    all_first = seen(here)
    first_left, first_right = seen(here, left), seen(here, right)
    flip.click()
    second_left, second_right = seen(here, left), seen(here, right)
    assert apart(all_first, first) < 1  # of 255; nothing but how the screen rounds
    assert apart(both_left, first_left) < 1 < apart(both_left, second_left)
    assert apart(both_right, second_right) < 1 < apart(both_right, first_right)


def test_both_pictures_are_of_one_camera_that_walks(look):
    here = look()
    compare(here)
    asked = []
    here.page.on("request", lambda request: asked.append(request.url))
    here.page.get_by_role("button", name="Turn left").click()
    here.page.locator(".stage .first[data-view=''][data-quality=full]").wait_for()
    here.page.locator(".stage .second[data-view=''][data-quality=full]").wait_for()
    eyes = {url.partition("&eye=")[2].partition("&size")[0] for url in asked if "coarse=0" in url}
    assert len(eyes) == 1


def test_keys_and_a_drag_walk_and_turn(look):
    here = look()
    here.settle()
    before = here.full_picture()
    stage = here.page.locator(".stage")
    stage.focus()
    stage.press("ArrowUp")
    here.page.locator(".stage .first[data-view=''][data-quality=full]").wait_for()
    forward = here.full_picture()
    assert forward != before
    place = stage.bounding_box()
    here.page.mouse.move(place["x"] + 300, place["y"] + 200)
    here.page.mouse.down()
    with here.page.expect_request(lambda request: "eye=" in request.url):
        here.page.mouse.move(place["x"] + 360, place["y"] + 200, steps=4)
    here.page.mouse.up()
    with here.page.expect_response(lambda answer: "eye=" in answer.url and "coarse=0" in answer.url):
        pass
    here.page.wait_for_timeout(300)
    assert here.full_picture() != forward


def test_the_eye_is_dragged_on_the_plan(look):
    here = look()
    here.settle()
    handle = here.page.locator(".handle.eye")
    handle.scroll_into_view_if_needed()
    here.page.wait_for_timeout(300)
    place = handle.bounding_box()
    middle = (place["x"] + place["width"] / 2, place["y"] + place["height"] / 2)
    here.page.mouse.move(*middle)
    here.page.mouse.down()
    with here.page.expect_request(lambda request: "eye=" in request.url and "coarse=0" in request.url) as asked:
        here.page.mouse.move(middle[0] + 20, middle[1] - 30, steps=4)
        here.page.mouse.up()
    here.page.wait_for_timeout(300)
    moved = handle.bounding_box()
    assert abs(moved["x"] - place["x"] - 20) < 3
    assert abs(moved["y"] - place["y"] + 30) < 3
    assert asked.value.response().status == 200


def test_thumbnails_choose_the_view(look):
    here = look()
    here.settle()
    before = here.full_picture()
    plan = here.page.locator(".views button", has_text="plan")
    plan.click()
    here.page.locator(".stage .first[data-view=plan][data-quality=full]").wait_for()
    assert plan.get_attribute("aria-pressed") == "true"
    assert here.full_picture() != before
    assert not here.page.locator(".walk").is_visible()
