"""Setting out in words: the lines, the start and the first boards, each as it is found on an empty floor."""

from __future__ import annotations

import numpy as np

from preview.floor.laid import LaidFloor
from preview.floor.layout import ChalkLine, Layout
from preview.paper.words.border_line_text import border_rows, edge_text, gap_text, strip_rows
from preview.paper.words.compare_rows import wood_text
from preview.paper.words.layer_notes import Row
from preview.paper.words.line_words import line_words
from preview.paper.words.numbers import and_list, center_text, edge_line, long_text
from preview.paper.words.setting_out import Mark, SettingOut, Tape, directions, set_out, vent_turn
from preview.room.places import corner_name, offset_from_wall, side_name, side_towards, wall_name
from preview.room.room import Room, RoomVent
from preview.scene.job import Job, Unit
from preview.units import format_count, format_exact, format_fine, format_length


def setting_out_text(floor: LaidFloor) -> list[Row]:
    """Return every line and point that is put on the floor, in the order of the work."""
    room, layout = floor.room, floor.layout
    units, board, edge = floor.job.units, layout.board, edge_line(layout)
    lines = set_out(room, layout)
    wide, thick = (format_exact(each, units) for each in (board.width, board.thickness))
    rows = [
        ("Corners", corners_text(room)),
        ("Measured from", measured_from(room, layout, units)),
        ("Facing", facing_text(room, layout)),
        ("Lengths" if board.mixed else "Stop block", f"{long_text(board, units)}  ({layout.facts.stop_block})"),
        ("Board", f"{long_text(board, units)} × {wide} × {thick}"),
        ("Joint", joint_text(layout, units)),
        ("Expansion gap", gap_text(floor)),
        ("Wood", wood_row(layout, floor.job)),
        ("Courses", f"{layout.count}, each {format_fine(layout.course_width, units)} wide, {heading_text(layout)}"),
        (edge.capitalize(), edge_text(floor)),
        *((label, words) for label, words in border_rows(room, layout, units)),
        *strip_rows(floor),
        ("Centre line", center_text(room, layout, units)),
        *(("", words) for words in line_words(room, layout, units)),
    ]
    rows += line_rows(room, layout, layout.lines[0], lines, units)
    for number, line in enumerate(layout.lines[1:], 2):
        rows.append((f"Line {number}", other_line_text(room, layout, line, units)))
        rows += line_rows(room, layout, line, set_out(room, layout, line), units, number)
    return [*rows, *layout.facts.first_boards]


def corners_text(room: Room) -> str:
    """Say how corners are named."""
    return (
        f"named by the walls that meet there: {corner_name(room, 0)} is where wall {len(room.corners)} meets wall 1; "
        "the plan numbers the walls"
    )


def measured_from(room: Room, layout: Layout, units: Unit) -> str:
    """Say from what distances are taken: the plaster, so baseboards come off first; what to do where one must stay."""
    if room.baseboard <= 0:
        return "the plaster of the walls"
    thick = format_exact(room.baseboard, units)
    stays = f"where one must stay, take {thick} off what is measured from it"
    what = "border" if layout.border_width > 0 else "boards"
    stays += f", and rip as much off the {what} there"
    if room.edge > 0:
        stays += ", so that the expansion gap is left in front of it"
    return f"the plaster of the walls, baseboards taken off; {stays}"


def facing_text(room: Room, layout: Layout) -> str:
    """Say how one stands whose near and far, left and right are meant."""
    along, left = directions(layout)
    found = set_out(room, layout)
    near, far = (
        side_towards(room, way) if mark.wall is None else side_name(room, mark.wall)
        for mark, way in ((found.near, -along), (found.far, along))
    )
    on_left, on_right = side_towards(room, left), side_towards(room, -left)
    if {near, far} & {on_left, on_right}:
        return f"stand at S and look along the chalk line towards {far}; left and right are as you then have them"
    return f"stand with your back to {near} and look to {far}: {on_left} is on the left, {on_right} on the right"


def joint_text(layout: Layout, units: Unit) -> str:
    """Say how wide the joints are."""
    gap = layout.board.gap
    return f"{format_exact(gap, units)} between boards, on all sides" if gap > 0 else "none: boards are laid tight"


def saw_text(layout: Layout) -> str:
    """Return how the saw stands where boards' ends are not square, a sentence with a space after it; else nothing."""
    saw, points = layout.facts.saw, layout.facts.points
    return f"The saw stands {saw}: {points}. " if saw else ""


