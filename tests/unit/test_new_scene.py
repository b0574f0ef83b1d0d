"""Asking for a room as one walks it, and the scene that is written from the answers."""

import math
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from preview.commands.new import new_scene
from preview.errors import SceneError, UsageError
from preview.room.measured import build_room
from preview.room.survey import RoomSurveyor
from preview.scene import load_scene, read_scene
from preview.scene.ask import QUESTIONS, ask_room
from preview.scene.job import PaintChoice, StripChoice
from preview.scene.woods import wood_names
from preview.scene.write import _measure, scene_text
from preview.units import parse_length

INCH = 0.0254

ROOM = """\
Aunt May's "best" room
in
E 15' 6"
N 12' 4"
W 15' 6 1/4"
S 12' 4"

19' 9 13/16"

8' 6"
1
hall archway
cased opening
2
3' 2"
5'
6' 10"
garden window

3
30
4'



hearth

3
5' 3"
5'
20


2
14
14
10
4

4

white oak
quartersawn
gray
Matte
N
hall archway
4
walnut
3/4
cherry
Sage-green
F4F1EA
#F4F1EA

On the room

room





Wide and dark
5


dark stain
5
dark blue
1/2

"""

OPTIONS = {
    "title": ["Study"],
    "units": ["mm"],
    "wall": ["E 4000", "N 3000", "W 4000", "S 3000"],
    "diagonal": ["1; 3; 5 m", "2; 4; 5001"],
    "height": ["2400"],
    "baseboard": ["15"],
    "opening": ["door; door; 1; 500; 800", "window; window; 3; 1 m; 1200; 900; 1300"],
    "obstacle": ["post; column; 1; 2 m; 300; 300; 1200", "cupboard; cabinet; 3; 0; 600; 600; 0"],
    "vent": ["2; 800; 200; 250; 100"],
    "board-width": ["90"],
    "board-length": ["450"],
    "species": ["white oak"],
    "cut": ["plainsawn"],
    "stain": ["none"],
    "finish": ["oil matte"],
    "run": ["45"],
    "center": ["door"],
    "border": ["90"],
    "border-species": ["white oak"],
    "strip": ["20"],
    "strip-species": ["walnut"],
    "paint-walls": ["cream"],
    "paint-ceiling": [""],
    "paint-trim": ["#E0E0DC"],
    "paint-cabinets": ["bottle green"],
    "variant": [
        "On the room; 90; room",
        "Walnut; 90; door; walnut; none; 90; #33425a",
        "Plain; 90; door; white oak; none; 90; cream; 0",
    ],
}


class Tape:
    """A person who answers from a list, and what was said to them."""

    def __init__(self, text=""):
        self.answers, self.asked, self.said = text.splitlines(), [], []

    def ask(self, prompt):
        self.asked.append(prompt)
        if not self.answers:
            raise EOFError
        return self.answers.pop(0)


def record(path, text="", given=()):
    tape = Tape(text)
    new_scene(path, tape.ask, tape.said.append, dict(given))
    return tape, load_scene(path)[0]


def replaced(given, **changes):
    """Return options with some changed; None leaves one out."""
    return {key: value for key, value in (given | changes).items() if value is not None}


def test_a_room_is_asked_wall_by_wall(tmp_path):
    tape, job = record(tmp_path / "room.toml", ROOM)
    assert tape.answers == []
    assert job.title == 'Aunt May\'s "best" room'
    assert [leg.text for leg in job.room.walk] == ["E 15 ft 6 in", "N 12 ft 4 in", "W 15 ft 6 1/4 in", "S 12 ft 4 in"]
    assert [(each.first, each.last) for each in job.room.diagonals] == [(1, 3)]
    assert 'The walk closes within 1/4"; up to 1 5/16" is spread over the walls.' in tape.said
    archway, window = job.openings
    assert (archway.kind, archway.wall, archway.width) == ("cased opening", 2, 5 * 12 * INCH)
    assert (window.kind, window.sill, window.height) == ("window", 0.9144, 1.2192)
    assert (job.floor.run, job.floor.center.opening) == (math.pi / 2, "hall archway")
    assert (job.wood.species, job.wood.cut) == ("white oak", "quartersawn")
    assert (job.wood.stain, job.wood.finish, job.floor.board_length) == ("grey", "matt", None)
    assert "Stain (none, light, medium, dark, grey, white, black) [none]: " in tape.asked
    assert "walnut" in job.border_wood.species
    assert job.paint == PaintChoice("sage green", "#f4f1ea")
    assert any(
        said.startswith('"F4F1EA" as a colour; write # and six hexadecimal digits, such as') for said in tape.said
    )
    assert not any("cabinets" in asked for asked in tape.asked)  # there are none
    assert (job.border.strip.width, job.border.strip.wood.species) == (0.01905, "cherry")
    room = build_room(job)
    assert room.warnings == ()
    hearth = room.obstacles[0].polygon
    assert hearth.area == pytest.approx(60 * 20 * INCH**2, rel=1e-4)
    assert hearth.distance(room.outline.exterior) < 1e-4
    (vent,) = room.vents
    assert vent.center == pytest.approx([(186.0696 - 14) * INCH, 14 * INCH], abs=0.002)
    assert vent.size == (10 * INCH, 4 * INCH)
    assert vent.angle == pytest.approx(math.pi / 2, abs=2e-3)  # along its wall, which is no longer quite north


