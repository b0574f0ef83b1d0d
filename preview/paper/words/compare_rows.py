"""Which numbers tell variants apart, and which are the same in all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from preview.floor.features import meetings
from preview.floor.layout import Layout
from preview.paper.words.ends_text import short_ends
from preview.paper.words.line_words import Floor, aside_row, meeting_text, shared_features, the
from preview.paper.words.numbers import center_text, write
from preview.paper.words.year import joint_text
from preview.room.room import Room
from preview.scene.job import Job, WoodChoice
from preview.units import format_length


@dataclass(frozen=True)
class Compared:
    """One line under the pictures: its label and what stands under each variant."""

    label: str
    values: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether the variants are told apart by it."""
        return len(set(self.values)) > 1


def compared(floors: Sequence[Floor]) -> list[Compared]:
    """Return every number that variants, each a job with its room and layout, are compared by, in the scene's units."""
    lines: dict[str, Callable[[Job, Room, Layout], str]] = {
        "Wood": lambda job, _, __: wood_text(job.wood),
        "Border": lambda job, _, layout: _border(job, layout),
        "Grade": lambda job, _, __: both(job, job.wood.grade, job.border_wood.grade),
        "Finish": lambda job, _, __: both(job, job.wood.finish, job.border_wood.finish),
        "Board": lambda job, _, layout: (
            f"{format_length(layout.board.width, job.units)} × {format_length(layout.board.length, job.units)}"
        ),
        "Courses": lambda _, __, layout: str(layout.count),
        "Centre line": lambda job, room, layout: center_text(room, layout, job.units),
    }
    found = [_line(label, line, floors) for label, line in lines.items()]
    found += _features(floors) or [_line("Far end", _far_end, floors)]
    edges = [(layout.board, layout.stretches) for _, _, layout in floors]
    found += [Compared(label, tuple(values)) for label, values in short_ends(edges, floors[0][0].units)]
    lines = {
        "Boards to cut": lambda job, _, layout: write(layout.measures["blanks"], "count", job.units),
        "Waste": lambda job, _, layout: write(layout.measures["waste"], "share", job.units),
    }
    if any(job.wood.moisture for job, _, _ in floors):
        lines |= {
            "Joints in winter": lambda job, _, layout: _joint(layout, "winter", job),
            "Joints in summer": lambda job, _, layout: _joint(layout, "summer", job),
            "Pictures show it": lambda job, _, __: (
                "as laid" if job.wood.season == "install" else f"in {job.wood.season}"
            ),
        }
    return found + [_line(label, line, floors) for label, line in lines.items()]


def _line(label: str, line: Callable[[Job, Room, Layout], str], floors: Sequence[Floor]) -> Compared:
    return Compared(label, tuple(line(*floor) for floor in floors))


def _far_end(job: Job, room: Room, layout: Layout) -> str:
    return meeting_text(room, meetings(room, layout)[1], job.units)


def _features(floors: Sequence[Floor]) -> list[Compared]:
    """Return a line for each feature of the room that the centre line of one of the floors lies near."""
    offsets = shared_features(floors)
    return [
        Compared(
            f"At {the(name)}",
            tuple(
                aside_row(each[name], room, layout, job.units)
                for (job, room, layout), each in zip(floors, offsets, strict=True)
            ),
        )
        for name in offsets[0]
    ]


def wood_text(wood: WoodChoice) -> str:
    """Return a wood in words: species, cut, stain where there is one, and age where it isn't new."""
    stain = f", {wood.stain} stain" if wood.stain != "none" else ""
    age = f", after {wood.age:g} {'year' if wood.age == 1 else 'years'}" if wood.age else ""
    return f"{wood.species}, {wood.cut}{stain}{age}"


def both(job: Job, field: str, border: str) -> str:
    """Return what goes for the field, and for the border where that has another."""
    return field if border == field or not job.border.width else f"{field}; border {border}"


def _joint(layout: Layout, season: str, job: Job) -> str:
    joint = layout.measures.get(f"joint_{season}")
    if joint is None:
        return "not worked out"
    return joint_text(joint, job.units)


def _border(job: Job, layout: Layout) -> str:
    if layout.border_width == 0:
        return "none"
    return f"{format_length(layout.border_width, job.units)}, {wood_text(job.border_wood)}"
