"""The other parts of the page, the homeowner's page, and a server that goes and comes back."""

import signal

import pytest
from axe_playwright_python.sync_playwright import Axe

PARTS = ("floor", "layouts", "room", "papers", "customer")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1100])
def test_every_part_passes_the_rules_of_accessibility_and_fits_its_window(look, scheme, width):
    here = look(width=width, color_scheme=scheme, bypass_csp=True)  # the checker is a script put into the page
    here.settle()
    for part in PARTS:
        here.page.goto(f"http://127.0.0.1:{here.server.port}/#{part}")
        if part == "floor":
            here.open_row("Centred on")
            here.open_row("Wood")
        if part == "room":
            here.page.locator(".room input").first.wait_for()
        found = Axe().run(here.page).response["violations"]
        assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []
        assert here.page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_paper_is_made_with_progress_and_fetched(look):
    here = look(path="#papers")
    row = here.page.locator(".papers li[data-what=plan]")
    row.get_by_role("button").click()
    with here.page.expect_download() as fetched:
        row.get_by_role("link").click()
    assert b"<svg" in fetched.value.path().read_bytes()


def test_the_room_is_corrected_and_slips_stand_at_their_fields(look):
    here = look(path="#room")
    width = here.page.get_by_role("group", name="Openings, archway").get_by_label("Width")
    width.fill("ninety")
    here.page.locator(".thing .error", has_text="ninety").wait_for()
    assert width.get_attribute("aria-invalid") == "true"
    width.fill("40")
    here.page.locator(".thing .error", has_text="ninety").wait_for(state="hidden")
    before = here.state()["revision"]
    here.page.get_by_role("button", name="Use this room").click()
    here.page.locator("#words", has_text="The room is as you typed it").wait_for()
    assert here.state()["revision"] > before
    here.page.get_by_role("button", name="Undo").click()
    here.page.locator("#words", has_text="Undone").wait_for()


def test_the_homeowner_sees_pictures_and_names_alone(look):
    here = look()
    there = look(address=here.state()["customer"])
    there.page.locator(".stage .first[data-quality=full]").wait_for()
    there.page.locator(".tabs button", has_text="On the archway").click()
    there.page.locator(".stage .first[data-quality=full][data-variant='On the archway']").wait_for()
    words = there.page.locator("body").inner_text()
    assert "Wood is a natural material" in words
    for hidden in ("USD", "arning", "Waste", "Save", "Keep", "toml"):
        assert hidden not in words


def test_a_killed_server_is_waited_for_and_what_was_unsaved_is_offered(look):
    here = look()
    here.settle()
    here.choose("Wood", "walnut")
    here.settle()
    here.server.stop(signal.SIGKILL)
    here.page.locator(".notice", has_text="The page goes on by itself").wait_for()
    here.server.start(here.server.port)
    here.page.locator(".notice", has_text="The page goes on by itself").wait_for(state="hidden")
    here.page.get_by_role("button", name="Take them").click()
    here.page.locator(".row[data-key='wood.species'] .value", has_text="walnut").wait_for()
    here.settle()
    here.wrong[:] = [each for each in here.wrong if "ERR_CONNECTION" not in each and "WebSocket" not in each]
