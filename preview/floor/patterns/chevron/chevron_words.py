"""What papers say of chevron: how its boards are sawn and laid, what its columns end in."""

from __future__ import annotations

from math import cos, degrees, sin, tan

from preview.floor.facts import Facts, Row
from preview.floor.layout import Board, ChalkLine
from preview.floor.patterns.tens import tens
from preview.floor.sizes import EdgePieces, Sizes, angled_in_short, angled_words, length_range, span
from preview.scene.job import Unit
from preview.units import format_exact, format_fine, format_length


def pattern_facts(name: str, angle: float, board: Board, line: ChalkLine, edge: str, units: Unit) -> Facts:
    """Return what is said of chevron in boards of a size, `angle` radians to the run, laid from `line`; `edge` is what
    the field's edge is called."""
    step = board.pitch[0] / sin(angle)
    point = board.width / tan(angle)
    over, under = format_fine(board.length + point, units), format_fine(board.length - point, units)
    saw = f"at {90 - degrees(angle):g}°, both ends parallel"
    points = f"{over} from long point to long point, {under} from short point to short point"
    return Facts(
        name=name,
        hands=("lean left", "lean right"),
        stop_block=f"both long edges of every field board: the saw stands {saw}; {points}",
        saw=saw,
        points=points,
        first_board="left-leaning",
        first_boards=tuple(_first_rows(angle, board, line, edge, units)),
        uncut="its own mitred end towards you",
        grooves="They then come left and right, mitred the one way and the other: near end grooved, far end and the "
        "side that faces on tongued. An offcut serves only its own hand, by the end that it still has.",
        tongued="With tongue and groove they come left and right",
        look="boards that meet in points",
        lie=f"at {degrees(angle):g}° to the centre line, with mitred ends",
        sides="in the long side that faces on and in the far end",
        corner_step=step,
        boards_a_step=1,
        along=1 / sin(angle) / step,
        across=sin(angle),
        end=board.width / sin(angle),
        slant=point,
    )


def _first_rows(angle: float, board: Board, line: ChalkLine, edge: str, units: Unit) -> list[Row]:
    """Return how boards are sawn and laid, in the order of the work.

    A board's long edge that begins on S ends L cos a forward of it and L sin a to the side, L along the edge with its
    joint. That the first column is laid against a batten on the line is common practice, no published source.
    """
    width, length = board.pitch
    turn, saw = degrees(angle), 90 - degrees(angle)
    forward, aside = format_fine(length * cos(angle), units), format_fine(length * sin(angle), units)
    five = format_fine(5 * length * sin(angle), units)
    step, long = format_fine(width / sin(angle), units), format_fine(length, units)
    apart = f", a joint of {format_exact(board.gap, units)} from it" if board.gap > 0 else ""
    rows: list[Row] = [
        (
            "Mitres",
            f"saw both ends of every board parallel, {turn:g}° between end and long edge (the saw at {saw:g}°); half "
            "of the boards one way, for the left-leaning, half the other",
        ),
        (
            "Batten",
            "first of all, a straight strip fixed along the chalk line, on its right: the mitred near ends of the "
            "first column stand against it" + (", half a joint from the line" if board.gap > 0 else ""),
        ),
        (
            "First board",
            f"left-leaning: its near end lies along the chalk line from S forward, its nearer long edge runs from S to "
            f"the left, at {turn:g}° to the line",
        ),
        (
            f"Proof of {turn:g}°",
            f"that edge ends {forward} forward of S along the chalk line and {aside} to the left of it; by tape, "
            f"{long} from S" + (", joints counted in" if board.gap > 0 else ""),
        ),
        (
            "Second board",
            f"left-leaning, like the first: its long edge against the first board's further one{apart}; its near end "
            f"begins on the line {step} forward of S",
        ),
        (
            "And so on",
            f"board by board to the far {edge}, every near end about {step} past the last on the line, then back to "
            "the near one. Every ten boards check that far ends lie on one line: it is the next seam",
        ),
    ]
    if not line.whole:
        rows.append(("First boards", "do not fit whole here: lay them dry from S and mark where they are cut"))
    along = tens(width / sin(angle), line, units)
    return [
        *rows,
        *([("Every ten", f"the point where a near end begins, from S along the line: {along}")] if along else []),
        (
            "Second column",
            f"take up the batten; right-leaning boards, the mirror image: the near end of each against that of a "
            f"left-leaning one{apart}, points level. Then column by column outward on both sides, ends against ends, "
            f"seams about {aside} apart, five of them {five}. Saw what crosses the {edge} to it",
        ),
    ]


def end_words(edge: EdgePieces, angle: float, board: Board, units: Unit) -> str:
    """Return what the columns come to at a stretch of the field's edge."""
    boards, triangles = edge.boards, edge.triangles
    if edge.meets == "angled":
        return angled_words(edge, board.width, units)
    if edge.meets == "ends" and not triangles:
        return f"boards cut to {length_range([boards], units)}"
    if triangles and (edge.meets == "ends" or boards is None):
        return _triangles(triangles, angle, board, units)
    if boards is None:
        return "whole boards"
    full = format_length(board.length, units)
    if format_length(boards.shortest, units) == full:
        return f"full boards of {full}"
    return f"boards cut to {length_range([boards], units)} along their edges, at the boards' own mitre"


def short_words(edge: EdgePieces, angle: float, board: Board, units: Unit) -> str:
    """Return the same in a word or two."""
    boards, triangles = edge.boards, edge.triangles
    if edge.meets == "angled":
        return angled_in_short(edge, units)
    if (edge.meets == "sides" and boards) or not triangles:
        return f"boards of {length_range([boards], units)}"
    if _full(triangles, angle, board, units):
        return "full triangles"
    return f"triangles, long edge {span(triangles.shortest, triangles.longest, units)}"


def _triangles(triangles: Sizes, angle: float, board: Board, units: Unit) -> str:
    """Return triangles by their long edges, full ones where every one is as long as it can be."""
    if _full(triangles, angle, board, units):
        return "full triangles"
    full = format_length(_whole(angle, board), units)
    return f"triangles with a long edge of {span(triangles.shortest, triangles.longest, units)} (full: {full})"


def _full(triangles: Sizes, angle: float, board: Board, units: Unit) -> bool:
    whole = format_length(_whole(angle, board), units)
    return format_length(triangles.shortest, units) == format_length(triangles.longest, units) == whole


def _whole(angle: float, board: Board) -> float:
    """Return the long edge of a full triangle, metres."""
    return board.width / (sin(angle) * cos(angle))
