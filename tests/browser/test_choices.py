"""Choices at the page: the picture and the numbers become what the commands make of the saved scene."""

import re
import tomllib

import pytest
from looking import SCENE
from running import preview

NARROW, SIZE = 420, "480x300"
"""Of a window, and of its full picture, pixels."""


def save(looker):
    looker.page.get_by_role("button", name="Save", exact=True).click()
    looker.page.locator("#words", has_text="Saved in box-room.toml").wait_for()


def test_choices_are_shown_as_the_commands_show_the_saved_scene(look, tmp_path):
    here = look(width=NARROW)
    seen = [here.full_picture()]
    for label, option in (("Centred on", "the window"), ("Wood", "walnut"), ("Border width", "none")):
        here.choose(label, option)
        seen.append(here.full_picture())
    assert len(set(seen)) == len(seen)
    save(here)
    saved = tomllib.loads(here.server.scene.read_text())
    assert saved["floor"]["center"] == {"opening": "window"}
    assert saved["wood"]["species"] == "walnut"
    named = ("--variant", "On the room", "--viewpoint", "from the archway", "--size", SIZE, "--out", tmp_path)
    assert preview("render", here.server.scene, *named).returncode == 0
    assert seen[-1] == next(tmp_path.rglob("*.png")).read_bytes()
    laid = preview("lay", here.server.scene, "--variant", "On the room").stdout.decode()
    assert re.search(rf"\b{here.figure('Boards to cut')}\b", laid)


def test_saving_keeps_comments_and_order(look):
    here = look(width=NARROW)
    before = here.server.scene.read_text()
    here.type_in("Board width", "3 1/4")
    here.settle()
    assert here.page.locator("#kept").text_content() == "Not saved in box-room.toml yet"
    save(here)
    lines = here.server.scene.read_text().splitlines()
    for old, new in zip(before.splitlines(), lines, strict=True):
        assert old == new or (old.startswith("board_width = 4 ") and "3 1/4" in new and "# the face of a board" in new)
    assert here.page.locator("#kept").text_content() == "Saved in box-room.toml"


def test_undo_and_redo(look, server):
    here = look(address=server.address, width=NARROW)  # as it is printed, with its token
    assert "token" not in here.page.url
    first = here.figure("Boards to cut") if here.settle() else ""
    here.type_in("Board width", "3")
    here.settle()
    second = here.figure("Boards to cut")
    assert second != first
    here.page.get_by_role("button", name="Undo").click()
    here.page.locator(".row[data-key='floor.board_width'] .value", has_text='4"').wait_for()
    here.settle()
    assert here.figure("Boards to cut") == first
    here.page.get_by_role("button", name="Redo").click()
    here.page.locator(".row[data-key='floor.board_width'] .value", has_text='3"').wait_for()
    here.settle()
    assert here.figure("Boards to cut") == second


def test_an_error_stands_at_its_field_and_nothing_is_changed(look):
    here = look(width=NARROW)
    before = here.settle()
    row = here.type_in("Board width", "banana")
    row.locator(".error:visible", has_text="banana").wait_for()
    field = row.locator(".field input")
    assert field.get_attribute("aria-invalid") == "true"
    assert row.locator(".error").get_attribute("id") in field.get_attribute("aria-describedby")
    assert here.state()["revision"] == before
    here.type_in("Board width", "5")
    row.locator(".error").wait_for(state="hidden")


def test_a_choice_tells_what_each_option_comes_to(look):
    here = look(width=NARROW)
    here.settle()
    row = here.open_row("Board width")
    row.locator(".cost", has_text=re.compile(r"\d+ boards, .*waste.* USD")).nth(3).wait_for()


def test_an_old_picture_is_dimmed_and_said_to_be_old(look):
    here = look(width=NARROW)
    here.settle()
    here.page.route("**/picture?**", lambda route: None)  # the new picture never comes
    here.page.route("**/api/numbers?**", lambda route: None)
    here.type_in("Board width", "3")
    here.page.locator(".stage .first.old .drawing", has_text="Before this change").wait_for()
    here.page.locator(".figures.old").wait_for()


def test_swatches_show_what_they_are_of(look):
    here = look(width=NARROW, swatches=True)
    here.settle()
    row = here.open_row("Cut")
    row.scroll_into_view_if_needed()
    shown = set()
    for each in row.locator(".choice img").all():
        each.scroll_into_view_if_needed()
        here.page.wait_for_timeout(50)
        with_bytes = here.page.request.get(here.home + each.get_attribute("src"))
        assert with_bytes.ok
        shown.add(with_bytes.body())
    assert len(shown) == 3
    walls = here.open_row("Walls")
    assert walls.locator(".value").inner_text() == "warm off-white"  # though the scene says nothing
    chip = walls.locator(".chip")
    chip.evaluate("(image) => image.decode()")  # it may be on its way
    assert chip.evaluate("(image) => image.naturalWidth") == 48


