"""A scene changed at the page: read back from its state, and from the file that is saved."""

import tomllib

import pytest

from preview.scene.read import load_scene


def value(state, key, variant="On the room"):
    return state["values"][variant][key]["text"]


def test_a_change_is_a_new_revision_and_is_shown(firm):
    before = firm.state()
    after = firm.change((None, "floor.board_width", "5 1/4")).json()
    assert after["revision"] > before["revision"]
    assert value(after, "floor.board_width") == '5 1/4"'
    assert value(after, "floor.board_width", "On the archway") == '5 1/4"'
    assert value(after, "floor.board_width", "Five-inch boards") == '5"'
    assert not after["saved"]
    assert after["undo"]


def test_a_change_of_a_variant_leaves_the_base(firm):
    after = firm.change(("On the archway", "wood.species", "walnut")).json()
    assert value(after, "wood.species") == "white oak"
    assert value(after, "wood.species", "On the archway") == "walnut"
    assert after["values"]["On the archway"]["wood.species"]["own"]
    assert "Wood: walnut" in after["variants"][1]["changes"]


@pytest.mark.parametrize(
    ("key", "typed", "words"),
    [
        ("floor.board_width", "banana", "banana"),
        ("floor.board_width", "50 in", "between"),
        ("wood.species", "plastic", "species"),
        ("floor.courses", "many", "courses"),
        ("light.sun.time", "tomorrow", "2026-10-14T16:00:00+01:00"),
        ("floor.center", {"opening": "the moon"}, "the moon"),
        ("floor.center", {"metres": [1e9, 0]}, "point"),
        ("wood.moisture", "wet", "three numbers"),
        ("floor.colour", "red", "no such choice"),
        ("floor.board_width", ["4"], "text or a number"),
    ],
)
def test_a_slip_names_its_key_and_changes_nothing(firm, work, key, typed, words):
    before = work.now.text
    answer = firm.change((None, key, typed))
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["key"].startswith(key)
    assert words in error["message"].casefold() or words in error["message"]
    assert work.now.text == before


def test_what_can_be_read_but_not_laid_changes_nothing(firm, work):
    before = work.now.text
    answer = firm.change((None, "border.width", "6 ft 6 in"), (None, "floor.board_length", "9 ft"))
    assert answer.status_code == 422
    assert work.now.text == before
    assert not firm.state()["undo"]


def test_edits_are_made_all_or_none(firm, work):
    before = work.now.text
    answer = firm.change((None, "floor.board_width", "3"), (None, "wood.species", "plastic"))
    assert answer.status_code == 422
    assert work.now.text == before


def test_undo_and_redo(firm):
    first = firm.change((None, "floor.board_width", "3")).json()
    second = firm.change((None, "wood.stain", "dark")).json()
    assert second["undo_words"] == "Stain"
    back = firm.post_json("/api/undo").json()
    assert value(back, "wood.stain") == "none"
    assert value(back, "floor.board_width") == '3"'
    assert back["redo_words"] == "Stain"
    assert back["revision"] > second["revision"] > first["revision"]
    back = firm.post_json("/api/undo").json()
    assert value(back, "floor.board_width") == '4"'
    assert back["saved"]
    assert not back["undo"]
    again = firm.post_json("/api/redo").json()
    assert value(again, "floor.board_width") == '3"'


def test_a_base_may_come_to_be_what_a_variant_is_but_is_not_saved_so(firm, scene):
    before = scene.read_bytes()
    state = firm.change((None, "floor.board_width", 5)).json()
    assert [each["same"] for each in state["variants"]] == [False, False, True]
    answer = firm.post_json("/api/save")
    assert answer.status_code == 422
    assert "Five-inch boards" in answer.json()["words"]
    assert scene.read_bytes() == before


def test_what_is_saved_has_its_comments_and_order_and_is_what_was_shown(firm, scene):
    before = scene.read_text()
    firm.change((None, "floor.board_width", "4 1/2"), ("On the archway", "wood.stain", "grey"))
    state = firm.post_json("/api/save").json()
    assert state["saved"]
    after = scene.read_text()
    lines = before.splitlines()
    changed = [line for line in after.splitlines() if line not in lines]
    assert changed == ['board_width = "4 1/2"', 'wood.stain = "grey"']
    assert [line for line in lines if "#" in line and line not in after.splitlines()] == []
    base, archway, _ = load_scene(scene)
    assert base.floor.board_width == pytest.approx(4.5 * 0.0254)
    assert archway.wood.stain == "grey"


def test_a_file_changed_elsewhere_is_not_written_over_unasked(firm, scene):
    firm.change((None, "floor.board_width", "3"))
    other = scene.read_text().replace('grade = "select"', 'grade = "rustic"')
    scene.write_text(other)
    answer = firm.post_json("/api/save")
    assert answer.status_code == 409
    assert "changed elsewhere" in answer.json()["words"]
    assert scene.read_text() == other
    taken = firm.post_json("/api/reload").json()
    assert value(taken, "wood.grade") == "rustic"
    assert value(taken, "floor.board_width") == '4"'
    back = firm.post_json("/api/undo").json()
    assert value(back, "floor.board_width") == '3"'
    assert firm.post_json("/api/save").status_code == 200
    assert tomllib.loads(scene.read_text())["wood"]["grade"] == "select"


