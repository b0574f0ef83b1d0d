"""What a scene says, what holds where it says nothing, and where each key stands."""

import dataclasses
import math
import subprocess
import sys
from datetime import datetime, timedelta, timezone
from fractions import Fraction

import pytest

from preview.data import data_folder
from preview.errors import Place, SceneError, UsageError
from preview.room.measured import build_room
from preview.scene import load_scene, read_scene
from preview.scene.job import BorderChoice, Center, FloorChoice, Leg, LightChoice, StripChoice, Sun, Target, WoodChoice
from preview.scene.positions import key_lines
from preview.units import parse_length


def inches(count):
    """Return inches in metres, the float nearest to the exact value."""
    return float(Fraction(count) * Fraction(254, 10_000))


EVERY_KEY = """\
title = "Morning room"
units = "in"
base_name = "On the room"
north = 15

[room]
corners = [[0, 0], ["15' 6\\"", 0], ["15' 6\\"", "12' 4\\""], "0 × 12' 4\\""]
height = "8' 6\\""
baseboard = "1"
wall_thickness = "5 1/2\\""

[[openings]]
name = "hall archway"
kind = "cased opening"
wall = 2
offset = "3' 2\\""
width = "5′"
height = "6′ 10″"
beyond = "10'"

[[openings]]
name = "window"
kind = "Window"
wall = 4
offset = 30
width = 48
sill = "2½'"
height = "54"

[[obstacles]]
name = "hearth"
kind = "hearth"
corners = [["5' 3\\"", "10' 8\\""], ["10' 3\\"", "10' 8\\""], ["10' 3\\"", "12' 4\\""], ["5' 3\\"", "12' 4\\""]]
height = "3/4"
baseboard = "1/2"

[[vents]]
name = "A"
center = ["2' 1\\"", "14"]
size = "10 × 4 in"
angle = "90°"

[floor]
pattern = "herringbone"
board_width = "4"
board_length = "20"
courses = 8
run = 90
center = { point = ["7' 9\\"", 0] }
start = "2"
thickness = "3/4"
gap = "1/32"

[border]
width = "4"
overlap = "1/4"
longest = "7'"

[wood]
species = "White-Oak"
cut = "quartersawn"
grade = "select"
stain = "none"
finish = "satin"
seed = 7

[border.strip]
width = "3/4"
species = "cherry"

[border_wood]
species = "walnut"

[light]
sky = "clear"
sun = { latitude = 51.5, longitude = -0.1, time = 2026-10-14T16:00:00+01:00 }
exposure = 7.5

[[viewpoints]]
name = "from the archway"
at = { opening = "hall archway" }
eye = "5' 3\\""
look = { vent = "A" }
fov = 55

[[viewpoints]]
name = "low"
at = [30, 30]
look = [100, 100, 12]

[[viewpoints]]
name = "plan"
kind = "plan"

[[variants]]
name = "On the archway"
floor.center = { opening = "hall archway" }

[[variants]]
name = "Metric oak"
[variants.floor]
board_width = "100 mm"
board_length = "fit"
[variants.wood]
cut = "plainsawn"
"""

SHORTEST = """\
units = "mm"
[room]
walk = ["E 4000", "N 3000", "W 4000", "180 3000"]
[[obstacles]]
name = "post"
kind = "column"
corners = [[1000, 1000], [1300, 1000], [1300, 1300]]
[[vents]]
center = [3000, 500]
size = [250, 100]
[floor]
board_width = 90
"""


