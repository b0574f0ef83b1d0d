"""A server that goes and comes back."""

import signal

import pytest


def typed(looker):
    return looker.page.locator(".row[data-key='floor.board_width'] .value", has_text='3"')


@pytest.mark.slow
def test_the_page_goes_on_when_the_server_fails_and_when_it_is_killed(look):
    here = look(width=420)
    here.settle()
    here.type_in("Board width", "3")
    here.settle()
    before = here.full_picture()
    here.server.fail()
    here.page.locator(".notice", has_text="The page goes on by itself").wait_for()
    here.page.locator("#words", has_text="was started again").wait_for()
    assert here.page.locator(".notice:visible").count() == 0
    typed(here).wait_for()
    assert here.full_picture() == before
    here.server.stop(signal.SIGKILL)
    here.page.locator(".notice", has_text="The page goes on by itself").wait_for()
    here.server.start(here.server.port)
    here.page.get_by_role("button", name="Take them").click()
    typed(here).wait_for()
    assert here.full_picture() == before
    here.wrong[:] = [each for each in here.wrong if "ERR_CONNECTION" not in each and "WebSocket" not in each]
