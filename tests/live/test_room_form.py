"""The room measured and corrected at the page."""

import math
import tomllib
import xml.etree.ElementTree as ET

import pytest
from browsing import SCENES, Browser

from preview.live.app import live_app
from preview.live.new_room import new_room
from preview.live.room_form import SINGLE, room_form
from preview.live.room_trial import try_room, walls_of
from preview.live.served import Served
from preview.live.workspace import Workspace
from preview.scene.read import load_scene
from preview.units import UNITS, parse_length


@pytest.fixture
def new(tmp_path, keys):
    work = Workspace(tmp_path / "room.toml", None, new_room("in"), None)
    yield Browser(live_app(Served(work), keys), keys.firm)
    work.session.close()


def letters(svg):
    return [each.text for each in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]


def tried(browser, **sent):
    answer = browser.post_json("/api/room", {"try": True, **sent})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_form_has_what_was_measured_as_the_file_has_it(firm):
    form = firm.get("/api/room").json()
    assert form["how"] == "corners"
    assert form["corners"][2] == ["14' 8\"", "17' 2\""]
    assert (
        form["openings"][0] | {"name": "hall archway", "wall": 1, "offset": "4' 2\"", "sill": ""} == form["openings"][0]
    )
    assert form["height"] == "8' 6\""
    assert form["errors"] == []
    assert "hearth" in letters(form["plan"])


def test_what_stands_along_a_wall_is_told_as_it_would_be_taped(firm):
    form = firm.get("/api/room").json()
    taped = form["obstacles"][0]["taped"]
    assert taped == {"wall": 3, "offset": "4' 7\"", "width": "5' 6\"", "depth": '20"', "clear": '0"'}
    vent = form["vents"][0]["taped"]
    assert vent == {"wall": 4, "offset": "12' 5\"", "clear": '13"', "along": '10"', "across": '4"'}


def test_sending_the_form_back_changes_nothing(firm, work):
    form = firm.get("/api/room").json()
    before = work.now.text
    fields = ("corners", "height", "baseboard", "diagonals", "openings", "obstacles", "vents", "title")
    answer = firm.post_json("/api/room", {key: form[key] for key in fields})
    assert answer.status_code == 200
    assert work.now.text == before
    assert not answer.json()["undo"]


@pytest.mark.parametrize("name", ["garden-room", "hall", "kitchen", "study"])
def test_every_scenes_form_sent_back_changes_nothing(opened, name):
    work = opened(SCENES / f"{name}.toml")
    form = room_form(work.now, walls_of(work.now))
    fields = (form["how"], *SINGLE, "diagonals", "openings", "obstacles", "vents", "title")
    trial = try_room({key: form[key] for key in fields}, work.now, work.with_edits)
    assert trial.told["errors"] == []
    assert trial.edits == []


def test_one_measure_corrected_leaves_every_other_line(firm, work, scene):
    form = firm.get("/api/room").json()
    form["openings"][0]["offset"] = "4' 4\""
    answer = firm.post_json("/api/room", {"openings": form["openings"]})
    assert answer.status_code == 200, answer.text
    firm.post_json("/api/save")
    before = (work.file.parent / "dining-room.toml").read_text().splitlines()
    assert 'offset = "4 ft 4 in"                # its middle is' in "\n".join(before)
    job = load_scene(scene)[0]
    assert job.openings[0].offset == pytest.approx(52 * 0.0254)


def test_a_thing_taped_from_a_wall_stands_there(firm, scene):
    form = firm.get("/api/room").json()
    form["obstacles"].append(
        {
            "name": "island",
            "kind": "island",
            "taped": {"wall": 1, "offset": "6 ft", "width": "3 ft", "depth": "2 ft", "clear": "5 ft"},
        }
    )
    form["vents"].append(
        {"name": "", "taped": {"wall": 2, "offset": "30", "clear": "10", "along": "12", "across": "3"}}
    )
    answer = firm.post_json("/api/room", {"obstacles": form["obstacles"], "vents": form["vents"]})
    assert answer.status_code == 200, answer.text
    assert firm.post_json("/api/save").status_code == 200
    job = load_scene(scene)[0]
    xs, ys = zip(*job.obstacles[1].corners, strict=True)
    feet = [parse_length(f"{each} ft", "in") for each in (6, 9, 5, 7)]
    assert [min(xs), max(xs), min(ys), max(ys)] == pytest.approx(feet, abs=1e-4)
    x, y = job.vents[2].center
    assert (x, y) == pytest.approx((parse_length(["14 ft 8 in", "10 in"][0], "in") - 0.254, 0.762), abs=1e-4)