def test_every_key_is_read():
    job = read_scene(EVERY_KEY, "morning.toml")[0]
    assert (job.title, job.variant, job.units, job.north) == ("Morning room", "On the room", "in", math.radians(15))
    assert job.room.corners == ((0, 0), (inches(186), 0), (inches(186), inches(148)), (0, inches(148)))
    assert (job.room.height, job.room.baseboard, job.room.wall_thickness) == (inches(102), inches(1), inches(5.5))
    archway, window = job.openings
    assert (archway.kind, archway.wall, archway.offset, archway.width) == ("cased opening", 2, inches(38), inches(60))
    assert (archway.height, archway.sill, archway.beyond) == (inches(82), 0, inches(120))
    assert (window.kind, window.sill, window.height) == ("window", inches(30), inches(54))
    (hearth,) = job.obstacles
    assert (hearth.height, hearth.baseboard, hearth.corners[0]) == (
        inches(0.75),
        inches(0.5),
        (inches(63), inches(128)),
    )
    (vent,) = job.vents
    assert (vent.center, vent.size, vent.angle) == ((inches(25), inches(14)), (inches(10), inches(4)), math.pi / 2)
    assert job.floor == FloorChoice(
        board_width=inches(4),
        board_length=inches(20),
        courses=8,
        run=math.pi / 2,
        center=Center("point", point=(inches(93), 0)),
        start=inches(2),
        thickness=inches(0.75),
        gap=inches(1 / 32),
        pattern="herringbone",
    )
    cherry = dataclasses.replace(job.border_wood, species="cherry")
    assert job.border == BorderChoice(inches(4), inches(0.25), inches(84), StripChoice(inches(0.75), cherry))
    assert job.wood == WoodChoice("white oak", "quartersawn", "select", "none", "satin", 7)
    assert job.border_wood == dataclasses.replace(job.wood, species=job.border_wood.species)
    assert "walnut" in job.border_wood.species
    time = datetime(2026, 10, 14, 16, tzinfo=timezone(timedelta(hours=1)))
    assert job.light == LightChoice("clear", Sun(51.5, -0.1, time), 7.5)
    first, low, plan = job.viewpoints
    assert (first.at, first.look) == (Target("opening", "hall archway"), Target("vent", "A"))
    assert (first.eye, first.fov) == (inches(63), math.radians(55))
    assert (low.at.point, low.look.point) == ((inches(30), inches(30), None), (inches(100), inches(100), inches(12)))
    assert (plan.kind, plan.at, plan.look) == ("plan", None, None)


def test_what_is_left_out_is_what_one_would_expect():
    (job,) = read_scene(SHORTEST, "folder/study.toml")
    assert (job.title, job.variant, job.north) == ("study", "As drawn", 0)
    assert job.room.corners == ()
    assert job.room.walk[3] == Leg(math.radians(270), 3.0, "180 3000")
    assert (job.room.height, job.room.baseboard, job.room.wall_thickness) == (2.5, 0, 0.124)
    assert job.obstacles[0].height == job.room.height
    assert job.vents[0].name == "A"
    assert job.floor == FloorChoice(0.09, None, "even", None, Center("room"), "full", 0.02, 0, pattern="herringbone")
    assert job.border == BorderChoice(0, 0, 2.1)
    assert job.wood == job.border_wood == WoodChoice("white oak", "plainsawn", "select", "none", "satin", 1)
    assert job.light == LightChoice("overcast", None, "auto")
    assert job.viewpoints == ()


def test_imperial_scenes_have_imperial_defaults():
    text = SHORTEST.replace('"mm"', '"in"').replace("4000", "160").replace("3000", "120").replace("90", "4")
    (job,) = read_scene(
        text.replace("1000", "40").replace("1300", "52").replace("500", "20").replace("250, 100", "10, 4"), "-"
    )
    assert (job.room.height, job.room.wall_thickness) == (inches(96), inches(4.875))
    assert (job.floor.thickness, job.border.longest) == (inches(0.75), inches(84))


def test_an_opening_has_a_usual_height_where_none_is_given():
    opening = '[[openings]]\nname = "{0}"\nkind = "{0}"\nwall = 1\noffset = {1}\nwidth = 900\n'
    (job,) = read_scene(SHORTEST + opening.format("door", 100) + opening.format("window", 1500), "-")
    assert [(each.sill, each.height, each.beyond) for each in job.openings] == [(0, 2.0, 2.5), (0.9, 1.2, 2.5)]


def test_the_overlap_never_exceeds_the_baseboard():
    text = SHORTEST.replace("[room]", "[room]\nbaseboard = {}")
    overlaps = [read_scene(text.format(each), "-")[0].border.overlap for each in (0, 4, 18)]
    assert overlaps == [0, 0.004, 0.006]


def test_a_variant_changes_what_it_names_and_no_more():
    base, archway, metric = read_scene(EVERY_KEY, "morning.toml")
    assert [job.variant for job in (base, archway, metric)] == ["On the room", "On the archway", "Metric oak"]
    floor = dataclasses.replace(base.floor, center=Center("opening", opening="hall archway"))
    assert archway == dataclasses.replace(base, variant="On the archway", floor=floor)
    assert metric == dataclasses.replace(
        base,
        variant="Metric oak",
        floor=dataclasses.replace(base.floor, board_width=0.1, board_length=None),
        wood=dataclasses.replace(base.wood, cut="plainsawn"),
        border_wood=dataclasses.replace(base.border_wood, cut="plainsawn"),
        border=dataclasses.replace(
            base.border,
            strip=dataclasses.replace(
                base.border.strip, wood=dataclasses.replace(base.border.strip.wood, cut="plainsawn")
            ),
        ),
    )


STRIP = (
    SHORTEST
    + """
[border]
width = 90
strip = { width = 20, species = "walnut" }

[wood]
species = "ash"
seed = 3

[border_wood]
species = "cherry"
grade = "rustic"
"""
)