def test_everything_can_be_given_up_front(tmp_path):
    assert set(OPTIONS) == set(QUESTIONS)
    tape, job = record(tmp_path / "room.toml", given=OPTIONS)
    assert tape.asked == []
    assert tape.said == [
        "The walk closes within 0 mm; up to 28 mm is spread over the walls.",
        "Walls and diagonals agree, 1 to spare: the largest change is 0 mm, diagonal 2 to 4.",
    ]
    assert (job.title, job.units, job.room.height, job.room.baseboard) == ("Study", "mm", 2.4, 0.015)
    door, window = job.openings
    assert (door.offset, door.width, door.height) == (0.5, 0.8, 2.0)
    assert (window.sill, window.height) == (0.9, 1.3)
    assert job.obstacles[0].corners == ((2, 1.2), (2.3, 1.2), (2.3, 1.5), (2, 1.5))
    assert (job.vents[0].center, job.vents[0].size, job.vents[0].angle) == (
        pytest.approx((3.8, 0.8), abs=1e-4),
        (0.25, 0.1),
        pytest.approx(math.pi / 2, abs=1e-3),
    )
    assert job.floor.run == pytest.approx(math.pi / 4)
    assert job.wood == job.border_wood
    assert (job.floor.board_length, job.wood.finish) == (0.45, "oil matt")
    base, room, walnut, plain = load_scene(tmp_path / "room.toml")
    assert base.border.strip == StripChoice(0.02, replace(base.border_wood, species="walnut"))
    assert plain.border == replace(base.border, strip=None)
    assert (room.variant, room.floor.center.kind, room.wood) == ("On the room", "room", base.wood)
    assert (walnut.floor, "walnut" in walnut.wood.species) == (base.floor, True)
    assert base.paint == room.paint == PaintChoice("cream", None, "#e0e0dc", "bottle green")
    assert walnut.paint == replace(base.paint, walls="#33425a")


def test_options_and_lines_go_together_and_proposals_end_the_talk(tmp_path):
    tape, job = record(tmp_path / "room.toml", "Study\nmm\n", {"wall": OPTIONS["wall"]})
    assert (job.title, job.units, job.room.height, job.floor.board_width) == ("Study", "mm", 2.5, 0.09)
    assert (job.openings, job.border.width, job.floor.center.kind) == ((), 0, "room")
    assert tape.asked[-1] == "Diagonal from corner 1 to corner 3: "  # the lines ended; the rest takes its proposals


def test_a_wall_is_measured_again_while_one_is_in_the_room(tmp_path):
    tape, job = record(tmp_path / "room.toml", "Study\nm\nE 4\nN 3\nW 4.5\nS 3\n\n\nE 4.5\nend\n")
    assert "Which wall did you measure again? [1]: " in tape.asked
    assert [leg.text for leg in job.room.walk] == ["E 4.5", "N 3", "W 4.5", "S 3"]


def test_the_wall_named_is_the_one_replaced(tmp_path):
    text = "Study\nm\nE 4\nN 3\nW 4.5\nS 3\n\n9\n3\nW 4 yards\nW 4\n"
    tape, job = record(tmp_path / "room.toml", text)
    assert [leg.text for leg in job.room.walk] == ["E 4", "N 3", "W 4", "S 3"]
    assert tape.said[3:-2] == [
        "The walk ends 500 mm from where it began; up to 29 mm could be spread over the walls.",
        'Likeliest to be wrong: wall 1, "E 4", and wall 3, "W 4.5".',
        'In a room that is not square, answer "diagonals": they settle its corners.',
        '"9" is not a wall; they are counted from 1 to 4 in the order you walked.',
        "unknown unit 'yards' in \"4 yards\"; write in, ft, mm, cm or m.",
        "The walk closes within 0 mm; up to 28 mm is spread over the walls.",
    ]


