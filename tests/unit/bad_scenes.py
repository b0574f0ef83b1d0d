"""Slips in a scene: each a name, an edit of the good scene (a text that stands in it once and what to put there), and
the whole message. To add one, add it to `EDITS`, or to `TOGETHER` where it takes more
than one key to see it."""

from bad_together import TOGETHER
from good_scene import CORNERS

from preview.scene.nodes import listed
from preview.scene.woods import wood_names

NO_TEXT = "bytes that are no text in UTF-8; save the scene as plain text in UTF-8"
WALK = "walk = ['E 12 ft', 'N 10 ft', 'W 12 ft', 'S 10 ft']"
PAINTS = listed(sorted(set(wood_names()["paint"].values())), "and")
UNITS = '"in", "ft", "mm", "cm" or "m"'

EDITS = [
    # Not a scene at all
    (
        "broken TOML",
        ("[border]", "[border"),
        "line 38: not valid TOML: Expected ']' at the end of a table declaration; correct that line",
    ),
    (
        "a bare inch mark in quotes",
        ("width = 32", 'width = "32""'),
        "line 14: not valid TOML: Expected newline or end of document after a statement; "
        'inside quotes write an inch mark as \\" or as ″',
    ),
    (
        "a length outside quotes",
        ("board_width = 4", "board_width = 4 in"),
        "line 34: not valid TOML: Expected newline or end of document after a statement; "
        "put a length with its unit, or with a fraction, in quotes",
    ),
    (
        "a key given twice",
        ("run = 90", "run = 90\nrun = 0"),
        "line 36: not valid TOML: Cannot overwrite a value; this key stands there a second time: keep one",
    ),
    (
        "quotes left open",
        ('species = "white oak"', 'species = "white oak'),
        "line 42: not valid TOML: Illegal character '\\n'; close the quotes before the line ends",
    ),
    (
        "a line that is no key",
        ("[border]", "border:"),
        "line 38: not valid TOML: Expected '=' after a key in a key/value pair; "
        "write key = value, or begin a table: [room]",
    ),
    (
        "a page of the web",
        ('units = "in"', "<html>"),
        "line 2: not valid TOML: Invalid statement; write key = value, or begin a table: [room]",
    ),
    # Control characters, which TOML lets one write as escapes
    (
        "a title that steers a terminal",
        ('title = "Study"', 'title = "Study\\u001b[31m"'),
        "line 1: title: a control character, \\x1b; take it out, or write a space for it",
    ),
    (
        "a name that reads backwards",
        ('name = "hearth"', 'name = "\\u202ehtraeh"'),
        "line 24: obstacles[1].name: a control character, \\u202e; take it out, or write a space for it",
    ),
    (
        "a bell in a place that names another",
        ('floor.center = { opening = "hall door" }', 'floor.center = { opening = "hall\\u0007 door" }'),
        "line 51: variants[1].floor.center.opening: a control character, \\x07; take it out, or write a space for it",
    ),
    (
        "a control character in a key",
        ('species = "white oak"', '"spe\\u009bcies" = "white oak"'),
        "line 41: wood.spe\\x9bcies: a control character, \\x9b; take it out, or write a space for it",
    ),
    (
        "a control character in a length",
        ("width = 32", 'width = "32\\u001c in"'),
        "line 14: openings[1].width: a control character, \\x1c; take it out, or write a space for it",
    ),
    # Paint
    (
        "a paint misspelt",
        ("[border]", '[paint]\nwalls = "sagee green"\n[border]'),
        f'line 39: paint.walls: unknown paint "sagee green"; did you mean "sage green"? Known are {PAINTS}; '
        'a colour is written "#e8e2d6"',
    ),
    (
        "a paint that nothing is near",
        ("[border]", '[paint]\nwalls = "xyz"\n[border]'),
        f'line 39: paint.walls: unknown paint "xyz"; known are {PAINTS}; a colour is written "#e8e2d6"',
    ),
    (
        "a number for a paint",
        ("[border]", "[paint]\ntrim = 12\n[border]"),
        f'line 39: paint.trim: unknown paint 12; known are {PAINTS}; a colour is written "#e8e2d6"',
    ),
    (
        "a colour with a figure too few",
        ("[border]", '[paint]\nceiling = "#e8e2d"\n[border]'),
        'line 39: paint.ceiling: "#e8e2d" as a colour; write # and six hexadecimal digits, such as "#e8e2d6", '
        f"or the name of a paint: {PAINTS}",
    ),
    (
        "a colour without its sign",
        ("[border]", '[paint]\ncabinets = "A0B0C0"\n[border]'),
        'line 39: paint.cabinets: "A0B0C0" as a colour; write # and six hexadecimal digits, such as "#a0b0c0", '
        f"or the name of a paint: {PAINTS}",
    ),
    (
        "a surface that is not painted",
        ("[border]", '[paint]\nwall = "cream"\n[border]'),
        'line 39: paint.wall: unknown key "wall"; did you mean "walls"?',
    ),
    (
        "a paint in a variant",
        ("floor.board_width = 5", 'paint.walls = "#12"'),
        'line 55: variants[2].paint.walls: "#12" as a colour; write # and six hexadecimal digits, such as "#e8e2d6", '
        f"or the name of a paint: {PAINTS}",
    ),
    # Keys
    (
        "unknown key",
        ("board_width = 4", "bord_width = 4"),
        'line 34: floor.bord_width: unknown key "bord_width"; did you mean "board_width"?',
    ),
    ("unknown table", ("[border]", "[borders]"), 'line 38: borders: unknown key "borders"; did you mean "border"?'),
    (
        "unknown key far from any other",
        ("size = [10, 4]", "size = [10, 4]\nzzz = 1"),
        'line 32: vents[1].zzz: unknown key "zzz"; accepted: "angle", "center", "name" or "size"',
    ),
    (
        "missing key",
        ("board_width = 4\n", ""),
        'line 33: floor: no "board_width"; add board_width, the face width of a board',
    ),
    ("no units", ('units = "in"\n', ""), f'units: no "units"; add units = {UNITS}, before the first table'),
    ("unknown unit", ('"in"', '"yd"'), f'line 2: units: unknown unit "yd"; accepted values: {UNITS}'),
    (
        "one table where there may be several",
        ("[[vents]]", "[vents]"),
        "line 28: vents: a single table; there may be several: write [[vents]] with two brackets",
    ),
    (
        "several tables where there is one",
        ("[border]", "[[border]]"),
        'line 38: border: an array of 1 instead of a table; give it keys: "width", "overlap", "longest" and "strip"',
    ),
    # Diagonals
    (
        "a diagonal from no corner",
        (CORNERS, f"{CORNERS}\ndiagonals = [{{ from = 1, to = 7, length = 187 }}]"),
        "line 6: room.diagonals[1].to: corner 7; the room has corners 1 to 4",
    ),
    (
        "a diagonal that is a wall",
        (CORNERS, f"{CORNERS}\ndiagonals = [{{ from = 4, to = 1, length = 120 }}]"),
        "line 6: room.diagonals[1]: a diagonal from corner 4 to 1, which is wall 4; "
        "give it between corners that are no neighbours",
    ),
    (
        "a diagonal to its own corner",
        (CORNERS, f"{CORNERS}\ndiagonals = [{{ from = 2, to = 2, length = 120 }}]"),
        "line 6: room.diagonals[1].to: a diagonal from corner 2 to itself; name another corner",
    ),
    (
        "a diagonal given twice",
        (
            CORNERS,
            f"{CORNERS}\ndiagonals = [{{ from = 1, to = 3, length = 187.5 }},\n{{ from = 3, to = 1, length = 187 }}]",
        ),
        "line 7: room.diagonals[2]: a second diagonal between corners 3 and 1; keep this one or room.diagonals[1]",
    ),
    (
        "a diagonal without its length",
        (CORNERS, f"{CORNERS}\ndiagonals = [{{ from = 1, to = 3 }}]"),
        'line 6: room.diagonals[1]: no "length"; add length, as taped from corner to corner',
    ),
    (
        "a diagonal that the corners deny",
        (CORNERS, f'{CORNERS}\ndiagonals = [{{ from = 1, to = 3, length = "15\' 9\\"" }}]'),
        "line 6: room.diagonals[1].length: diagonal 1 to 3 is 15' 9\" by the tape and 15' 7 7/16\" between the corners "
        'as given, more than the 11/16" that may be spread; measure again, or give the walls as a walk, so that sides '
        "and diagonals settle the corners together",
    ),
    (
        "a diagonal longer than its walls",
        (CORNERS, f"{WALK}\ndiagonals = [{{ from = 1, to = 3, length = '30 ft' }}]"),
        "line 6: room.diagonals[1].length: 30' from corner 1 to corner 3, but walls 1 and 2 reach only 22'; "
        "tape it again, and check the numbers of its corners",
    ),
    (
        "a diagonal too short for its walls",
        (CORNERS, f"{WALK}\ndiagonals = [{{ from = 1, to = 3, length = 15 }}]"),
        "line 6: room.diagonals[1].length: 15\" from corner 1 to corner 3: of walls 1 and 2, wall 1 is 12' long, and "
        "the diagonal and the others reach only 11' 3\"; tape it again, and check the numbers of its corners",
    ),
    (
        "diagonals that disagree",
        (
            CORNERS,
            f"{WALK}\ndiagonals = [{{ from = 1, to = 3, length = 187.5 }}, {{ from = 2, to = 4, length = 190 }}]",
        ),
        'line 6: room.diagonals: the tapes disagree: diagonal 2 to 4, 15\' 10", comes out 2 5/8" shorter by the '
        'others, more than the 1 5/16" that may be spread; with one measure to spare none can be told from the others: '
        "tape walls and diagonals again",
    ),
    # Lengths
    (
        "missing unit in a sum",
        ("width = 32", 'width = "2\' 8.5"'),
        'line 14: openings[1].width: a number without its unit in "2\' 8.5"; say what it is in, such as 8.5 in',
    ),
    (
        "metres and a number",
        ('height = "8\'"', 'height = "2 m 44"'),
        'line 6: room.height: a number without its unit in "2 m 44"; say what it is in, such as 44 cm',
    ),
    (
        "no length at all",
        ("width = 32", 'width = "wide"'),
        'line 14: openings[1].width: "wide" is not a length; write one such as 12 ft 7 1/2 in',
    ),
    (
        "wrong type",
        ("width = 32", "width = true"),
        "line 14: openings[1].width: true instead of a length; write a number or a text such as 12 ft 7 1/2 in",
    ),
    (
        "negative length",
        ("width = 32", "width = -32"),
        "line 14: openings[1].width: an opening of -32 in; give one between 4\" and 984'",
    ),
    (
        "absurd length",
        ('height = "8\'"', 'height = "80 m"'),
        "line 6: room.height: a room height of \"80 m\"; give one between 4' and 98'",
    ),
    (
        "absurd corner",
        ('["12\'", "10\'"], [0', '["12\'", "10 km"], [0'),
        "line 5: room.corners[3][2]: unknown unit 'km' in \"10 km\"; write in, ft, mm, cm or m",
    ),
    (
        "zero-size board",
        ("board_width = 4", "board_width = 0"),
        'line 34: floor.board_width: a board width of 0 in; give one between 1/2" and 12"',
    ),
    (
        "board wider than long",
        ("run = 90", "run = 90\nboard_length = 3"),
        'line 36: floor.board_length: a board 3" long and 4" wide; give the longer side as the length',
    ),
    (
        "a number that is no number",
        ("run = 90", "run = nan"),
        "line 35: floor.run: nan instead of an angle; write degrees, such as 45 or 22.5",
    ),
    (
        "one coordinate",
        ('center = ["10\'", "2\'"]', 'center = ["10\'"]'),
        'line 30: vents[1].center: an array of 1 instead of two lengths; write them as ["7 ft 9 in", 0]',
    ),
    # Choices and names
    (
        "unknown species",
        ('"white oak"', '"wite oak"'),
        'line 42: wood.species: unknown species "wite oak"; did you mean "white oak"? Accepted values: '
        + listed(sorted(set(wood_names()["species"].values())), "or"),
    ),
    (
        "unknown kind",
        ('kind = "door"', 'kind = "dor"'),
        'line 11: openings[1].kind: unknown kind of opening "dor"; did you mean "door"? '
        'Accepted values: "cased opening", "door" or "window"',
    ),
    (
        "unknown cut",
        ('"white oak"', '"white oak"\ncut = "sliced"'),
        'line 43: wood.cut: unknown cut "sliced"; accepted values: "plainsawn", "riftsawn" or "quartersawn"',
    ),
    (
        "unknown sky",
        ('[[variants]]\nname = "On', '[light]\nsky = "cloudy"\n\n[[variants]]\nname = "On'),
        'line 50: light.sky: unknown sky "cloudy"; accepted values: "overcast" or "clear"',
    ),
    (
        "clear sky without its sun",
        ("[wood]", '[light]\nsky = "clear"\n\n[wood]'),
        "line 42: light.sky: a clear sky without its sun; add sun = { latitude = 51.5, longitude = -0.1, "
        'time = 2026-10-14T16:00:00+01:00 }, or write "overcast"',
    ),
    (
        "another pattern",
        ("run = 90", 'pattern = "waves"'),
        'line 35: floor.pattern: unknown pattern "waves"; accepted values: "herringbone", '
        '"double herringbone", "chevron" or "straight"',
    ),
    (
        "centre on nothing",
        ('center = "room"', 'center = { opening = "hal door" }'),
        'line 36: floor.center.opening: no opening is called "hal door"; did you mean "hall door"?',
    ),
    (
        "centre that is none",
        ('center = "room"', 'center = "door"'),
        'line 36: floor.center: "door" as a centre; write "room", { opening = "its name" } or { point = [x, y] }',
    ),
    (
        "looking at nothing",
        ('look = { obstacle = "hearth" }', 'look = { obstacle = "stove" }'),
        'line 47: viewpoints[1].look.obstacle: no obstacle is called "stove"; accepted: "hearth"',
    ),
    (
        "a viewpoint without a place",
        ('at = { opening = "hall door" }\n', ""),
        'line 44: viewpoints[1]: no "at"; add at = { opening = "its name" } or at = [x, y]',
    ),
    (
        "two openings of one name",
        ('"garden window"', '"hall door"'),
        'line 17: openings[2].name: a second "hall door"; give it another name than openings[1]',
    ),
    *TOGETHER,
]
