"""What papers say of straight rows: how they are laid, what they come to at the edges."""

from __future__ import annotations

from preview.floor.facts import Facts, Row
from preview.floor.layout import Board, ChalkLine
from preview.floor.sizes import EdgePieces, Sizes, angled_in_short, angled_words, length_range, span
from preview.scene.job import Unit
from preview.units import format_exact, format_fine, format_length


def pattern_facts(
    name: str, stagger: float, end: float, board: Board, line: ChalkLine, edge: str, units: Unit
) -> Facts:
    """Return what is said of rows of boards of a size, laid from `line`, with joints at least `stagger` apart and no
    piece under `end` at a row's end, metres; `edge` is what the field's edge is called."""
    offcuts = (
        f"What is sawn off at the far end of a row can begin another if it is {format_fine(end, units)} or longer, its "
        f"sawn end at the {edge}."
    )
    return Facts(
        name=name,
        hands=("laid along the rows",),
        stop_block="lengths mixed, laid as long as they come; only the ends of rows are sawn"
        if board.mixed
        else "every field board is cut to this",
        first_board="right of the chalk line",
        first_boards=tuple(_first_rows(stagger, end, board, line, edge, units)),
        uncut="its uncut end towards you",
        grooves=offcuts if board.mixed else f"An offcut serves only by the end that it still has. {offcuts}",
        sides="in the long side that faces on and in the far end",
        look="boards in rows",
        lie="along the centre line, end joints at random",
        ten="of ten rows side by side {} across them",
        corner_step=board.pitch[0],
        boards_a_step=1,
        wide=1.0,
        end=board.width,
        shortest_start=end,
    )


def _first_rows(stagger: float, end: float, board: Board, line: ChalkLine, edge: str, units: Unit) -> list[Row]:
    """Return how rows are laid, in the order of the work.

    That the first row is laid along a batten on the line, and rows with joints at random by a least stagger and a
    shortest end piece, is common practice, no published source.
    """
    apart = f", a joint of {format_exact(board.gap, units)} from it" if board.gap > 0 else ""
    between = f", joints of {format_exact(board.gap, units)} between ends" if board.gap > 0 else ""
    ten = format_fine(10 * board.pitch[0], units)
    least, short, step = (format_fine(each, units) for each in (stagger, end, board.pitch[0]))
    rows: list[Row] = [
        (
            "Batten",
            "first of all, a straight strip fixed along the chalk line, on its left: the left edges of the first row "
            "stand against it",
        ),
        (
            "First board",
            "right of the chalk line, its left edge along it; the left corner of its near end lies on S",
        ),
    ]
    if not line.whole:
        rows.append(("First boards", "do not fit whole here: lay them dry from S and mark where they are cut"))
    return [
        *rows,
        (
            "First row",
            f"end to end along the line from S to the far {edge}{between}, and back to the near {edge}",
        ),
        (
            "Rows",
            f"side by side to the right, the left edge of each against the last{apart}: edges about {step} on from row "
            f"to row, {ten} on after ten. Then take up the batten, and lay to the left of the first row in the same "
            f"way. Saw what crosses the {edge} to it",
        ),
        (
            "End joints",
            f"at random: those of two rows side by side at least {least} apart, not in line with those of the row but "
            f"one, and no piece under {short} at the end of a row. Lay out several rows dry before you fix one. Plan "
            "and cutting list show one such floor: where your joints fall otherwise, measure end pieces in their place",
        ),
    ]


def end_words(edge: EdgePieces, board: Board, units: Unit) -> str:
    """Return what the rows come to at a stretch of the field's edge."""
    pieces = edge.all
    if edge.meets == "angled" or pieces is None:
        return angled_words(edge, board.width, units)
    if edge.meets == "ends":
        return f"boards cut to {length_range([pieces], units)}"
    if _full(pieces, board, units):
        return "full rows"
    return f"a row ripped to {_widths(pieces, units)} (full: {format_length(board.width, units)})"


def short_words(edge: EdgePieces, board: Board, units: Unit) -> str:
    """Return the same in a word or two."""
    pieces = edge.all
    if edge.meets == "angled" or pieces is None:
        return angled_in_short(edge, units)
    if edge.meets == "ends":
        return f"boards of {length_range([pieces], units)}"
    return "full rows" if _full(pieces, board, units) else f"row of {_widths(pieces, units)}"


def _full(pieces: Sizes, board: Board, units: Unit) -> bool:
    return format_length(pieces.narrowest, units) == format_length(board.width, units)


def _widths(pieces: Sizes, units: Unit) -> str:
    return span(pieces.narrowest, pieces.widest, units)