def test_an_answer_that_cannot_be_read_is_asked_for_again(tmp_path):
    text = (
        "Study\nfurlongs\nm\nE\nE 4\nN 3\nW 4\nS 3\n\n8\nend\nhigh\n2.4\n0\n"
        "door\nportal\ndoor\n7\n1\n3.5\n0.9\n0.35\n0.9\n\ndoor\nwindow\n\n2\n1\n1\n\n\n"
    )
    tape, job = record(tmp_path / "room.toml", text)
    assert tape.said[1] == '"furlongs" is not among the answers; accepted: "cm", "ft", "in", "m" or "mm".'
    assert tape.said[4] == '"E" has no length; write it after the direction: E 3.85 m.'
    assert tape.said[8:] == [
        "8.000 m from corner 1 to corner 3, but walls 1 and 2 reach only 7.000 m; tape it again.",
        '"high" is not a length; write one such as 3.85 m.',
        '"portal" is not among the answers; accepted: "cased opening", "door" or "window".',
        '"7" is not a wall; they are counted from 1 to 4 in the order you walked.',
        "wall 1 is 4.000 m long: too short for 0.9 after 3.5; measure both again.",
        'a second "door"; give each a name of its own.',
    ]
    assert [(each.name, each.width) for each in job.openings] == [("door", 0.9), ("window", 1.0)]


def test_a_misspelt_wood_is_asked_for_again_with_the_nearest(tmp_path):
    text = "Study\nm\nE 4\nN 3\nW 4\nS 3\n\n\n\n2.4\n0\n\n\n\n0.1\n\nwalnt\nwalnut\n"
    tape, job = record(tmp_path / "room.toml", text)
    assert tape.said[-1] == '"walnt" is not among the answers; did you mean "walnut"?'
    assert job.wood.species == "walnut"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"diagonal": ["1; 2; 4 m"]},
            "--diagonal: corners 1 and 2; give two that are no neighbours",
        ),
        ({"diagonal": ["1; 9; 4 m"]}, '--diagonal: "9" is not a corner; they are counted from 1 to 4'),
        ({"diagonal": ["1; 3; 5 m", "3; 1; 5 m"]}, "--diagonal: two from corner 3 to corner 1; give one of them"),
        (
            {"diagonal": ["1; 3; 5 m", "2; 4; 5.2 m"]},
            "the tapes disagree: diagonal 2 to 4, 5200 mm, comes out 200 mm shorter by the others, more than the 34 mm "
            "that may be spread; with one measure to spare none can be told from the others: tape walls and diagonals "
            "again",
        ),
        (
            {"board-length": ["60"]},
            "--board-length: a length of 60 under the width of 90; give the longer side as the length",
        ),
        (
            {"stain": ["mauve"]},
            '--stain: "mauve" is not among the answers; accepted: "black", "dark", "grey", "light", '
            '"medium", "none" or "white"',
        ),
        (
            {"variant": ["Same; 90"]},
            '--variant: "Same" changes nothing; give it something that the floor itself has otherwise',
        ),
        ({"height": ["tall"]}, '--height: "tall" is not a length; write one such as 3850 mm'),
        ({"wall": ["E 4000", "N 3000"]}, "--wall: 2 of them; a room has at least three"),
        (
            {"wall": ["E 4000", "N 3000", "W 4400", "S 3000"], "diagonal": None},
            'the walk ends 400 mm from where it began; measure wall 1, "E 4000", or wall 3, "W 4400", again',
        ),
        (
            {"opening": ["door; door; 1"]},
            "--opening: no answer to: from the wall's first corner; write it after a semicolon",
        ),
        (
            {"opening": ["door; door; 1; 1; 800; 2 m; 3"]},
            "--opening: 'door; door; 1; 1; 800; 2 m; 3' says more than is asked: 3",
        ),
        (
            {"opening": ["door; door; 1; 3500; 800"]},
            "--opening: wall 1 is 4000 mm long: too short for 800 after 3500; measure both again",
        ),
        ({"vent": ["9; 1"]}, '--vent: "9" is not a wall; they are counted from 1 to 4 in the order you walked'),
        (
            {"cut": ["sliced"]},
            '--cut: "sliced" is not among the answers; accepted: "plainsawn", "quartersawn" or "riftsawn"',
        ),
    ],
)
def test_a_wrong_option_is_named(tmp_path, change, message):
    with pytest.raises(UsageError) as caught:
        record(tmp_path / "room.toml", given=replaced(OPTIONS, **change))
    assert str(caught.value) == message
    assert list(tmp_path.iterdir()) == []


