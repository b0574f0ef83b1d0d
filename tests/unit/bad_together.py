"""Slips that no key shows by itself, as in `bad_scenes`: keys that disagree, variants, rooms that can't be built."""

from good_scene import CORNERS

from preview.scene.nodes import listed
from preview.scene.woods import wood_names

TOGETHER = [
    # What only several keys together show
    (
        "a wall too many",
        ("wall = 3", "wall = 5"),
        'line 19: openings[2].wall: "garden window" in wall 5; the room has walls 1 to 4',
    ),
    (
        "an opening through the ceiling",
        ("width = 32", 'width = 32\nheight = "9\'"'),
        "line 15: openings[1].height: \"hall door\" reaches 9'; keep it below the ceiling at 8'",
    ),
    (
        "wood into the wall",
        ("width = 4\n\n[wood]", "width = 4\noverlap = 2\n\n[wood]"),
        'line 40: border.overlap: an overlap of 2"; keep it within the baseboard: the baseboard is 1" thick',
    ),
    (
        "a feature strip without a border",
        ("width = 4\n\n[wood]", 'width = 0\nstrip = { width = "3/4" }\n\n[wood]'),
        "line 40: border.strip: a feature strip without a border; give the border a width, or write "
        'strip = "none"; a strip along the walls alone is a border: give its width as border.width and its wood in '
        "[border_wood]",
    ),
    (
        "a feature strip that is only a length",
        ("width = 4\n\n[wood]", 'width = 4\nstrip = "3/4"\n\n[wood]'),
        'line 40: border.strip: "3/4" instead of a feature strip; write { width = "3/4 in", species = "walnut" }, '
        'or "none"',
    ),
    (
        "a feature strip of no width",
        ("width = 4\n\n[wood]", "width = 4\nstrip.width = 0\n\n[wood]"),
        'line 40: border.strip.width: a feature strip of 0 in; give one between 1/8" and 12", or strip = "none"',
    ),
    (
        "a feature strip below nothing",
        ("width = 4\n\n[wood]", "width = 4\nstrip.width = -1\n\n[wood]"),
        'line 40: border.strip.width: a feature strip of -1 in; give one between 1/8" and 12", or strip = "none"',
    ),
    (
        "a feature strip of no such wood",
        ("width = 4\n\n[wood]", 'width = 4\nstrip = { width = 1, species = "wallnut" }\n\n[wood]'),
        'line 40: border.strip.species: unknown species "wallnut"; did you mean "walnut"? '
        f"Accepted values: {listed(sorted(set(wood_names()['species'].values())), 'or')}",
    ),
    (
        "a feature strip whose year is its own",
        ("width = 4\n\n[wood]", 'width = 4\nstrip = { width = 1, season = "winter" }\n\n[wood]'),
        "line 40: border.strip.season: a feature strip in winter round a floor as laid; leave it out: wood.season goes "
        "for the feature strip too",
    ),
    (
        "corners and a walk",
        ("baseboard = 1", 'baseboard = 1\nwalk = ["E 12\'", "N 10\'", "W 12\'", "S 10\'"]'),
        "line 8: room.walk: both corners and a walk; keep the one that was measured",
    ),
    (
        "a walk that goes nowhere",
        ('corners = [[0, 0], ["12\'", 0], ["12\'", "10\'"], [0, "10\'"]]', 'walk = ["E 12\'", "up 10\'", "W 12\'"]'),
        'line 5: room.walk[2]: "up 10\'" does not begin with a direction; write compass letters, such as E or NE, '
        "or a bearing in degrees clockwise from N, such as 90, then the length: E 12 ft 7 1/2 in",
    ),
    # Variants
    (
        "a variant that changes nothing",
        ("floor.board_width = 5", 'floor.board_width = "4 in"'),
        'line 53: variants[2]: "Wide boards" changes nothing; '
        "set something that the scene itself has otherwise, such as floor.board_width",
    ),
    (
        "a variant of no such key",
        ("floor.board_width = 5", "flor.board_width = 5"),
        'line 55: variants[2].flor: unknown key "flor"; did you mean "floor"?',
    ),
    (
        "a variant of no such key in a table",
        ("floor.board_width = 5", "floor.wood_width = 5"),
        'line 55: variants[2].floor.wood_width: unknown key "wood_width"; did you mean "board_width"?',
    ),
    (
        "a wrong value in a variant",
        ("floor.board_width = 5", "floor.board_width = 50"),
        'line 55: variants[2].floor.board_width: a board width of 50 in; give one between 1/2" and 12"',
    ),
    (
        "a variant of the whole scene's keys",
        ("floor.board_width = 5", 'units = "cm"'),
        'line 55: variants[2].units: "units" in a variant; it goes for the whole scene; a variant may change '
        '"north", "room", "openings", "obstacles", "vents", "floor", "border", "stock", "wood", "border_wood", '
        '"light" and "paint"',
    ),
    (
        "two variants of one name",
        ('"Wide boards"', '"On the door"'),
        'line 54: variants[2].name: a second variant "On the door"; give each variant a name of its own',
    ),
    (
        "two variants of one name but for case",
        ('name = "Wide boards"', 'name = "on the Door"'),
        'line 54: variants[2].name: a second variant "on the Door"; give each variant a name of its own',
    ),
    (
        "two viewpoints of one name but for case",
        ("[[viewpoints]]", '[[viewpoints]]\nname = "From the door"\nkind = "plan"\n[[viewpoints]]'),
        'line 48: viewpoints[2].name: a second "from the door"; give it another name than viewpoints[1]',
    ),
    (
        "a variant with the name of the base",
        ('"Wide boards"', '"As drawn"'),
        'line 54: variants[2].name: a second variant "As drawn"; give each variant a name of its own',
    ),
    (
        "a nameless variant",
        ('name = "Wide boards"\n', ""),
        'line 53: variants[2]: no "name"; add name = "what to call it"',
    ),
    # The room as built
    (
        "walls that cross",
        ('["12\'", 0], ["12\'", "10\'"], [0', '["12\'", "10\'"], ["12\'", 0], [0'),
        "line 5: room.corners: wall 1 and wall 3 cross or touch; "
        "give the corners in the order in which one meets them walking round the room",
    ),
    (
        "a walk that does not close",
        (CORNERS, 'walk = ["E 12\'", "N 10\'", "W 11\'", "S 10\'"]'),
        'line 5: room.walk: the walk ends 12" from where it began, more than the 1 1/16" that may be spread over '
        '43\' of walls; measure wall 1 ("E 12\'") and wall 3 ("W 11\'") again, they are the likeliest to be wrong, '
        "and see that no wall is missing",
    ),
    (
        "an opening off its wall",
        ('offset = "3\'"', 'offset = "9\'"'),
        "line 20: openings[2].offset: garden window ends 13' along wall 3, which is 12' long; "
        "give an offset of at most 8'",
    ),
    (
        "two openings in one place",
        ("wall = 3", "wall = 1"),
        "line 20: openings[2].offset: garden window overlaps hall door on wall 1; "
        "hall door takes 2' to 4' 8\" of that wall; move one of them or make it narrower",
    ),
    (
        "an obstacle outside",
        (
            '[["4\'", "8\' 6\\""], ["8\'", "8\' 6\\""], ["8\'", "10\'"], ["4\'", "10\'"]]',
            "[[-60, 0], [-50, 0], [-50, 20]]",
        ),
        "line 26: obstacles[1].corners: hearth lies outside the room; move it inside the walls, or leave it out",
    ),
    (
        "a vent in a wall",
        ('center = ["10\'", ', 'center = ["12\'", '),
        "line 30: vents[1].center: vent A lies in a wall or outside the room; move it onto the floor",
    ),
    (
        "a vent under the baseboard",
        ('center = ["10\'", ', "center = [138.5, "),
        "line 30: vents[1].center: vent A lies under the baseboard; move it clear of the wall",
    ),
    (
        "a border wider than the room",
        ("width = 4\n\n[wood]", "width = 60\n\n[wood]"),
        "line 39: border.width: a border 5' wide leaves no field; give a width under 4' 2 5/8\"",
    ),
    (
        "a feature strip wider than what the border leaves",
        ("width = 4\n\n[wood]", "width = 48\nstrip.width = 3\n\n[wood]"),
        'line 40: border.strip.width: a feature strip 3" wide leaves no field; give a width under 2 5/8"',
    ),
    (
        "a vent of a variant in a wall",
        ("floor.board_width = 5", 'vents = [{ center = ["12\'", "2\'"], size = [10, 4] }]'),
        "line 55: vents[1].center: vent A lies in a wall or outside the room; move it onto the floor",
    ),
]