def test_what_was_taped_from_the_far_corner_stands_as_far_from_it(firm, scene):
    form = firm.get("/api/room").json()
    form["openings"][0] |= {"from_end": True, "offset": "2 ft", "width": "3 ft"}
    form["obstacles"].append(
        {
            "name": "island",
            "kind": "island",
            "taped": {"wall": 1, "from_end": True, "offset": "6 ft", "width": "3 ft", "depth": "2 ft", "clear": "5 ft"},
        }
    )
    sent = {"openings": form["openings"], "obstacles": form["obstacles"]}
    assert firm.post_json("/api/room", sent).status_code == 200
    assert firm.post_json("/api/save").status_code == 200
    job = load_scene(scene)[0]
    long = math.dist(*job.room.corners[:2])
    assert job.openings[0].offset == pytest.approx(long - parse_length("5 ft", "in"), abs=0.0008)
    assert max(x for x, _ in job.obstacles[-1].corners) == pytest.approx(long - parse_length("6 ft", "in"), abs=0.0008)
    form["openings"][0] |= {"from_end": True, "offset": "40 ft"}
    slip = firm.post_json("/api/room", {"try": True, "openings": form["openings"]}).json()["errors"][0]
    assert slip["key"] == "openings[1].offset"
    assert "wall is" in slip["message"]


def test_an_opening_renamed_is_still_what_is_centred_on(firm, work):
    form = firm.get("/api/room").json()
    form["openings"][0]["name"] = "arch"
    answer = firm.post_json("/api/room", {"openings": form["openings"]})
    assert answer.status_code == 200, answer.text
    document = tomllib.loads(work.now.text)
    assert document["variants"][0]["floor"]["center"] == {"opening": "arch"}
    assert document["viewpoints"][0]["at"] == {"opening": "arch"}


def test_an_opening_taken_out_takes_its_own_lines_alone(firm, work):
    form = firm.get("/api/room").json()
    gone = [each for each in form["openings"] if each["name"] != "west window, north"]
    before = work.now.text.splitlines()
    assert firm.post_json("/api/room", {"openings": gone}).status_code == 200
    after = work.now.text.splitlines()
    assert 'name = "west window, north"' not in after
    assert [line for line in after if line not in before] == []
    assert "wall = 2                         # the east wall, from the south corner" in after


@pytest.mark.parametrize(
    ("change", "key", "words"),
    [
        (lambda form: form["openings"][1].update(offset="50 ft"), "openings[2]", "wall"),
        (lambda form: form["openings"][0].update(width="wide"), "openings[1].width", "wide"),
        (lambda form: form["openings"][0].update(width=""), "openings[1].width", "nothing"),
        (lambda form: form["openings"][2].update(wall="9"), "openings[3].wall", "walls 1 to 4"),
        (lambda form: form["openings"][2].update(kind="gate"), "openings[3].kind", "door"),
        (lambda form: form["vents"][0].update(taped={"wall": 1, "offset": "x"}), "vents[1].offset", "x"),
        (lambda form: form["vents"][1].update(taped=None, center=["90 ft", "1"]), "vents[2]", "room"),
        (lambda form: form["obstacles"][0].update(taped={"wall": 7}), "obstacles[1].wall", "walls 1 to 4"),
        (lambda form: form.update(height="tall"), "room.height", "tall"),
        (lambda form: form["corners"][1].__setitem__(0, "banana"), "room.corners[2]", "banana"),
        (lambda form: form.update(diagonals=[{"from": 1, "to": 2, "length": "4 m"}]), "room.diagonals[1]", ""),
    ],
)
def test_a_slip_is_told_at_its_field_and_nothing_changes(firm, work, change, key, words):
    form = firm.get("/api/room").json()
    before = work.now.text
    change(form)
    fields = ("corners", "height", "diagonals", "openings", "obstacles", "vents")
    sent = {each: form[each] for each in fields}
    told = tried(firm, **sent)
    assert told["errors"][0]["key"].startswith(key), told["errors"]
    assert words.casefold() in told["errors"][0]["message"].casefold()
    answer = firm.post_json("/api/room", sent)
    assert answer.status_code == 422
    assert work.now.text == before