def test_a_feature_strip_takes_what_it_does_not_say_from_the_border():
    (job,) = read_scene(STRIP, "-")
    assert job.border.strip == StripChoice(0.02, dataclasses.replace(job.border_wood, species="walnut"))
    assert (job.border_wood.grade, job.border_wood.seed) == ("rustic", 3)
    assert job.woods == (job.wood, job.border_wood, job.border.strip.wood)
    (plain,) = read_scene(STRIP.replace(', species = "walnut"', ""), "-")
    assert plain.border.strip.wood == plain.border_wood


def test_a_variant_changes_the_feature_strip_takes_it_away_or_brings_it():
    variants = """
[[variants]]
name = "Teak"
border.strip.species = "teak"

[[variants]]
name = "Wide"
border.strip = { width = "30 mm" }

[[variants]]
name = "Plain"
border.strip = "none"
"""
    base, teak, wide, plain = read_scene(STRIP + variants, "-")
    wood = base.border.strip.wood
    assert teak.border.strip == StripChoice(0.02, dataclasses.replace(wood, species="teak"))
    assert wide.border.strip == StripChoice(0.03, wood)
    assert plain == dataclasses.replace(base, variant="Plain", border=dataclasses.replace(base.border, strip=None))
    without, with_ = read_scene(
        STRIP.replace("strip =", "# strip =") + '[[variants]]\nname = "With"\nborder.strip.width = 20\n', "-"
    )
    assert without.border.strip is None and with_.border.strip == StripChoice(0.02, with_.border_wood)


def test_a_variant_without_the_border_is_told_that_its_strip_is_left():
    lines = (STRIP + '[[variants]]\nname = "None"\nborder.width = 0\n').splitlines()
    with pytest.raises(SceneError) as caught:
        read_scene("\n".join(lines), "room.toml")
    place = lines.index("border.width = 0") + 1
    assert str(caught.value).startswith(
        f"room.toml, line {place}: variants[1].border.width: a feature strip without a border; give the border a width"
    )


def test_every_key_has_its_line():
    lines = EVERY_KEY.splitlines()
    base, archway, metric = read_scene(EVERY_KEY, "morning.toml")
    for key, line in base.lines.items():
        name = key.rpartition(".")[2].partition("[")[0]
        assert name in lines[line - 1], key
    assert base.place("openings[2].sill") == Place("morning.toml", "openings[2].sill", lines.index('sill = "2½\'"') + 1)
    assert base.place("light.sun.time").line == base.place("light.sun").line
    assert base.place("openings[1].sill").line == lines.index("[[openings]]") + 1
    assert archway.place("floor.center").line == lines.index('floor.center = { opening = "hall archway" }') + 1
    assert archway.place("floor.run") == base.place("floor.run")
    assert metric.place("floor.board_width").line == lines.index('board_width = "100 mm"') + 1


def test_lines_are_found_in_whatever_way_toml_is_written():
    text = '''\
# a comment with [brackets] and key = "value"
"quoted key" = """
not = "a key"
[nor.a.table]
"""
list = [
    # first
    [1, 2], "a # in a text",
    { x = 1, y.z = 'it''s' },
]
a . b = 2026-10-14 16:00:00 # a date with a space
[[t]]
[t.inner]
k = \'\'\'
[[t]]
\'\'\'
[[t]]
[[t.rows]]
[[t.rows]]
k = 1
'''.replace("'it''s'", "'its'")
    assert key_lines(text) == {
        "quoted key": 2,
        "list": 6,
        "list[1]": 8,
        "list[1][1]": 8,
        "list[1][2]": 8,
        "list[2]": 8,
        "list[3]": 9,
        "list[3].x": 9,
        "list[3].y": 9,
        "list[3].y.z": 9,
        "a": 11,
        "a.b": 11,
        "t": 12,
        "t[1]": 12,
        "t[1].inner": 13,
        "t[1].inner.k": 14,
        "t[2]": 17,
        "t[2].rows": 18,
        "t[2].rows[1]": 18,
        "t[2].rows[2]": 19,
        "t[2].rows[2].k": 20,
    }


def test_a_folder_of_ones_own_adds_woods(tmp_path):
    wood = 'name = "bog oak"\naliases = ["black oak"]\n[heartwood]\n'
    (tmp_path / "bog-oak.toml").write_text(wood, encoding="utf-8")
    text = SHORTEST + '[wood]\nspecies = "{}"\n'
    for name in ("bog oak", "Bog_Oak", "black oak"):
        assert read_scene(text.format(name), "-", materials=tmp_path)[0].wood.species == "bog oak"
    with pytest.raises(UsageError, match="nowhere: no such folder of materials"):
        read_scene(text, "-", materials=tmp_path / "nowhere")
    (tmp_path / "torn.toml").write_text("name = ", encoding="utf-8")
    with pytest.raises(SceneError, match=r"torn\.toml, line 1: not valid TOML: Invalid value"):
        read_scene(text, "-", materials=tmp_path)


