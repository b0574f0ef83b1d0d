"""What papers say of herringbone: how its boards are laid, what its courses end in."""

from __future__ import annotations

from math import sqrt

from preview.floor.facts import Facts, Row
from preview.floor.layout import Board, ChalkLine
from preview.floor.patterns.tens import tens
from preview.floor.sizes import EdgePieces, Sizes, angled_in_short, angled_words, length_range, span
from preview.scene.job import Unit
from preview.units import format_exact, format_fine, format_length

NUMBERS = {2: "two", 3: "three"}
GROUPS = {2: "pairs", 3: "threes"}


def pattern_facts(name: str, strips: int, board: Board, line: ChalkLine, edge: str, units: Unit) -> Facts:
    """Return what is said of herringbone in boards of a size, `strips` a leg, laid from `line`; `edge` is what the
    field's edge is called."""
    step = sqrt(2) * strips * (board.width + board.gap)
    variety = f"{strips} side by side" if strips > 1 else ""
    return Facts(
        name=name,
        variety=variety,
        hands=("lean left", "lean right"),
        stop_block="every field board is cut to this",
        first_board="left-leaning",
        first_boards=tuple(_first_rows(strips, board, line, edge, units)),
        uncut="its uncut end towards you",
        grooves="They then come left and right, for the two leans: near end grooved, far end and the "
        "side that faces on tongued. An offcut serves only its own hand, by the end that it still has.",
        tongued="With tongue and groove they come left and right",
        look=f"{f'{GROUPS[strips]} of ' if strips > 1 else ''}boards in a zigzag",
        lie=", ".join(filter(None, (variety, "at 45° to the centre line"))),
        sides="in the long side that faces on and in the far end",
        corner_step=step,
        boards_a_step=strips,
        along=sqrt(2) * strips / step,
        across=1 / sqrt(2),
        end=board.width,
    )


def _first_rows(strips: int, board: Board, line: ChalkLine, edge: str, units: Unit) -> list[Row]:
    """Return how the first boards are laid, in the order of the work: what holds them, how they lie on the start point,
    what proves their 45 degrees, and how the row goes on.

    The near corners on the right of left-leaning legs follow the chalk line, W sqrt2 apart with W the leg's width
    (`preview.floor.patterns.herringbone.lattice`). A board's length from S and from the mark L sqrt2 along the line,
    the far corner on its right side stands at 45 degrees: the diagonal of a square of side L. That one lays a row to
    its end before the straightedge is taken up is common practice, no published source.
    """
    apart = f", a joint of {format_exact(board.gap, units)} from it" if board.gap > 0 else ""
    between = f", joints of {format_exact(board.gap, units)} between them" if board.gap > 0 else ""
    reach, twice, long = (
        format_fine(board.length / sqrt(2), units),
        format_fine(board.length * sqrt(2), units),
        format_exact(board.length, units),
    )
    leg = strips * board.width + (strips - 1) * board.gap
    pace = strips * (board.width + board.gap) * sqrt(2)
    step = format_fine(pace, units)
    held = line.whole and line.straightedge
    many = strips > 1
    others = "" if strips == 2 else "s"
    what, first = ("leg", "the first board'") if many else ("board", "it")
    rows: list[Row] = []
    if held:
        back = f"a leg is wide ({format_fine(leg, units)})" if many else "a board is wide"
        rows.append(
            (
                "Straightedge",
                "first of all, a straight strip fixed to the subfloor on the near side of S: its edge runs through S, "
                f"at 45° to the chalk line, forward to the right, and as far back as {back}; the first two "
                f"{what}s stand against it",
            )
        )
    rows.append(
        (
            "First board",
            "left-leaning: from S forward to the left, at 45° to the chalk line; the right corner of its near "
            "end lies on S",
        )
    )
    if many:
        rows.append(
            (
                "First leg",
                f"{NUMBERS[strips]} boards side by side make a leg: the other{others} on the left side of the first"
                f"{between}, near ends flush",
            )
        )
    rows.append(
        (
            "Proof of 45°",
            f"the far corner on {first}s right side lies {reach} "
            f"forward of S along the chalk line, and {reach} to the left "
            f"of the line; by tape, it is {long} both from S and from a mark {twice} forward of S on the line",
        )
    )
    if held:
        rows.append(("Back-up block", f"against the left side of the first {what}, so that it can't move"))
    if many:
        rows.append(
            (
                "Second leg",
                f"right-leaning: the end of its first board against the first leg's right side{apart}, flush with the "
                f"first leg's near end; the other{others} on the far side of that one, ends against the first leg too",
            )
        )
    else:
        rows.append(
            (
                "Second board",
                f"right-leaning: its end against the first board's right side{apart}, flush with the first board's "
                "near end",
            )
        )
    if not line.whole:
        rows.append(("Both", "neither fits whole here: lay them dry from S and mark where they are cut"))
    elif not held:
        rows.append(("Holding them", "there is no room for a straightedge: hold both with blocks until they are fixed"))
    along = tens(pace, line, units)
    return [
        *rows,
        (
            f"Third {what}",
            f"left-leaning, like the first: its near end against the second {what}'s far side{apart}, its left side "
            f"against the first {what}'s right; the right corner of its near end lies on the line, {step} forward of S",
        ),
        (
            "And so on",
            f"right and left in turn; every left-leaning {what} has that corner on the line, about {step} past the "
            f"last. When the row is fixed to its end, take up {'strip and block' if held else 'the blocks'}, fill back "
            f"to the near {edge}, then lay row by row outward on both sides. Saw what crosses the {edge} to it",
        ),
        *([("Every ten", f"that corner of a left-leaning {what}, from S along the line: {along}")] if along else []),
    ]


def end_words(edge: EdgePieces, board: Board, units: Unit) -> str:
    """Return what the courses come to at a stretch of the field's edge."""
    boards, triangles = edge.boards, edge.triangles
    if edge.meets == "angled":
        return angled_words(edge, board.width, units)
    if edge.meets == "ends":
        if triangles:
            return triangle_words(triangles, board, units)
        return f"boards cut to {length_range([boards], units)}"
    full = format_length(board.length, units)
    cut = boards is not None and format_length(boards.shortest, units) != full
    parts = [triangle_words(triangles, board, units)] if triangles else []
    if cut or not triangles:
        parts.append(f"boards cut to {length_range([boards], units)}" if cut else f"full boards of {full}")
    return " and ".join(parts)


def short_words(edge: EdgePieces, board: Board, units: Unit) -> str:
    """Return the same in a word or two."""
    if edge.meets == "angled":
        return angled_in_short(edge, units)
    if not edge.triangles:
        return f"boards of {length_range([edge.boards], units)}"
    least, most = _short_sides(edge.triangles)
    if _full(least, most, board, units):
        return "full triangles"
    return f"triangles, short sides {span(least, most, units)}"


def triangle_words(triangles: Sizes, board: Board, units: Unit) -> str:
    """Return triangles by their short sides, full only where all are as long as a board is wide."""
    least, most = _short_sides(triangles)
    if _full(least, most, board, units):
        return "full triangles"
    return f"triangles with short sides of {span(least, most, units)} (full: {format_length(board.width, units)})"


def _short_sides(triangles: Sizes) -> tuple[float, float]:
    return min(triangles.shortest, triangles.narrowest), max(triangles.longest, triangles.widest)


def _full(least: float, most: float, board: Board, units: Unit) -> bool:
    return format_length(least, units) == format_length(most, units) == format_length(board.width, units)