def test_several_slips_are_told_at_once_and_the_rest_is_drawn(firm):
    form = firm.get("/api/room").json()
    form["openings"][1]["offset"] = "50 ft"
    form["openings"][3]["width"] = "wide"
    form["vents"][0]["center"], form["vents"][0]["taped"] = ["90 ft", "1"], None
    told = tried(firm, openings=form["openings"], vents=form["vents"])
    keys = sorted(each["key"] for each in told["errors"])
    assert [each.partition("]")[0] for each in keys] == ["openings[2", "openings[4", "vents[1"]
    assert "hearth" in letters(told["plan"])


def test_one_wrong_measure_leaves_the_rest_drawn(firm):
    form = firm.get("/api/room").json()
    archway = next(n for n, each in enumerate(form["openings"]) if "archway" in each["name"])
    form["openings"][archway]["height"] = "tall"
    told = tried(firm, height="very", openings=form["openings"])
    assert {each["key"] for each in told["errors"]} == {"room.height", f"openings[{archway + 1}].height"}
    assert form["openings"][archway]["name"] in letters(told["plan"])  # without its height it can be drawn
    told = tried(firm, walk=["E 13 ft", "N 16 ft", "W banana", "S 16 ft"])
    assert told["errors"][0]["key"] == "room.walk[3]"
    drawn = set(letters(told["plan"]))
    assert {"1", "2"} <= drawn and "3" not in drawn


def test_where_north_is_goes_by_a_compass_along_the_first_wall(new):
    form = new.get("/api/room").json()
    assert form["compass"] == ""
    for reading, north in (("80", 10), ("90", None), ("NW", 135), ("", None)):  # wall 1 goes E on the plan
        answer = new.post_json("/api/room", {"compass": reading})
        assert answer.status_code == 200, answer.text
        told = new.get("/api/room").json()["compass"]
        assert told == {"80": "80", "90": "90", "NW": "315", "": ""}[reading]
        value = new.state()["values"]["As drawn"]["north"]["value"]
        assert value == (0 if reading == "90" else north)
    assert tried(new, compass="over there")["errors"][0]["key"] == "compass"


def test_the_form_says_what_holds_of_measures_not_taken(new):
    usual = new.get("/api/room").json()["usual"]
    assert usual["door"] == {"height": "6' 8\"", "beyond": "8'"}
    assert usual["window"] == {"height": "4'", "sill": "3'"}
    assert usual["height"] == "8'"
    new.post_json("/api/room", {"units": "mm"})
    assert new.get("/api/room").json()["usual"]["door"] == {"height": "2000 mm", "beyond": "2500 mm"}


def test_a_walk_that_does_not_close_is_told_at_once_and_drawn(new):
    told = tried(new, walk=["E 13 ft", "N 16 ft", "W 12 ft", "S 16 ft"])
    (error,) = told["errors"]
    assert error["key"] == "room.walk"
    assert 'ends 12" from where it began' in error["message"]
    assert {"1", "2", "3", "4"} <= set(letters(told["plan"]))


def test_a_new_room_gets_from_a_tape_to_a_file(new, tmp_path):
    assert new.get("/api/room").json()["new"]
    walk = ["E 13 ft 2 in", "N 16 ft 10 in", "W 13 ft 2 1/4 in", "S 16 ft 10 in"]
    told = tried(new, walk=walk, diagonals=[{"from": 1, "to": 3, "length": "21 ft 4 1/2 in"}])
    assert told["errors"] == []
    assert any("Tapes" in each["label"] or "Closing gap" in each["label"] for each in told["rows"])
    sent = {"title": "Back parlour", "walk": walk, "height": "8 ft 2 in"}
    state = new.post_json("/api/room", sent).json()
    assert state["title"] == "Back parlour"
    assert new.post_json("/api/save").json()["saved"]
    job = load_scene(tmp_path / "room.toml")[0]
    assert [leg.text for leg in job.room.walk] == walk
    assert job.title == "Back parlour"
    assert "# wall 3" in (tmp_path / "room.toml").read_text()


@pytest.mark.parametrize("units", UNITS)
def test_a_new_room_can_be_in_any_units_and_can_be_laid(new, units):
    if units != "in":
        assert new.post_json("/api/room", {"units": units}).status_code == 200
    state = new.state()
    assert state["units"] == units
    assert new.get("/api/numbers", params={"revision": state["revision"]}).status_code == 200


def test_units_are_not_changed_once_something_was_measured(firm):
    assert firm.post_json("/api/room", {"units": "mm"}).status_code == 422
