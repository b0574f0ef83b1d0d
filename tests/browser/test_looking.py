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


def off_its_line(here, divider):
    """How far the middle of the divider's knob, its white in a picture of it, lies from its line, pixels."""
    box, frames = divider.bounding_box(), here.page.locator(".stage img")
    row = {"x": 0, "y": box["y"] + box["height"] / 2 - 1, "width": here.page.viewport_size["width"], "height": 2}
    frames.evaluate_all("all => all.forEach((each) => { each.style.filter = 'brightness(0)'; })")
    shown = np.asarray(Image.open(io.BytesIO(here.page.screenshot(clip=row))).convert("L"))[0] > 200
    frames.evaluate_all("all => all.forEach((each) => { each.style.filter = ''; })")
    stage = here.page.locator(".stage")
    place, line = stage.bounding_box(), stage.evaluate("each => getComputedStyle(each, '::after').left")
    over = np.arange(len(shown))
    knob = np.flatnonzero(shown & (over > place["x"] + 2) & (over < place["x"] + place["width"] - 2))
    return knob.mean() + 0.5 - (place["x"] + float(line.removesuffix("px")) + 1)


def test_the_divider_is_dragged_and_moved_by_keys_and_a_press_flips(look):
    here = look()
    here.settle()
    first = seen(here)
    divider = compare(here)
    assert abs(int(divider.input_value()) - 50) > 10  # the sight line, in the middle, is seen at first
    place = divider.bounding_box()
    middle = place["y"] + place["height"] / 2
    here.page.mouse.move(place["x"] + place["width"] / 2, middle)
    here.page.mouse.down()
    here.page.mouse.move(place["x"] + place["width"] * 0.25, middle, steps=5)
    here.page.mouse.up()
    assert abs(int(divider.input_value()) - 25) < 4
    assert abs(off_its_line(here, divider)) < 1.5
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
    # The first full picture from elsewhere that is answered: on a slow machine one of the middle of the drag.
    with here.page.expect_response(lambda answer: "eye=" in answer.url and "coarse=0" in answer.url):
        here.page.mouse.move(place["x"] + 360, place["y"] + 200, steps=4)
        here.page.mouse.up()
    assert here.full_picture() != forward


def red_and_blue(looker):
    """Return how many pixels of the stage have the colour of the sight line, and how many that of the centre line."""
    shown = seen(looker, (0, 0, 1, 1))
    return tuple(int((np.abs(shown - ink).max(axis=2) < 12).sum()) for ink in ((0xD1, 0x34, 0x2F), (0x1B, 0x4F, 0x8F)))


def test_both_lines_are_drawn_and_taken_away_by_a_press_and_by_a_key(look):
    here = look()
    divider = compare(here)
    divider.fill("90")
    assert max(red_and_blue(here)) == 0
    here.page.get_by_role("button", name="Lines").click()
    here.page.locator(".stage .first[data-quality=full]:not(.old)").wait_for()
    here.page.locator(".stage .second[data-quality=full]:not(.old)").wait_for()
    assert min(red_and_blue(here)) > 100
    legend = here.page.locator(".legend")
    legend.locator("li").nth(2).wait_for()  # its words come by themselves
    assert legend.inner_text().splitlines() == [
        "straight in from the archway",
        "middle of the pattern",
        "on the right, where the courses of On the room meet",
    ]
    assert "with its lines" in here.page.locator(".stage .first img").get_attribute("alt")
    here.page.locator(".stage").press("l")
    here.page.locator(".legend").wait_for(state="hidden")
    here.settle()
    here.page.locator(".stage .second[data-quality=full]:not(.old)").wait_for()
    assert here.page.get_by_role("button", name="Lines").get_attribute("aria-pressed") == "false"
    assert max(red_and_blue(here)) == 0


def middle_of(handle):
    place = handle.bounding_box()
    return place["x"] + place["width"] / 2, place["y"] + place["height"] / 2


def test_the_centre_is_dragged_on_the_plan_and_given_up_by_escape(look):
    here = look()
    before = here.full_picture()
    handle, value = here.page.locator(".handle.centre"), here.row("Centred on").locator(".value")
    handle.scroll_into_view_if_needed()
    here.page.wait_for_timeout(300)
    x, y = middle_of(handle)
    here.page.mouse.move(x, y)
    here.page.mouse.down()
    here.page.mouse.move(x - 40, y, steps=4)
    assert abs(middle_of(handle)[0] - (x - 40)) < 2
    here.page.keyboard.press("Escape")
    here.page.mouse.up()
    assert abs(middle_of(handle)[0] - x) < 2
    assert value.inner_text() == "the room"
    here.page.mouse.move(x, y)
    here.page.mouse.down()
    here.page.mouse.move(x - 40, y, steps=4)
    here.page.mouse.up()
    here.page.locator("#words", has_text="The floor is centred on a point").wait_for()
    assert here.full_picture() != before
    assert abs(middle_of(handle)[0] - (x - 40)) < 2
    plan = here.page.locator(".plan svg").first.bounding_box()
    assert plan["width"] > 300
    dragged = here.state()["values"]["On the room"]["floor.center"]["value"]["point"]
    assert 25 < dragged[0] < 48  # the room is 100 in wide, its middle was at 50
    for _ in range(4):
        handle.press("ArrowRight")
    handle.press("Shift+ArrowRight")  # they are sent after a pause: all together, or some before the others

    def went():
        return here.state()["values"]["On the room"]["floor.center"]["value"]["point"][0] - dragged[0]

    here.until(lambda: abs(went() - 3.5) < 0.2)  # inches: four quarters, then ten
    here.settle()
    assert abs(went() - 3.5) < 0.2


def test_a_press_on_the_plan_centres_the_floor_without_a_drag(look):
    here = look()
    here.settle()
    here.open_row("Centred on").get_by_role("button", name="Press it on the plan").click()
    here.page.wait_for_timeout(300)
    x, y = middle_of(here.page.locator(".handle.centre"))
    here.page.mouse.click(x + 30, y - 20)
    here.page.locator("#words", has_text="The floor is centred on a point").wait_for()
    here.settle()
    now = middle_of(here.page.locator(".handle.centre"))
    assert abs(now[0] - x - 30) < 2
    assert abs(now[1] - y + 20) < 2


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
    with here.page.expect_response(lambda answer: "eye=" in answer.url and "coarse=0" in answer.url) as answered:
        here.page.mouse.move(middle[0] + 20, middle[1] - 30, steps=4)
        here.page.mouse.up()
    here.page.locator(".stage .first[data-view=''][data-quality=full]:not(.old)").wait_for()
    here.page.wait_for_function(
        """([made, x, y]) => {
          const at = made.getBoundingClientRect();
          return Math.hypot(at.x - x, at.y - y) < 3;
        }""",
        arg=[handle.element_handle(), place["x"] + 20, place["y"] - 30],
    )
    assert answered.value.status == 200


def test_thumbnails_choose_the_view(look):
    here = look()
    here.settle()
    before = here.full_picture()
    plan = here.page.locator(".views button", has_text="plan")
    plan.click()
    here.page.locator(".stage .first[data-view=plan][data-quality=full]").wait_for()
    assert plan.get_attribute("aria-pressed") == "true"
    assert here.full_picture() != before
    assert not here.page.get_by_label("Walk and turn", exact=True).is_visible()