def test_a_point_is_typed_and_a_slip_told_at_its_field(look):
    here = look(width=NARROW)
    before = here.full_picture()
    row = here.open_row("Centred on")
    east, north = row.get_by_label("A point: east of the first corner"), row.get_by_label("north of it")
    east.fill("40")
    north.fill("nowhere")
    row.get_by_role("button", name="Set").click()
    row.locator(".error:visible", has_text="nowhere").wait_for()
    assert north.get_attribute("aria-invalid") == "true"
    north.fill("40")
    row.get_by_role("button", name="Set").click()
    row.locator(".value", has_text="a point, 3' 4\" and 3' 4\"").wait_for()
    assert row.locator(".error").is_hidden()
    assert here.full_picture() != before


@pytest.mark.slow
def test_an_hour_of_sun_is_typed_and_the_picture_is_of_it(look):
    here = look(width=NARROW)
    here.choose("Sky", "clear")
    before = here.full_picture()  # of the hour that a clear sky begins with
    row = here.open_row("Date and hour")
    assert "12:15" not in row.locator(".value").inner_text()
    row.get_by_label("Date and hour there").fill("2026-06-21T12:15")
    row.get_by_label("Ahead of UTC").fill("-05:00")
    row.get_by_role("button", name="Set").click()
    row.locator(".value", has_text="12:15").wait_for()
    assert here.full_picture() != before
    sun = here.state()["values"]["On the room"]["light.sun.time"]
    assert sun["value"] == "2026-06-21T12:15:00-05:00"
    row.get_by_label("Ahead of UTC").fill("noon")
    row.get_by_role("button", name="Set").click()
    row.locator(".error:visible", has_text="offset from UTC").wait_for()


def test_a_file_changed_elsewhere_is_never_written_over_silently(look):
    here = look(width=NARROW)
    file, notice = here.server.scene, here.page.locator(".notice:visible")
    here.type_in("Board width", "3")
    theirs = SCENE.replace("height = 96", "height = 97  # theirs")
    file.write_text(theirs)
    notice.filter(has_text="changed elsewhere").wait_for()
    here.page.get_by_role("button", name="Save", exact=True).click()
    here.page.locator("#words.error", has_text="changed elsewhere").wait_for()
    assert file.read_text() == theirs
    notice.get_by_role("button", name="Take the file as it is now").click()
    notice.wait_for(state="hidden")
    here.page.locator(".row[data-key='floor.board_width'] .value", has_text='4"').wait_for()
    assert here.page.locator("#kept").text_content() == "Saved in box-room.toml"
    here.type_in("Board width", "3")
    file.write_text(SCENE.replace("height = 96", "height = 98  # theirs again"))
    notice.get_by_role("button", name="Save over it").click()
    here.page.locator("#words", has_text="Saved in box-room.toml").wait_for()
    assert "theirs again" not in file.read_text()
    assert tomllib.loads(file.read_text())["floor"]["board_width"] == 3


def test_variants_are_kept_renamed_and_deleted(look):
    here = look(width=NARROW)
    here.settle()
    here.type_in("Board width", "3")
    here.settle()
    for press, typed in (("Keep as a variant", "Narrow"), ("Rename", "Three inch")):
        here.page.get_by_role("button", name=press, exact=True).click()
        here.page.locator("dialog input").fill(typed)
        here.page.locator("dialog button.main").click()
        here.page.locator(f".tabs button[data-name='{typed}'][aria-pressed=true]").wait_for()
    assert [each["name"] for each in here.state()["variants"]] == ["On the room", "On the archway", "Three inch"]
    assert here.state()["values"]["On the room"]["floor.board_width"]["text"] == '4"'
    here.page.get_by_role("button", name="Delete", exact=True).click()
    here.page.locator("dialog button.main").click()
    here.page.locator(".tabs button[data-name='Three inch']").wait_for(state="detached")
    assert len(here.state()["variants"]) == 2


def test_two_browsers_see_the_same_and_nobodys_typing_is_lost(look):
    here, there = look(width=NARROW), look(width=NARROW)
    there.open_row("Thickness").locator(".field input").fill("5/8")
    here.choose("Border width", "none")
    here.settle()
    there.page.locator(".row[data-key='border.width'] .value", has_text="none").wait_for(
        state="attached"
    )  # its group is closed
    there.settle()
    assert there.row("Thickness").locator(".field input").input_value() == "5/8"
    assert here.full_picture() == there.full_picture()
