"""What the boards come to along each wall and round what stands in the room, gathered from the field's stretches."""

from __future__ import annotations

from collections.abc import Sequence

from preview.floor.edges import Stretch
from preview.floor.facts import AllEnds, EndsAlong, Meets
from preview.floor.layout import Board
from preview.floor.patterns.interface import FloorPattern
from preview.floor.sizes import EdgePieces, Sizes, length_range, size, together
from preview.scene.job import Unit
from preview.units import format_length


def edge_ends(pattern: FloorPattern, stretches: Sequence[Stretch], board: Board, units: Unit) -> AllEnds:
    """Return what a layout's stretches come to, in words."""
    groups: dict[tuple[int, str, Meets], list[Stretch]] = {}
    for each in stretches:
        if each.kind != "grille":
            groups.setdefault((each.wall, each.name, each.meets), []).append(each)
    things = [each for each in stretches if each.kind == "obstacle"]
    return AllEnds(
        tuple(_told(pattern, group, board, units) for group in groups.values()),
        _round(pattern, things, board, units) if things else "",
    )


def _told(pattern: FloorPattern, group: Sequence[Stretch], board: Board, units: Unit) -> EndsAlong:
    boards, triangles, corners = _lots(group)
    longest = max(group, key=lambda each: each.length)
    first = group[0]
    aside, least = "", corners.shortest if corners else board.length
    if boards is None and triangles is None:
        text = _corners_only(corners, units)
        short = "corners only" if corners else "whole boards"
    else:
        met = EdgePieces(first.meets, boards, triangles, longest.angle)
        text, short = pattern.end_words(met, board, units), pattern.short_words(met, board, units)
        own = min(each.shortest for each in (boards, triangles) if each)
        least = own
        smaller = corners is not None and format_length(corners.shortest, units) != format_length(own, units)
        if corners and smaller and corners.shortest < own:
            aside = f"; in corners from {size(corners.shortest, units)}"
    length = sum(each.length for each in group)
    return EndsAlong(first.kind, first.name, first.wall, first.meets, longest.facing, length, text, short, aside, least)


def _round(pattern: FloorPattern, things: Sequence[Stretch], board: Board, units: Unit) -> str:
    boards, triangles, corners = _lots(things)
    if any(each.meets == "angled" for each in things) and (boards or triangles):
        return f"boards cut to fit, pieces of {length_range([boards, triangles], units)}"
    if triangles:
        return pattern.end_words(EdgePieces("ends", None, triangles), board, units)
    return f"boards cut to {length_range([boards], units)}" if boards else _corners_only(corners, units)


def _lots(group: Sequence[Stretch]) -> tuple[Sizes | None, Sizes | None, Sizes | None]:
    return (
        together(each.boards for each in group),
        together(each.triangles for each in group),
        together(each.corners for each in group),
    )


def _corners_only(corners: Sizes | None, units: Unit) -> str:
    return f"cut in corners only, pieces of {length_range([corners], units)}" if corners else "whole boards"
