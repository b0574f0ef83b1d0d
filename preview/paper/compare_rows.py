"""Which numbers tell variants apart, and which are the same in all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from preview.floor.layout import Layout
from preview.paper.numbers import center_text, side_text, triangle_text, write
from preview.scene.job import Job, WoodChoice
from preview.units import format_gap, format_length


@dataclass(frozen=True)
class Compared:
    """One line under the pictures: its label and what stands under each variant."""

    label: str
    values: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether the variants are told apart by it."""
        return len(set(self.values)) > 1


def compared(jobs: Sequence[Job], layouts: Sequence[Layout]) -> list[Compared]:
    """Return every number that variants are compared by, in the units of the scene."""
    lines: dict[str, Callable[[Job, Layout], str]] = {
        "Wood": lambda job, _: wood_text(job.wood),
        "Border": _border,
        "Grade": lambda job, _: _both(job, job.wood.grade, job.border_wood.grade),
        "Finish": lambda job, _: _both(job, job.wood.finish, job.border_wood.finish),
        "Board": lambda job, layout: (
            f"{format_length(layout.board.width, job.units)} × {format_length(layout.board.length, job.units)}"
        ),
        "Courses": lambda _, layout: str(layout.count),
        "Centre line": lambda job, layout: center_text(layout, job.units),
        "Last piece, left": lambda job, layout: side_text(layout, "left", job.units),
        "Last piece, right": lambda job, layout: side_text(layout, "right", job.units),
        "Triangles, near end": lambda job, layout: triangle_text(layout, "near", job.units),
        "Triangles, far end": lambda job, layout: triangle_text(layout, "far", job.units),
        "Boards to cut": lambda job, layout: write(layout.measures["blanks"], "count", job.units),
        "Waste": lambda job, layout: write(layout.measures["waste"], "share", job.units),
    }
    if any(job.wood.moisture for job in jobs):
        lines |= {
            "Joints in winter": lambda job, layout: _joint(layout, "winter", job),
            "Joints in summer": lambda job, layout: _joint(layout, "summer", job),
            "Pictures show it": lambda job, _: "as laid" if job.wood.season == "install" else f"in {job.wood.season}",
        }
    pairs = list(zip(jobs, layouts, strict=True))
    return [Compared(label, tuple(line(job, layout) for job, layout in pairs)) for label, line in lines.items()]


def wood_text(wood: WoodChoice) -> str:
    """Return a wood in words: species, cut, stain where there is one, and age where it isn't new."""
    stain = f", {wood.stain} stain" if wood.stain != "none" else ""
    age = f", after {wood.age:g} {'year' if wood.age == 1 else 'years'}" if wood.age else ""
    return f"{wood.species}, {wood.cut}{stain}{age}"


def _both(job: Job, field: str, border: str) -> str:
    """Return what goes for the field, and for the border where that has another."""
    return field if border == field or not job.border.width else f"{field}; border {border}"


def _joint(layout: Layout, season: str, job: Job) -> str:
    joint = layout.measures.get(f"joint_{season}")
    if joint is None:
        return "not worked out"
    words = format_gap(joint, job.units)
    return words if words != format_gap(0, job.units) else "closed"


def _border(job: Job, layout: Layout) -> str:
    if layout.border_width == 0:
        return "none"
    return f"{format_length(layout.border_width, job.units)}, {wood_text(job.border_wood)}"
