"""What the courses end in, in words: at each side of the field and at each end."""

from __future__ import annotations

from preview.floor.layout import Layout
from preview.paper.layer_notes import Row
from preview.paper.numbers import side_text, triangle_text
from preview.scene.job import Unit


def ends_text(layout: Layout, units: Unit) -> list[Row]:
    """Return the last pieces at the sides and the triangles at the ends."""
    return [
        ("Last piece, left", side_text(layout, "left", units)),
        ("Last piece, right", side_text(layout, "right", units)),
        ("Triangles, near end", triangle_text(layout, "near", units)),
        ("Triangles, far end", triangle_text(layout, "far", units)),
    ]
