"""What the page says is in its own words: no key of the file, and advice that is followed by one press."""

import re

import pytest
from browsing import Browser

from preview.live.app import live_app
from preview.live.controls import LABELS
from preview.live.served import Served

SCENE = """
title = "Study"
units = "in"
room.corners = [[0, 0], [180, 0], [180, 140], [0, 140]]
floor.board_width = 4
openings = [{ name = "door", kind = "door", wall = 1, offset = 40, width = 32 }]
"""
KEYS = re.compile(r"\b(floor|border|wood|stock|light)\.[a-z_]+|\b\w+ = ")


@pytest.fixture
def study(tmp_path, opened, keys):
    file = tmp_path / "study.toml"
    file.write_text(SCENE)
    return Browser(live_app(Served(opened(file)), keys), keys.firm)


def numbers(browser):
    return browser.get("/api/numbers", params={"revision": browser.state()["revision"]}).json()


def test_advice_names_choices_as_the_page_does_and_one_press_follows_it(study):
    told = numbers(study)
    assert any("end in triangles" in each for each in told["warnings"])
    (advice,) = told["advice"]
    assert advice["words"] == "to avoid small triangles, try First boards “the same at both ends”"
    assert study.change(*[(None, each["key"], each["value"]) for each in advice["edits"]]).status_code == 200
    after = numbers(study)
    assert after["advice"] == []
    assert not any("end in triangles" in each for each in after["warnings"])


def test_warnings_and_errors_have_no_keys_of_the_file(study):
    study.change((None, "floor.center", {"opening": "door"}), (None, "floor.run", "45"))
    told = numbers(study)
    assert any("runs with its sight line" in each for each in told["warnings"])
    assert not any(KEYS.search(each) for each in told["warnings"])
    study.change((None, "stock.shortest", "15"))
    answer = study.change((None, "stock.longest", "10"))
    assert answer.status_code == 422
    refused = study.change(
        (None, "floor.pattern", "straight"), (None, "floor.board_width", "2"), (None, "border.overlap", "9")
    )
    assert refused.status_code == 422
    assert not KEYS.search(refused.json()["words"]), refused.json()["words"]


def test_a_key_in_a_message_becomes_its_label():
    from preview.live.plain_words import plain_words

    assert plain_words("turn the courses with floor.run") == "turn the courses with “Direction of the courses”"
    for group in LABELS.values():
        for key, label in group.items():
            if "." in key:
                assert plain_words(f"see {key}, then") == f"see “{label}”, then"