def wood_row(layout: Layout, job: Job) -> str:
    """Return the woods of field, border, feature strip and thresholds, parts of one wood together."""
    field, *others = (wood_text(each) for each in job.woods)
    parts = {field: ["field", "grilles"]}
    for part, wood in (
        *([("border", others[0])] if layout.border_width > 0 else []),
        *([("feature strip", others[-1])] if layout.strip_width > 0 else []),
        ("thresholds", others[0]),
    ):
        parts.setdefault(wood, []).append(part)
    if len(parts) == 1:
        return f"{field}, for the whole floor"
    return "; ".join(f"{and_list(names)} {wood}" for wood, names in parts.items())


def line_rows(
    room: Room, layout: Layout, line: ChalkLine, found: SettingOut, units: Unit, number: int = 1
) -> list[Row]:
    """Return how a chalk line is struck, and where the start lies on it."""
    named = "Chalk line" if number == 1 else ""
    start = "Start point S" if number == 1 else f"Start point S{number}"
    inside, which = format_fine(found.inside, units), "" if number == 1 else f" {number}"
    return [
        *([(named, chalk_text(room, layout, units))] if number == 1 else []),
        (f"  near end{which}", mark_text(room, found.near, found.length, units)),
        (f"  far end{which}", mark_text(room, found.far, found.length, units)),
        (
            start,
            f"on the chalk line, {format_fine(found.from_near, units)} from its near end and "
            f"{format_fine(found.from_far, units)} from its far end; {inside} past the {edge_line(layout)}",
        ),
    ]


def chalk_text(room: Room, layout: Layout, units: Unit) -> str:
    """Say how the chalk line lies from the centre line, and why where it is not the nearest."""
    _, left = directions(layout)
    side = side_towards(room, -left if layout.chalk_offset > 0 else left)
    away = format_length(abs(layout.chalk_offset), units)
    on_it = away == format_length(0.0, units)
    words = "on the centre line" if on_it else f"{away} from the centre line, towards {side}"
    courses = layout.lines[0].courses
    if courses:
        words += f": {format_count(abs(courses), 'course')} from the line nearest to it, which is short or blocked"
    return words


def other_line_text(room: Room, layout: Layout, line: ChalkLine, units: Unit) -> str:
    """Say where a further line lies: in a part of the field that the first doesn't reach."""
    left = directions(layout)[1]
    apart = float((line.start - layout.start_point) @ left)
    courses = abs(line.courses - layout.lines[0].courses)
    side = side_towards(room, left if apart > 0 else -left)
    where = f"for the part of the field towards {side}, parallel to the first"
    return (
        f"{where}, {format_count(courses, 'course')} ({format_fine(abs(apart), units)}) from it"
        if courses
        else f"{where}, in its run"
    )


def mark_text(room: Room, mark: Mark, span: float, units: Unit) -> str:
    """Say how a mark is found: along a wall from its corners, or where tapes from corners cross; `span` metres is how
    long the line is, which checks a mark that no third corner sees."""
    tapes = [_tape(room, each, units) for each in mark.tapes]
    if mark.wall is not None:
        return f"on {wall_name(room, mark.wall)}, along it {' and '.join(tapes)}"
    words = f"where two tapes cross: {' and '.join(tapes[:2])}"
    return f"{words}; check {tapes[2] if len(tapes) > 2 else f'{format_fine(span, units)} from end to end of the line'}"


def _tape(room: Room, tape: Tape, units: Unit) -> str:
    return f"{format_fine(tape.length, units)} from {corner_name(room, tape.corner)}"


def grille_row(room: Room, layout: Layout, vent: RoomVent, units: Unit) -> Row:
    """Return a grille: its name, its frame, where its middle lies and how it is turned."""
    found = offset_from_wall(room, vent.center)
    size = " × ".join(format_exact(each, units) for each in vent.size)
    turn = vent_turn(room, vent, found.wall)
    way = f"turned {abs(turn):g}° {'anti' if turn > 0 else ''}clockwise from the wall"
    turned = {0.0: "along the wall", 90.0: "square to the wall"}.get(turn, way)
    square, along = format_fine(found.square, units), format_fine(found.along, units)
    return (
        vent.name,
        f"frame {size}; its middle {square} from {wall_name(room, found.wall)}, square to it, "
        f"at {along} from {corner_name(room, found.corner)}; its {_first(vent)} side {turned}",
    )


def _first(vent: RoomVent) -> str:
    return "longer" if vent.size[0] > vent.size[1] else "shorter" if vent.size[0] < vent.size[1] else "first"


def heading_text(layout: Layout) -> str:
    """Say which way the courses run on the plan, as someone who holds the plan upright sees it."""
    ways = (
        "to the right",
        "up and right",
        "up",
        "up and left",
        "to the left",
        "down and left",
        "down",
        "down and right",
    )
    return f"running {ways[round(np.degrees(layout.run) / 45) % 8]} on the plan"
