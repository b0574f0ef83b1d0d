"""The first boards in words: what holds them, how they lie on the start point, and how the row goes on."""

from __future__ import annotations

from math import sqrt

from preview.floor.layout import Layout
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import edge_line
from preview.scene.job import Unit
from preview.units import format_exact, format_fine


def first_rows(layout: Layout, units: Unit) -> list[Row]:
    """Return how the first boards are laid, in the order of the work: what holds them, how they lie on the start point,
    what proves their 45 degrees, and how the row goes on.

    The near corners on the right of left-leaning boards follow the chalk line, W sqrt2 apart (`preview.floor.lattice`).
    A board's length from S and from the mark L sqrt2 along the line, the far corner on its right side stands at 45
    degrees: the diagonal of a square of side L. That one lays a row to its end before the straightedge is taken up is
    common practice, no published source.
    """
    board, first, apart = layout.board, layout.lines[0], _apart(layout, units)
    reach, twice, long = (
        format_fine(board.length / sqrt(2), units),
        format_fine(board.length * sqrt(2), units),
        (format_exact(board.length, units)),
    )
    step = format_fine((board.width + board.gap) * sqrt(2), units)
    held = first.whole and first.straightedge
    rows = []
    if held:
        rows.append(
            (
                "Straightedge",
                "first of all, a straight strip fixed to the subfloor on the near side of S: its edge runs through S, "
                "at 45° to the chalk line, forward to the right, and as far back as a board is wide; the first two "
                "boards stand against it",
            )
        )
    rows += [
        (
            "First board",
            f"{layout.first_board}: from S forward to the left, at 45° to the chalk line; the right corner of its near "
            "end lies on S",
        ),
        (
            "Proof of 45°",
            f"the far corner on its right side lies {reach} forward of S along the chalk line, and {reach} to the left "
            f"of the line; by tape, it is {long} both from S and from a mark {twice} forward of S on the line",
        ),
    ]
    if held:
        rows.append(("Back-up block", "against the left side of the first board, so that it can't move"))
    rows.append(
        (
            "Second board",
            f"right-leaning: its end against the first board's right side{apart}, flush with the first board's near "
            "end",
        )
    )
    if not first.whole:
        rows.append(("Both", "neither fits whole here: lay them dry from S and mark where they are cut"))
    elif not held:
        rows.append(("Holding them", "there is no room for a straightedge: hold both with blocks until they are fixed"))
    rows += [
        (
            "Third board",
            f"left-leaning, like the first: its near end against the second board's far side{apart}, its left side "
            f"against the first board's right; the right corner of its near end lies on the line, {step} forward of S",
        ),
        (
            "And so on",
            f"right and left in turn; every left-leaning board has that corner on the line, {step} past the last. "
            f"When the row is fixed to its end, take up {'strip and block' if held else 'the blocks'}, fill back to "
            f"the near {edge_line(layout)}, then lay row by row outward on both sides. Saw what crosses the "
            f"{edge_line(layout)} to it",
        ),
    ]
    return rows


def _apart(layout: Layout, units: Unit) -> str:
    return f", a joint of {format_exact(layout.board.gap, units)} from it" if layout.board.gap > 0 else ""
