"""Advice that is followed removes its warning, in rooms of every kind."""

import re
from dataclasses import replace

from preview.errors import SceneError
from preview.room.measured import build_room
from preview.room.vents import WAYS
from preview.units import parse_length
from tests.strategies import checked, rooms

MOVE = re.compile(
    r"vent (\w) straddles .*; move it (.+) (east|north|west|south) on the plan and it lies wholly in the "
)


@checked(40, 150, rooms())
def test_a_vent_moved_as_told_straddles_no_more(job):
    told = [match for words in build_room(job).warnings if (match := MOVE.match(words))]
    for match in told:
        name, text, way = match.groups()
        far, (x, y) = parse_length(text, "in"), WAYS[way]
        vents = tuple(
            replace(each, center=(each.center[0] + far * x, each.center[1] + far * y)) if each.name == name else each
            for each in job.vents
        )
        try:
            warnings = build_room(replace(job, vents=vents)).warnings
        except SceneError as error:
            raise AssertionError(f"moved as told, but {error}") from error
        assert not any(words.startswith(f"vent {name} straddles") for words in warnings)
