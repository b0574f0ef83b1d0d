"""Scenes that ask for too much are refused before the work, by name and line; the hall of a showroom is not."""

from time import process_time

import pytest

from preview.errors import SceneError
from preview.floor.board_count import BOARDS
from preview.scene import load_scene
from preview.steps import lay_jobs

QUICK = 2.0  # seconds of processor time in which a scene is refused
LONGEST = 10.0  # and in which one that is accepted is laid
SCENE = """units = "m"
[room]
corners = [[0, 0], [{width}, 0], [{width}, {depth}], [0, {depth}]]
[floor]
board_width = {board}
{more}"""


def scene(width=5, depth=4, board=0.07, more=""):
    return SCENE.format(width=width, depth=depth, board=board, more=more)


def many(kind, count, table):
    return "".join(f"[[{kind}]]\n{table.format(n=n)}\n" for n in range(count))


VENT = "center = [1, 1]\nsize = [0.1, 0.1]"
OBSTACLE = 'name = "{n}"\nkind = "column"\ncorners = [[1, 1], [1.1, 1], [1.1, 1.1], [1, 1.1], [0.9, 1]]'
REFUSED = {
    "metres for millimetres": (
        scene(300, 300),
        "line 2: room: about 3.7 million boards of 70 mm × 350 mm on 90000.00 m²; at most 100,000 are laid: "
        "is the unit right?",
    ),
    "narrow boards in a hall": (
        scene(40, 25, 0.02),
        "line 5: floor.board_width: about 500,000 boards of 20 mm × 100 mm on 1000.00 m²; at most 100,000 are laid: "
        "is the unit right?",
    ),
    "a corridor across the courses": (
        scene(4, 4, more="run = 0").replace("[4, 0], [4, 4], [0, 4]", "[200, 200], [199, 201], [-1, 1]"),
        "line 5: floor.board_width: a field of 400.00 m² so long and askew that 1.6 million boards of 70 mm × 350 mm "
        "would be tried on it; at most 400,000 are: lay the floor in parts, or turn the courses with floor.run",
    ),
    "corners in a line": (
        scene().replace("[[0, 0],", f"[{', '.join(f'[0, {n / 1e4}]' for n in range(30_000))},"),
        "line 3: room.corners: 30,003 corners; 400 are the most",
    ),
    "vents": (scene(more=many("vents", 10_000, VENT)), "line 6: vents: 10,000 tables; 100 are the most"),
    "obstacles and vents": (
        scene(more=many("obstacles", 60, OBSTACLE) + many("vents", 30, VENT)),
        "line 6: obstacles: 424 corners of room, obstacles, vents and openings; 400 are the most: leave out those "
        "that hardly change the floor",
    ),
    "variants": (
        scene(more=many("variants", 10_000, 'name = "{n}"\nfloor.run = {n}')),
        "line 6: variants: 10,000 variants; 50 are the most",
    ),
    "lengths to choose from": (
        scene(more=f"board_length = {[0.3 + n / 1e5 for n in range(3000)]}"),
        "line 6: floor.board_length: 3,000 lengths; 50 are the most",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_too_much_is_refused_before_the_work(name):
    text, message = REFUSED[name]
    start = process_time()
    with pytest.raises(SceneError) as found:
        lay_jobs(load_scene("room.toml", text))
    assert str(found.value) == f"room.toml, {message}"
    assert process_time() - start < QUICK


def test_a_variant_of_ten_thousand_keys_is_read_in_time():
    keys = "".join(f"floor.k{n} = 1\n" for n in range(10_000))
    start = process_time()
    with pytest.raises(SceneError, match="unknown key"):
        load_scene("room.toml", scene(more=f'[[variants]]\nname = "x"\n{keys}'))
    assert process_time() - start < QUICK


@pytest.mark.parametrize(
    "more",
    ["", "courses = 10000", 'pattern = "straight"\nboard_length = [0.3, 0.31]\nstagger = 0.149'],
    ids=["any", "courses", "joints that can't be staggered"],
)
def test_what_is_accepted_is_laid_in_time(more):
    """A small room with unusual wishes: seconds for ten thousand courses, and gigabytes, before pairs were bounded."""
    jobs = load_scene("room.toml", scene(12, 8, 0.05, more))
    start = process_time()
    lay_jobs(jobs)
    assert process_time() - start < LONGEST


def test_a_room_like_a_comb_is_refused_before_the_work():
    """196 corners, teeth of 60 m, border and strip in pieces of 0.3 m took 52 s."""
    teeth = [[[n, 0], [n + 0.5, 0], [n + 0.5, 60], [n + 1, 60]] for n in range(48)]
    corners = [corner for tooth in teeth for corner in tooth] + [[48, 62], [0, 62]]
    border = "\n[border]\nwidth = 0.05\nlongest = 0.3\nstrip = { width = 0.02 }"
    text = scene(48, 62, 0.1, border).replace("[[0, 0], [48, 0], [48, 62], [0, 62]]", str(corners))
    start = process_time()
    with pytest.raises(SceneError, match=r"room: edges of .* with 19\d corners, along which"):
        lay_jobs(load_scene("room.toml", text))
    assert process_time() - start < QUICK


def test_a_hall_of_forty_thousand_boards_is_laid():
    (floor,) = lay_jobs(load_scene("hall.toml", scene(40, 25)))
    assert 40_000 < floor.layout.measures["blanks"] < BOARDS


LONG = "k" * 900_000


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("[floor]", f"{LONG} = 1\n[floor]"),
        ("[floor]", f'"{"k " * 450_000}" = 1\n[floor]'),
        ("[floor]", f'[[openings]]\nname = "{LONG}"\n[floor]'),
        ("[floor]", f'{LONG} = "\\u0007"\n[floor]'),
        ("0.07", f'"{LONG}"'),
        ('"m"', f'"{LONG}"'),
    ],
    ids=["a key", "a key in quotes", "a name", "a key with a control character", "a length", "a unit"],
)
def test_a_message_does_not_echo_a_long_text(old, new):
    with pytest.raises(SceneError) as found:
        load_scene("room.toml", scene().replace(old, new))
    assert "line" in str(found.value)
    assert len(str(found.value)) < 2000


@pytest.mark.parametrize(
    "number", [f"0x{'f' * 900_000}", f"0o{'7' * 30}", "9" * 900_000, "-" + "9" * 20, f"0b{'1' * 64}"]
)
@pytest.mark.parametrize("where", ["board_width = {}", "gap = 0\nseed = {}", "x = [[{}]]", "x = {{ y = {} }}"])
def test_a_very_long_number_is_refused_anywhere(number, where):
    with pytest.raises(SceneError, match=r"line [56].*a number too long to be read") as found:
        load_scene("room.toml", scene().replace("board_width = 0.07", where.format(number)))
    assert len(str(found.value)) < 300
