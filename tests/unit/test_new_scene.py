"""Asking for a room as one walks it, and the scene that is written from the answers."""

import math

import pytest

from preview.commands.new import close_walk, new_scene
from preview.errors import SceneError, UsageError
from preview.room.measured import build_room
from preview.scene import load_scene, read_scene
from preview.scene.ask import QUESTIONS, ask_room
from preview.scene.woods import wood_names
from preview.scene.write import scene_text

INCH = 0.0254

ROOM = """\
Aunt May's "best" room
in
E 15' 6"
N 12' 4"
W 15' 6 1/4"
S 12' 4"

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
N
hall archway
4
walnut
"""

OPTIONS = {
    "title": ["Study"],
    "units": ["mm"],
    "wall": ["E 4000", "N 3000", "W 4000", "S 3000"],
    "height": ["2400"],
    "baseboard": ["15"],
    "opening": ["door; door; 1; 500; 800", "window; window; 3; 1 m; 1200; 900; 1300"],
    "obstacle": ["post; column; 1; 2 m; 300; 300; 1200"],
    "vent": ["2; 800; 200; 250; 100"],
    "board-width": ["90"],
    "species": ["white oak"],
    "cut": ["plainsawn"],
    "run": ["45"],
    "center": ["door"],
    "border": ["90"],
    "border-species": ["white oak"],
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


def test_a_room_is_asked_wall_by_wall(tmp_path):
    tape, job = record(tmp_path / "room.toml", ROOM)
    assert tape.answers == []
    assert job.title == 'Aunt May\'s "best" room'
    assert [leg.text for leg in job.room.walk] == ["E 15' 6\"", "N 12' 4\"", "W 15' 6 1/4\"", "S 12' 4\""]
    assert 'The walk closes within 1/4"; up to 1 5/16" is spread over the walls.' in tape.said
    archway, window = job.openings
    assert (archway.kind, archway.wall, archway.width) == ("cased opening", 2, 5 * 12 * INCH)
    assert (window.kind, window.sill, window.height) == ("window", 0.9144, 1.2192)
    assert (job.floor.run, job.floor.center.opening) == (math.pi / 2, "hall archway")
    assert (job.wood.species, job.wood.cut) == ("white oak", "quartersawn")
    assert "walnut" in job.border_wood.species
    room = build_room(job)
    assert room.warnings == ()
    hearth = room.obstacles[0].polygon
    assert hearth.area == pytest.approx(60 * 20 * INCH**2, rel=1e-4)
    assert hearth.distance(room.outline.exterior) < 1e-4
    (vent,) = room.vents
    assert vent.center == pytest.approx([(186.0696 - 14) * INCH, 14 * INCH], abs=0.002)
    assert vent.size == (10 * INCH, 4 * INCH)
    assert vent.angle == math.pi / 2


def test_everything_can_be_given_up_front(tmp_path):
    assert set(OPTIONS) == set(QUESTIONS)
    tape, job = record(tmp_path / "room.toml", given=OPTIONS)
    assert tape.asked == []
    assert (job.title, job.units, job.room.height, job.room.baseboard) == ("Study", "mm", 2.4, 0.015)
    door, window = job.openings
    assert (door.offset, door.width, door.height) == (0.5, 0.8, 2.0)
    assert (window.sill, window.height) == (0.9, 1.3)
    assert job.obstacles[0].corners == ((2, 1.2), (2.3, 1.2), (2.3, 1.5), (2, 1.5))
    assert (job.vents[0].center, job.vents[0].size, job.vents[0].angle) == ((3.8, 0.8), (0.25, 0.1), math.pi / 2)
    assert job.floor.run == pytest.approx(math.pi / 4)
    assert job.wood == job.border_wood


def test_options_and_lines_go_together_and_proposals_end_the_talk(tmp_path):
    tape, job = record(tmp_path / "room.toml", "Study\nmm\n", {"wall": OPTIONS["wall"]})
    assert (job.title, job.units, job.room.height, job.floor.board_width) == ("Study", "mm", 2.5, 0.09)
    assert (job.openings, job.border.width, job.floor.center.kind) == ((), 0, "room")
    assert "Height of the ceiling [2.5 m]: " in tape.asked


def test_a_wall_is_measured_again_while_one_is_in_the_room(tmp_path):
    tape, job = record(tmp_path / "room.toml", "Study\nm\nE 4\nN 3\nW 4.5\nS 3\n\n\nE 4.5\n")
    assert "Which wall did you measure again? [1]: " in tape.asked
    assert [leg.text for leg in job.room.walk] == ["E 4.5", "N 3", "W 4.5", "S 3"]


def test_the_wall_named_is_the_one_replaced(tmp_path):
    text = "Study\nm\nE 4\nN 3\nW 4.5\nS 3\n\n9\n3\nW 4 yards\nW 4\n"
    tape, job = record(tmp_path / "room.toml", text)
    assert [leg.text for leg in job.room.walk] == ["E 4", "N 3", "W 4", "S 3"]
    assert tape.said[2:] == [
        "The walk ends 0.500 m from where it began; up to 0.029 m could be spread over the walls.",
        'Likeliest to be wrong: wall 1, "E 4", and wall 3, "W 4.5".',
        '"9" is not a wall; they are counted from 1 to 4 in the order you walked.',
        "unknown unit 'yards' in \"4 yards\"; write in, ft, mm, cm or m.",
        "The walk closes within 0.000 m; up to 0.028 m is spread over the walls.",
    ]


def test_an_answer_that_cannot_be_read_is_asked_for_again(tmp_path):
    text = (
        "Study\nfurlongs\nm\nE\nE 4\nN 3\nW 4\nS 3\n\nhigh\n2.4\n0\n"
        "door\nportal\ndoor\n7\n1\n3.5\n0.9\n0.35\n0.9\n\ndoor\nwindow\n\n2\n1\n1\n\n\n"
    )
    tape, job = record(tmp_path / "room.toml", text)
    assert tape.said[0] == '"furlongs" is not among the answers; there are "cm", "ft", "in", "m" and "mm".'
    assert tape.said[3] == '"E" has no length; write it after the direction: E 3.85 m.'
    assert tape.said[5:] == [
        '"high" is not a length; write one such as 3.85 m.',
        '"portal" is not among the answers; there are "cased opening", "door" and "window".',
        '"7" is not a wall; they are counted from 1 to 4 in the order you walked.',
        "wall 1 is 4.000 m long: too short for 0.9 after 3.5; measure both again.",
        'a second "door"; give each a name of its own.',
    ]
    assert [(each.name, each.width) for each in job.openings] == [("door", 0.9), ("window", 1.0)]


def test_a_misspelt_wood_is_asked_for_again_with_the_nearest(tmp_path):
    text = "Study\nm\nE 4\nN 3\nW 4\nS 3\n\n2.4\n0\n\n\n\n0.1\nwalnt\nwalnut\n"
    tape, job = record(tmp_path / "room.toml", text)
    assert tape.said[-1] == '"walnt" is not among the answers; did you mean "walnut"?'
    assert job.wood.species == "walnut"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"height": ["tall"]}, '--height: "tall" is not a length; write one such as 3850 mm'),
        ({"wall": ["E 4000", "N 3000"]}, "--wall: 2 of them; a room has at least three"),
        (
            {"wall": ["E 4000", "N 3000", "W 4400", "S 3000"]},
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
            '--cut: "sliced" is not among the answers; there are "plainsawn", "quartersawn" and "riftsawn"',
        ),
    ],
)
def test_a_wrong_option_is_named(tmp_path, change, message):
    with pytest.raises(UsageError) as caught:
        record(tmp_path / "room.toml", given=OPTIONS | change)
    assert str(caught.value) == message
    assert list(tmp_path.iterdir()) == []


def test_lines_that_end_too_early_are_named(tmp_path):
    with pytest.raises(UsageError, match="the answers ended at wall 3; a room has at least three"):
        record(tmp_path / "room.toml", "Study\nm\nE 4\nN 3\n")
    with pytest.raises(UsageError, match="the answers ended before: in wall; give more lines, or options"):
        record(tmp_path / "room.toml", "Study\nm\nE 4\nN 3\nW 4\nS 3\n\n2.4\n0\ndoor\ndoor\n")


def test_a_file_that_is_there_is_left_alone(tmp_path):
    path = tmp_path / "room.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(UsageError, match="this file is there already; name another, or move it away first"):
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
    answers, walls = ask_room(tape.ask, tape.said.append, close_walk, wood_names(), OPTIONS | {"title": [name]})
    (job,) = read_scene(scene_text(answers, walls), "-")
    assert job.title == 'a "b" \\ é 客厅 👩‍👩‍👧'