def test_a_file_changed_elsewhere_is_written_over_if_asked(firm, scene):
    firm.change((None, "floor.board_width", "3"))
    scene.write_text(scene.read_text() + "\n# a note\n")
    assert firm.post_json("/api/save", {"over": True}).json()["saved"]
    assert "a note" not in scene.read_text()


def test_a_file_changed_elsewhere_is_taken_where_nothing_is_unsaved(firm, scene, work):
    scene.write_text(scene.read_text().replace('grade = "select"', 'grade = "rustic"'))
    work.look_at_file()
    state = firm.state()
    assert value(state, "wood.grade") == "rustic"
    assert state["saved"]
    assert state["file_changed"] is None


def test_a_file_changed_elsewhere_is_told_where_something_is_unsaved(firm, scene, work):
    firm.change((None, "floor.board_width", "3"))
    scene.write_text(scene.read_text().replace('grade = "select"', 'grade = "rustic"'))
    work.look_at_file()
    told = firm.state()
    assert "changed elsewhere" in told["file_changed"]
    work.look_at_file()
    assert firm.state()["told"] == told["told"]


def test_a_file_that_has_become_wrong_is_told_and_not_taken(firm, scene, work):
    scene.write_text("title = ")
    work.look_at_file()
    assert "can't be read" in firm.state()["file_changed"]
    assert value(firm.state(), "wood.grade") == "select"


def test_two_pages_that_change_different_things_at_once_both_have_their_way(firm):
    revision = firm.state()["revision"]
    assert firm.change((None, "floor.board_width", "3"), client="a", revision=revision).status_code == 200
    both = firm.change((None, "wood.stain", "dark"), client="b", revision=revision)
    assert both.status_code == 200
    assert value(both.json(), "floor.board_width") == '3"'
    assert value(both.json(), "wood.stain") == "dark"


def test_the_same_thing_changed_by_another_page_meanwhile_is_not_changed_unseen(firm):
    revision = firm.state()["revision"]
    assert firm.change((None, "floor.board_width", "3"), client="a", revision=revision).status_code == 200
    late = firm.change((None, "floor.board_width", "5 1/2"), client="b", revision=revision)
    assert late.status_code == 409
    own = firm.change((None, "floor.board_width", "3 1/2"), client="a", revision=revision)
    assert own.status_code == 200


def test_variants_are_kept_renamed_and_deleted(firm, scene):
    firm.change((None, "wood.species", "walnut"), (None, "floor.board_width", "3"))
    state = firm.post_json("/api/variant", {"do": "keep", "name": "Walnut, narrow", "variant": None}).json()
    assert [each["name"] for each in state["variants"]][-1] == "Walnut, narrow"
    assert value(state, "wood.species") == "white oak"
    assert value(state, "wood.species", "Walnut, narrow") == "walnut"
    assert value(state, "floor.board_width", "Walnut, narrow") == '3"'
    state = firm.post_json("/api/variant", {"do": "rename", "variant": "Walnut, narrow", "to": "Dark"}).json()
    assert [each["name"] for each in state["variants"]][-1] == "Dark"
    state = firm.post_json("/api/variant", {"do": "rename", "variant": None, "name": "On the room", "to": "Ours"})
    assert state.json()["variants"][0]["name"] == "Ours"
    state = firm.post_json("/api/variant", {"do": "delete", "variant": "On the archway"}).json()
    assert [each["name"] for each in state["variants"]] == ["Ours", "Five-inch boards", "Dark"]
    firm.post_json("/api/save")
    assert [job.variant for job in load_scene(scene)] == ["Ours", "Five-inch boards", "Dark"]


def test_a_variant_with_edits_is_kept_in_one_step(firm):
    sent = {"do": "keep", "name": "Grey", "variant": "On the archway"}
    sent["edits"] = [{"variant": None, "key": "wood.stain", "value": "grey"}]
    state = firm.post_json("/api/variant", sent).json()
    assert value(state, "wood.stain", "Grey") == "grey"
    assert value(state, "floor.center", "Grey") == "the hall archway"
    assert value(state, "wood.stain") == "none"
    assert not firm.post_json("/api/undo").json()["undo"]


@pytest.mark.parametrize(
    "sent",
    [
        {"do": "keep", "name": "on the ROOM", "variant": None},
        {"do": "keep", "name": " ", "variant": None},
        {"do": "rename", "variant": "On the archway", "to": "On the room"},
        {"do": "delete", "variant": "On the room"},
        {"do": "delete", "variant": "none such"},
        {"do": "burn"},
    ],
)
def test_what_can_not_be_done_with_a_variant_is_told(firm, work, sent):
    before = work.now.text
    assert firm.post_json("/api/variant", sent).status_code == 422
    assert work.now.text == before