@pytest.mark.parametrize("name", ["dining-room", "kitchen", "hall", "garden-room"])
def test_the_demo_scenes_are_rooms(name):
    jobs = load_scene(data_folder("scenes") / f"{name}.toml")
    for job in jobs:
        room = build_room(job)
        assert room.misclosure is None
        assert room.warnings == ()
        assert all(room.field.contains(vent.polygon) for vent in room.vents)


def test_the_dining_room_is_as_measured():
    jobs = load_scene(data_folder("scenes") / "dining-room.toml")
    assert [job.variant for job in jobs] == ["On the room", "On the archway", "Five-inch boards"]
    room = build_room(jobs[0])
    assert room.opening("hall archway").middle[0] == pytest.approx(parse_length("6' 8\"", "in"))
    assert room.outline.centroid.x == pytest.approx(parse_length("7' 4\"", "in"))


def test_the_hall_is_of_a_thousand_square_metres_and_forty_thousand_boards():
    (job,) = load_scene(data_folder("scenes") / "hall.toml")
    assert build_room(job).outline.area == pytest.approx(1000)
    assert 38_000 < build_room(job).field.area / (job.floor.board_width * job.floor.board_length) < 42_000


def test_reading_loads_nothing_heavy():
    code = (
        "import sys, preview.scene; "
        "print({'numpy', 'shapely', 'scipy', 'trimesh', 'pyrender', 'tomlkit'} & set(sys.modules) or 'light')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "light"


@pytest.mark.parametrize(
    ("kind", "written", "name"),
    [
        ("stain", "gray", "grey"),
        ("stain", "Gray stain", "grey"),
        ("stain", "light stain", "light"),
        ("stain", "dark_stain", "dark"),
        ("stain", "no stain", "none"),
        ("stain", "natural", "none"),
        ("stain", "limed", "white"),
        ("finish", "matte", "matt"),
        ("finish", "Matte finish", "matt"),
        ("finish", "oil matte", "oil matt"),
        ("finish", "matte oil", "oil matt"),
        ("finish", "semi gloss", "semi-gloss"),
        ("finish", "semigloss", "semi-gloss"),
        ("finish", "Oil-Semi-Gloss", "oil semi-gloss"),
        ("species", "White-Oak", "white oak"),
    ],
)
def test_woods_stains_and_finishes_go_by_other_spellings(kind, written, name):
    (job,) = read_scene(f'{SHORTEST}[wood]\n{kind} = "{written}"\n', "room.toml")
    assert getattr(job.wood, kind) == name


def test_a_stain_of_ones_own_takes_a_name_that_ours_lends(tmp_path):
    (tmp_path / "stains.toml").write_text(
        '["gray"]\nabsorption = [0.1, 0.1, 0.1]\nscatter = 0.0\npores = 1.0\nsource = "mine"\n', encoding="utf-8"
    )
    (job,) = read_scene(f'{SHORTEST}[wood]\nstain = "gray"\n', "room.toml", materials=tmp_path)
    assert job.wood.stain == "gray"


def test_a_variant_of_another_pattern_leaves_out_the_keys_of_the_base_s():
    base = (data_folder("scenes") / "dining-room.toml").read_text("utf-8").split("[[variants]]")[0]
    scene = base.replace('pattern = "herringbone"', 'pattern = "chevron"\nangle = 50') + (
        '[[variants]]\nname = "Herringbone"\nfloor.pattern = "herringbone"\n'
        '[[variants]]\nname = "Steep"\nfloor.angle = 60\n'
        '[[variants]]\nname = "Threes"\nfloor = { pattern = "double herringbone", strips = 3 }\n'
    )
    chevron, plain, steep, threes = read_scene(scene, "scene.toml")
    assert chevron.floor.of_pattern("angle") == pytest.approx(math.radians(50)) and plain.floor.own == ()
    assert steep.floor.pattern == "chevron" and steep.floor.of_pattern("angle") == pytest.approx(math.radians(60))
    assert threes.floor.own == (("strips", 3),)
    with pytest.raises(SceneError, match=r"floor.angle: angle beside the pattern herringbone"):
        read_scene(
            scene.replace('floor.pattern = "herringbone"', 'floor = { pattern = "herringbone", angle = 45 }'), "x"
        )
