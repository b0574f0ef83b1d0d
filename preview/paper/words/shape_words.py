"""A cut piece in the words of the saw: long point, short point, hand, angle, rip width.

Every line gives its piece whole: whoever draws what is printed has the piece, to the rounding of what is printed.
"""

from __future__ import annotations

from preview.floor.cut_shapes import CornerCut, EndCut, Marked, Point, Shape, Taper, shoelace
from preview.scene.job import Unit
from preview.units import format_length, system

SQUARE = 0.25
"""An end turned by less than this off square, degrees, is sawn square: half of what saws are marked in."""


_Corner = tuple[list[str], Point]
"""A corner as it is printed and as it is."""


def shape_words(shape: Shape, units: Unit, *, sided: bool = False, own: bool = False) -> str:
    """Return what is sawn, such as ``long 12 3/4", short 8 3/4", 45° left``; left is the side of the long point.

    sided: whether of a piece whose ends are sawn alike, which may lie either way, the side of the long edge is told.
    own: whether the near end is the board's own: where it is mitred it is called so, not near or far, as ends of the
    board are.
    """
    if isinstance(shape, EndCut):
        return _end_cut(shape, units, sided, own)
    if isinstance(shape, CornerCut):
        long, short, left_over = _lengths(units, shape.long, shape.short, shape.left_over)
        if long == short:
            corner = "right" if shape.hand == "left" else "left"
            return f"{long} long, square, but for a nick off its far {corner} corner: mark it in place"
        return f"long {long}, short {short}, {_degrees(shape.angle)} {shape.hand}, far end {left_over} wide"
    if isinstance(shape, Taper):
        length, width, narrow = _lengths(units, shape.length, shape.width, shape.narrow)
        if width == narrow:
            return f"{length} long, square, ripped to {width}{_kept(shape.kept)}"
        return f"{length} long, ripped from {width} to {narrow}{_kept(shape.kept)}"
    return _marked(shape, units)


def _end_cut(shape: EndCut, units: Unit, sided: bool, own: bool) -> str:
    long, short, width = _lengths(units, shape.long, shape.short, shape.width)
    nothing = format_length(0.0, units)
    if nothing in (long, width):
        size = "too small to saw" if long == width == nothing else f"{long} × {width}"
        return f"sliver {size}: leave it out"
    near, far = (0.0 if abs(each) < SQUARE else each for each in (shape.near, shape.far))
    ripped = "" if shape.kept == "both" else f", ripped to {width}{_kept(shape.kept)}"
    if near == far == 0:
        return f"{long} long, square{ripped}"
    if near == 0 and short == nothing:
        return f"triangle, {long} along the edge, {width} across the end, {_hand(far)}"
    if near == 0:
        return f"long {long}, short {short}, {_degrees(far)} {_hand(far)}{ripped}"
    if _degrees(near) == _degrees(far) and near * far > 0 and short != nothing:
        edge = f", long edge {_hand(far)}" if sided else ""
        return f"long {long}, short {short}, both ends {_degrees(far)}{edge}{ripped}"
    if _degrees(near) == _degrees(far) and near * far < 0:
        point = "the sawn end's point" if own else "far point"
        return f"{long} along each edge, both ends {_degrees(far)} and parallel, {point} {_hand(far)}{ripped}"
    ends = ", ".join(
        f"{name} end {_end(each)}"
        for name, each in zip(("sawn", "own") if own else ("far", "near"), (far, near), strict=True)
    )
    if short == nothing:
        both = f"both ends {_degrees(far)}" if _degrees(near) == _degrees(far) else ends
        ripped = "" if shape.kept == "both" else _kept(shape.kept)
        return f"triangle, {long} along the edge, {width} deep, {both}{ripped}"
    left, right = _lengths(units, shape.left, shape.right)
    return f"left edge {left}, right edge {right}, {ends}{ripped}"


def _marked(shape: Marked, units: Unit) -> str:
    outline, *holes = (_corners(ring, units) for ring in shape.rings)
    return f"corners {outline}" + "".join(f"; a hole, corners {each}" for each in holes)


def _corners(ring: tuple[Point, ...], units: Unit) -> str:
    """Return the corners of a ring, clockwise from the one nearest to the near left corner, as pairs from the left edge
    and from the near end; those printed alike once, and none that lies along the grain or across it between two
    others, as where a wall is out by less than is printed."""
    ring = ring if shoelace(ring) > 0 else ring[::-1]
    first = min(range(len(ring)), key=lambda number: (round(ring[number][1] + ring[number][0], 6), ring[number]))
    units = "mm" if units == "m" else units
    clockwise = [*ring[first::-1], *ring[:first:-1]]
    printed = [(_lengths(units, *point), point) for point in clockwise]
    told = [each for number, each in enumerate(printed) if each[0] != printed[number - 1][0]] or printed[:1]
    around = zip(told[-1:] + told[:-1], told, told[1:] + told[:1], strict=True)
    kept = [here[0] for before, here, after in around if len(told) < 4 or not _between(before, here, after)]
    corners = ", ".join(" × ".join(pair) for pair in kept)
    return corners if system(units) == "imperial" else f"in {units}: {corners.replace(f' {units}', '')}"


def _between(before: _Corner, here: _Corner, after: _Corner) -> bool:
    """Return whether the middle one of three corners is on the straight line along or across the grain that the others
    print."""
    corners = (before, here, after)
    for axis in (0, 1):
        alike = len({words[axis] for words, _ in corners}) == 1
        if alike and sorted(point[1 - axis] for _, point in corners)[1] == here[1][1 - axis]:
            return True
    return False


def _lengths(units: Unit, *metres: float) -> list[str]:
    return [format_length(abs(each) if abs(each) < 1e-9 else each, units) for each in metres]


def _end(degrees: float) -> str:
    return f"{_degrees(degrees)} {_hand(degrees)}" if degrees else "square"


def _degrees(degrees: float) -> str:
    """Return an angle to the nearest half degree, as saws are marked."""
    return f"{round(2 * abs(degrees)) / 2:g}°"


def _hand(degrees: float) -> str:
    return "left" if degrees > 0 else "right"


def _kept(edge: str | None) -> str:
    return f", {edge} edge uncut" if edge else ", both edges sawn"
