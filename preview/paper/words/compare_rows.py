"""Which numbers tell variants apart, and which are the same in all of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from preview.floor.features import meetings
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.paper.words.ends_text import short_ends
from preview.paper.words.light_rows import light_text
from preview.paper.words.line_words import aside_row, meeting_text, shared_features
from preview.paper.words.numbers import center_text, long_text, write
from preview.paper.words.paint_words import paint_lines
from preview.paper.words.year import joint_text
from preview.room.places import the
from preview.scene.job import Job, Unit, WoodChoice
from preview.units import format_length
from preview.wood.species import load_finish


@dataclass(frozen=True)
class Compared:
    """One line under the pictures: its label and what stands under each variant."""

    label: str
    values: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether the variants are told apart by it."""
        return len(set(self.values)) > 1


def compared(floors: Sequence[LaidFloor]) -> list[Compared]:
    """Return every number that variants are compared by, in the scene's units."""
    lines: dict[str, Callable[[LaidFloor], str]] = {
        "Wood": lambda floor: wood_text(floor.job.wood),
        "Border": lambda floor: _border(floor.job, floor.layout),
        **({"Feature strip": _strip} if any(each.layout.strip_width for each in floors) else {}),
        "Grade": lambda floor: by_part(floor.job, [each.grade for each in floor.job.woods]),
        "Finish": lambda floor: by_part(floor.job, finishes(floor.job)),
        **_pattern(floors),
        "Board": _board,
        "Courses": lambda floor: str(floor.layout.count),
        "Centre line": lambda floor: center_text(floor.room, floor.layout, floor.job.units),
    }
    found = [_line(label, line, floors) for label, line in lines.items()]
    found += _features(floors) or [_line("Far end", _far_end, floors)]
    found += [Compared(label, tuple(values)) for label, values in short_ends([each.layout.ends for each in floors])]
    lines = {
        "Boards to cut": lambda floor: write(floor.layout.measures["blanks"], "count", floor.job.units),
        "Waste": lambda floor: waste_text(floor.layout, floor.job.units),
    }
    if any(each.job.wood.moisture for each in floors):
        lines |= {
            "Joints in winter": lambda floor: _joint(floor, "winter"),
            "Joints in summer": lambda floor: _joint(floor, "summer"),
            "Pictures show it": lambda floor: (
                "as laid" if floor.job.wood.season == "install" else f"in {floor.job.wood.season}"
            ),
        }
    if len({light_text(each.job.light) for each in floors}) > 1:
        lines["Light"] = lambda floor: light_text(floor.job.light)
    found += [_line(label, line, floors) for label, line in lines.items()]
    return found + [Compared(label, paints) for label, paints in paint_lines(floors)]


def _pattern(floors: Sequence[LaidFloor]) -> dict[str, Callable[[LaidFloor], str]]:
    """Return the line of the pattern where floors differ in it, with how boards lie where two share a name."""
    kinds = {(each.layout.facts.name, each.layout.facts.lie) for each in floors}
    if len(kinds) == 1:
        return {}
    shared = Counter(name for name, _ in kinds)

    def words(floor: LaidFloor) -> str:
        facts = floor.layout.facts
        return f"{facts.name}, {facts.lie}" if shared[facts.name] > 1 else facts.name

    return {"Pattern": words}


def _line(label: str, line: Callable[[LaidFloor], str], floors: Sequence[LaidFloor]) -> Compared:
    return Compared(label, tuple(line(floor) for floor in floors))


def _board(floor: LaidFloor) -> str:
    board, units = floor.layout.board, floor.job.units
    return f"{format_length(board.width, units)} × {long_text(board, units, format_length)}"


def _far_end(floor: LaidFloor) -> str:
    return meeting_text(floor.room, meetings(floor.room, floor.layout)[1], floor.job.units)


def _features(floors: Sequence[LaidFloor]) -> list[Compared]:
    """Return a line for each feature of the room that the centre line of one of the floors lies near."""
    offsets = shared_features(floors)
    return [
        Compared(
            f"At {the(name)}",
            tuple(
                aside_row(each[name], floor.room, floor.layout, floor.job.units)
                for floor, each in zip(floors, offsets, strict=True)
            ),
        )
        for name in offsets[0]
    ]


def waste_text(layout: Layout, units: Unit) -> str:
    """Return by what the boards to cut are more than the field, and what that counts."""
    return f"{write(layout.measures['waste'], 'share', units)}, no offcut used again"


def wood_text(wood: WoodChoice) -> str:
    """Return a wood in words: species, cut, stain where there is one, and age where it isn't new."""
    stain = f", {wood.stain} stain" if wood.stain != "none" else ""
    age = f", after {wood.age:g} {'year' if wood.age == 1 else 'years'}" if wood.age else ""
    return f"{wood.species}, {wood.cut}{stain}{age}"


def finishes(job: Job) -> list[str]:
    """Return the finish of each of the job's woods in words: ``satin water-borne finish``."""
    return [finish_text(each.finish, job.materials) for each in job.woods]


def finish_text(name: str, materials: Path | None = None) -> str:
    """Return a finish in the order in which it is spoken, its sheen first: ``matt oil finish`` for ``oil matt``."""
    kind = load_finish(name, materials).kind
    sheen = " ".join(word for word in name.split() if word != kind)
    return f"{sheen} {kind} finish"


def by_part(job: Job, said: Sequence[str]) -> str:
    """Return what is `said` of each of the job's woods: of the field, and of border and feature strip where they have
    another."""
    field, *others = said
    parts = zip(("border", "feature strip"), others, strict=False)
    return "; ".join([field, *(f"{part} {words}" for part, words in parts if job.border.width and words != field)])


def _joint(floor: LaidFloor, season: str) -> str:
    joint = floor.layout.measures.get(f"joint_{season}")
    if joint is None:
        return "not worked out"
    return joint_text(joint, floor.job.units)


def _border(job: Job, layout: Layout) -> str:
    if layout.border_width == 0:
        return "none"
    return f"{format_length(layout.border_width, job.units)}, {wood_text(job.border_wood)}"


def _strip(floor: LaidFloor) -> str:
    strip = floor.job.border.strip
    return f"{format_length(strip.width, floor.job.units)}, {wood_text(strip.wood)}" if strip else "none"