def test_lines_that_end_too_early_are_named(tmp_path):
    with pytest.raises(UsageError, match="the answers ended at wall 3; a room has at least three"):
        record(tmp_path / "room.toml", "Study\nm\nE 4\nN 3\n")
    with pytest.raises(UsageError, match="the answers ended before: in wall; give more lines, or options"):
        record(tmp_path / "room.toml", "Study\nm\nE 4\nN 3\nW 4\nS 3\n\nend\n2.4\n0\ndoor\ndoor\n")


def test_a_file_that_is_there_is_left_alone(tmp_path):
    path = tmp_path / "room.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(UsageError, match="this file exists already; name another, or move it away first"):
        record(path, given=OPTIONS)
    assert path.read_text(encoding="utf-8") == "mine"


def test_answers_are_kept_even_where_the_room_is_wrong(tmp_path):
    path = tmp_path / "room.toml"
    with pytest.raises(SceneError, match=r"room\.toml, line \d+: vents\[1\]\.center: vent A lies"):
        record(path, given=OPTIONS | {"vent": ["2; 800; 20; 250; 100"]})
    assert "E 4000" in path.read_text(encoding="utf-8")


def test_awkward_names_are_written_so_that_they_are_read():
    name = 'a "b" \\ \x07 é 客厅 👩‍👩‍👧'
    tape = Tape()
    answers, walls = ask_room(tape.ask, tape.said.append, RoomSurveyor(), wood_names(), OPTIONS | {"title": [name]})
    job = read_scene(scene_text(answers, walls), "-")[0]
    assert job.title == 'a "b" \\ é 客厅 👩‍👩‍👧'


def test_back_goes_to_the_question_before(tmp_path):
    """Over a wrong answer, within a wall by wall walk, out of a door's questions into the one before them, and on."""
    text = (
        "back\nStudy\nback\nDen\nm\nE 4\nN 3\n<\nN 3.5\nW 4\nBACK\nback\nN 3\nW 4\nS 3\n\nend\n2.4\n0\n"
        "door\ndoor\n9\nback\nback\nback\n0.02\nhall door\ndoor\n1\n1\n0.9\n2\n\n"
    )
    tape, job = record(tmp_path / "room.toml", text)
    assert tape.said[1] == "This is the first question."
    assert tape.asked[:3] == ["Name of the room [Room]: "] * 2 + [
        "Unit of numbers without one (in, ft, mm, cm, m) [in]: "
    ]
    assert job.title == "Den" and [leg.text for leg in job.room.walk] == ["E 4", "N 3", "W 4", "S 3"]
    assert job.room.baseboard == 0.02
    assert [(each.name, each.offset, each.width) for each in job.openings] == [("hall door", 1.0, 0.9)]
    assert sum(each.startswith("The walk closes") for each in tape.said) == 1  # nothing is said again on the way back


def test_a_door_that_is_taken_back_is_no_second_door(tmp_path):
    text = "Study\nm\nE 4\nN 3\nW 4\nS 3\n\nend\n2.4\n0\ndoor\ndoor\n1\n1\n0.9\n2\nback\n2.1\n\n"
    _, job = record(tmp_path / "room.toml", text)
    assert [(each.name, each.height) for each in job.openings] == [("door", 2.1)]


def test_a_room_that_is_not_square_is_settled_by_its_diagonals(tmp_path):
    """Walked in letters it doesn't close; its diagonals are asked for instead, only those that lie inside."""
    text = "Skew\nm\nE 4\nN 3.002\nW 4.301\nS 3.106\n\ndiagonals\n5.08\n5.22\n2.4\n0\n"
    tape, job = record(tmp_path / "room.toml", text)
    asked = [each for each in tape.asked if each.startswith("Diagonal")]
    assert asked == ["Diagonal from corner 1 to corner 3: ", "Diagonal from corner 2 to corner 4: "]
    assert "The walk ends 318 mm from where it began; up to 29 mm could be spread over the walls." in tape.said
    assert [(each.first, each.last, each.length) for each in job.room.diagonals] == [(1, 3, 5.08), (2, 4, 5.22)]
    assert build_room(job).adjustment.spare == 1


def test_without_diagonals_a_walk_that_does_not_close_stays_open(tmp_path):
    text = "Skew\nm\nE 4\nN 3\nW 4.3\nS 3.1\n\ndiagonals\nend\n3\nW 4\n4\nS 3\nend\n2.4\n0\n"
    tape, job = record(tmp_path / "room.toml", text)
    assert "Without diagonals the walk must close." in tape.said
    assert [leg.text for leg in job.room.walk] == ["E 4", "N 3", "W 4", "S 3"]


def test_a_diagonal_can_be_left_out_again(tmp_path):
    """With one to spare nobody is blamed; one may then do without it."""
    text = "Study\nm\nE 4\nN 3\nW 4\nS 3\n\n5\n5.1\n2-4\nout\n2.4\n0\n"
    tape, job = record(tmp_path / "room.toml", text)
    assert "With one measure to spare none can be told from the others: tape walls and diagonals again." in tape.said
    assert [(each.first, each.last) for each in job.room.diagonals] == [(1, 3)]


def test_a_wrong_diagonal_is_told_and_taped_again_at_once(tmp_path):
    """A pentagon and the diagonals it is asked for: the wrong one is named, proposed, and mended."""
    corners = [(0, 0), (4.1, 0), (4.3, 3.2), (2.0, 4.4), (-0.2, 3.0)]
    ways = ("E", "3.6", "297.6", "237.5", "176.2")
    walk = [f"{way} {math.dist(corners[k], corners[(k + 1) % 5]):.3f}" for k, way in enumerate(ways)]
    said = []

    class Person(Tape):
        """Tapes what is asked for, the first diagonal 10 cm too long, and right the second time."""

        def ask(self, prompt):
            if not prompt.startswith("Diagonal"):
                return super().ask(prompt) if not prompt.startswith("What did") else said.append(prompt) or ""
            self.asked.append(prompt)
            first, last = (int(word) for word in prompt.replace(":", "").split() if word.isdigit())
            wrong = 0.1 if sum(each.startswith("Diagonal") for each in self.asked) == 1 else 0.0
            return f"{math.dist(corners[first - 1], corners[last - 1]) + wrong:.3f}"

    person = Person("\n".join(["Garden room", "m", *walk, "", "2.4"]))
    new_scene(tmp_path / "room.toml", person.ask, person.said.append, {})
    asked = [each for each in person.asked if each.startswith("Diagonal")]
    assert len(asked) == 6 and asked[-1].startswith(asked[0].rstrip(": "))  # all five, and the first again
    first, last = (int(word) for word in asked[0].replace(":", "").split() if word.isdigit())
    assert any(f"The tapes disagree: diagonal {first} to {last}" in each for each in person.said)
    assert any(f"Diagonal {first} to {last} stands clear of the others" in each for each in person.said)
    assert said[0].endswith(f" [{first}-{last}]: ")
    assert person.said[-1].startswith("Walls and diagonals agree, 3 to spare: the largest change is 0 mm")
    room = build_room(load_scene(tmp_path / "room.toml")[0])
    assert room.corners == pytest.approx(np.array(corners), abs=0.003)


def test_inch_marks_need_no_escapes_in_what_is_written(tmp_path):
    path = tmp_path / "room.toml"
    record(path, ROOM)
    written = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith(("title", "#"))]
    assert not [line for line in written if "\\" in line]
    assert '    "E 15 ft 6 in",  # wall 1' in written


@pytest.mark.parametrize(
    "typed",
    ["12' 7 1/2\"", "12'-7½″", "12’ 7 ½”", "7''", '4" + 3/4"', '8 × 4"', "12 ft 7.5 in", "3/4", "12'", "3 m 85 cm"],
)
def test_a_length_is_written_as_it_was_meant(typed):
    (written,) = tomllib.loads(f"length = {_measure(typed)}").values()
    assert parse_length(written, "in") == parse_length(typed, "in")
    assert '"' not in written and "\\" not in _measure(typed)


def test_a_variant_without_the_border_is_written_without_the_strip_too(tmp_path):
    given = OPTIONS | {
        "variant": ["No border; 90; door; white oak; none; 0", "Wide; 90; door; white oak; none; 90; cream; 1 in"]
    }
    _, base = record(tmp_path / "room.toml", given=given)
    _, bare, wide = load_scene(tmp_path / "room.toml")
    assert (bare.border.width, bare.border.strip) == (0, None)
    assert wide.border.strip == replace(base.border.strip, width=0.0254)


@pytest.mark.parametrize("width", ["1", "2 ft", "-20"])
def test_a_feature_strip_that_no_scene_may_have_is_asked_again(tmp_path, width):
    with pytest.raises(UsageError, match=r"--strip: a feature strip of .*; give 0, or a width between 3 mm and 305 mm"):
        record(tmp_path / "room.toml", given=OPTIONS | {"strip": [width]})


def test_no_strip_is_asked_for_where_there_is_no_border(tmp_path):
    given = replaced(OPTIONS, border=["0"], strip=None, variant=["On the room; 90; room"])
    tape, job = record(tmp_path / "room.toml", given=given)
    assert tape.asked == [] and job.border.strip is None
