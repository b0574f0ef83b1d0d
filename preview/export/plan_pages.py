"""The floor from straight above on texture pages: where each page lies in plan, and which piece each of its pixels
shows.

Neighbours on the floor are neighbours on a page. So a page may shrink as far as a viewer likes and shows what an eye
would see from there, and light runs on from board to board; with a window for each board, what is far away would be
mixed with whatever lies beside it on the page, and most of a big floor's page would be gutters.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.export.board_faces import Windows
from preview.model.ease import as_polygon, outlines, triangles_of

Array = NDArray[np.float64]
Index = NDArray[np.intp]

BLEED = 0.75  # pixels that a board's face keeps off its edges on a page: a viewer mixes a pixel with its neighbours
RIM = 2  # pixels round the pieces of a page
SPLITS = np.arange(1, 12) / 12  # of a page's length and width, where it is tried in two
SAVING = 0.9  # of a page's area: what two may take in place of one
TOO_LONG = 1.15  # times the longest side: a page is halved before all get so much coarser
AT_ONCE = 4_000_000  # pixels


@dataclass(frozen=True, eq=False)
class PlanPage:
    """A page's place: `corner` (2,) in plan of its first pixel's outer corner, `ways` (2, 2) the unit vectors along
    which columns and rows are counted, `size` its columns and rows, `density` pixels a metre."""

    corner: Array
    ways: Array
    size: tuple[int, int]
    density: float

    @property
    def outline(self) -> shapely.Polygon:
        """The page's outline in plan."""
        wide, high = self.size
        return shapely.Polygon(self.plan(np.array([[0, 0], [wide, 0], [wide, high], [0, high]], float)))

    def pixels(self, plan: Array) -> Array:
        """Return where places (n, 2) in plan lie, in pixels, (n, 2): column, row."""
        return (plan - self.corner) @ self.ways.T * self.density

    def plan(self, pixels: NDArray[np.floating]) -> Array:
        """Return the places in plan of pixels (..., 2)."""
        return np.asarray(self.corner + pixels / self.density @ self.ways)


@dataclass(frozen=True, eq=False)
class PlanPages:
    """The pages of a floor, and for each piece (n,) which one shows it; -1 for what none shows."""

    sheets: tuple[PlanPage, ...]
    page: NDArray[np.int32]

    @property
    def density(self) -> float:
        """Pixels a metre, the same on all of them."""
        return self.sheets[0].density

    def windows(self, grain: Array, origin: Array) -> Windows:
        """Return the windows of pieces, grain (n,) and origin (n, 2) as in `Layout`, on these pages."""
        size = np.array([each.size for each in self.sheets], float)[self.page]
        ways = np.stack([each.ways * each.density for each in self.sheets])[self.page]
        corner = np.stack([each.corner for each in self.sheets])[self.page]
        along = np.stack([np.cos(grain), np.sin(grain)], axis=1)
        across = np.stack([-np.sin(grain), np.cos(grain)], axis=1)
        to_page = np.swapaxes(ways, 1, 2) / size[:, None, :]
        return Windows(
            np.maximum(self.page, 0),
            ((origin - corner)[:, None] @ to_page)[:, 0],
            np.stack([along, across], axis=1) @ to_page,
            np.full(len(self.page), BLEED / self.density),
            np.ones((len(self.page), 3), np.float32),
        )

    def cut(self, positions: NDArray[np.float32]) -> list[tuple[int, NDArray[np.float32]]]:
        """Return level triangles with corners (3 t, 3) one after another, cut by the pages they lie on: pages' numbers
        with their parts, as triangles again; each place is on one page."""
        rest = shapely.polygons(positions.reshape(-1, 3, 3)[..., :2].astype(float))
        found = []
        for number, sheet in enumerate(self.sheets):
            own = shapely.intersection(rest, sheet.outline)
            rest = shapely.difference(rest, sheet.outline)
            parts = [triangles_of(each) for each in shapely.get_parts(own) if each.geom_type == "Polygon" and each.area]
            if parts:
                corners = np.concatenate(parts).reshape(-1, 2)
                level = np.full(len(corners), positions[0, 2])
                found.append((number, np.column_stack([corners, level]).astype(np.float32)))
        return found


def plan_pages(polygons: NDArray[np.object_], wanted: NDArray[np.bool_], side: int, finest: float) -> PlanPages:
    """Return pages for the wanted pieces (n,): at most `side` pixels a side, all together no more pixels than one such
    square, and no more than `finest` pixels a metre."""
    shown = np.flatnonzero(wanted)
    corners, owner = shapely.get_coordinates(polygons[shown], return_index=True)
    groups = _in_groups(corners, owner, np.arange(len(shown)))
    density = min(finest, _density(groups, side))
    while max(each.longest for each in groups) * min(finest, _by_area(groups, side)) > TOO_LONG * side:
        longest = max(range(len(groups)), key=lambda n: groups[n].longest)
        group = groups.pop(longest)
        groups += [_group(corners, owner, each) for each in group.halves(corners, owner)]
        density = min(finest, _density(groups, side))
    page = np.full(len(polygons), -1, np.int32)
    for number, group in enumerate(groups):
        page[shown[group.members]] = number
    return PlanPages(tuple(each.sheet(density) for each in groups), page)


@dataclass(frozen=True, eq=False)
class _Spread:
    """Pieces on one page: `members` of them, `ways` (2, 2), and their low and high (2,) along those, metres."""

    members: Index
    ways: Array
    low: Array
    high: Array

    @property
    def longest(self) -> float:
        return float((self.high - self.low).max())

    @property
    def area(self) -> float:
        return float((self.high - self.low).prod())

    def sheet(self, density: float) -> PlanPage:
        wide, high = np.ceil((self.high - self.low) * density).astype(int) + 2 * RIM
        middle, half = (self.low + self.high) / 2 @ self.ways, np.array([wide, high]) / (2 * density) @ self.ways
        return PlanPage(middle - half, self.ways, (int(wide), int(high)), density)

    def halves(self, corners: Array, owner: Index) -> list[Index]:
        """Return the members in two, on either side of the middle of the longer side."""
        axis = int(np.argmax(self.high - self.low))
        low, high = _extents(corners, owner, self.members, self.ways)
        return _parted(self.members, (low + high)[:, axis] / 2, (self.low + self.high)[axis] / 2)


def _group(corners: Array, owner: Index, members: Index) -> _Spread:
    """Return pieces in the narrowest rectangle round them."""
    own = corners[np.isin(owner, members)]
    around = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.multipoints(own)))
    along = around[1] - around[0] if len(around) > 2 else np.array([1.0, 0.0])
    along = along / np.linalg.norm(along)
    ways = np.array([along, [along[1], -along[0]]])  # rows run to the right of columns: seen from above, not mirrored
    off = own @ ways.T
    return _Spread(members, ways, off.min(axis=0), off.max(axis=0))


def _extents(corners: Array, owner: Index, members: Index, ways: Array) -> tuple[Array, Array]:
    """Return low and high (m, 2) of members along ways."""
    off = corners @ ways.T
    start = np.flatnonzero(np.diff(owner, prepend=-1))
    low, high = (each.reduceat(off, start, axis=0) for each in (np.minimum, np.maximum))
    return low[members], high[members]


def _parted(members: Index, at: Array, where: float) -> list[Index]:
    return [members[at < where], members[at >= where]]


def _in_groups(corners: Array, owner: Index, members: Index) -> list[_Spread]:
    """Return pieces on one page, or on several where these take clearly less: an L, or rooms side by side."""
    whole = _group(corners, owner, members)
    low, high = _extents(corners, owner, members, whole.ways)
    middle = (low + high) / 2
    best, least = None, SAVING * whole.area
    for axis in (0, 1):
        for share in SPLITS:
            where = whole.low[axis] + share * (whole.high - whole.low)[axis]
            one = middle[:, axis] < where
            if one.any() and not one.all():
                area = sum(float((high[half].max(axis=0) - low[half].min(axis=0)).prod()) for half in (one, ~one))
                if area < least:
                    best, least = _parted(members, middle[:, axis], where), area
    return [whole] if best is None else [each for half in best for each in _in_groups(corners, owner, half)]


def _by_area(groups: list[_Spread], side: int) -> float:
    return float(side / np.sqrt(sum(each.area for each in groups)))


def _density(groups: list[_Spread], side: int) -> float:
    """Return the most pixels a metre at which pages keep to their bounds."""
    density = min(_by_area(groups, side), side / max(each.longest for each in groups))
    while True:
        sizes = [each.sheet(density).size for each in groups]
        if max(max(each) for each in sizes) <= side and sum(wide * high for wide, high in sizes) <= side**2:
            return density
        density *= 0.995


def pieces_seen(polygons: NDArray[np.object_], sheet: PlanPage) -> NDArray[np.int32]:
    """Return which of the polygons (n,) the middle of each pixel of a page lies in, (h, w), -1 for none."""
    wide, high = sheet.size
    seen = np.full(wide * high, -1, np.int32)
    near = np.flatnonzero(shapely.intersects(polygons, sheet.outline))
    if not len(near):
        return seen.reshape(high, wide)
    starts, ends, part, piece = _convex_edges(polygons[near])
    row, first, last, span_part = _spans(sheet.pixels(starts), sheet.pixels(ends), part, sheet.size)
    count = last - first
    owner = near[piece[span_part]].astype(np.int32)
    ends_at = np.cumsum(count)
    for low in range(0, int(ends_at[-1]) if len(ends_at) else 0, AT_ONCE):
        some = slice(*np.searchsorted(ends_at, [low, low + AT_ONCE], side="right"))
        n = count[some]
        place = np.arange(n.sum()) - np.repeat(np.cumsum(n) - n, n)
        seen[np.repeat(row[some] * wide + first[some], n) + place] = np.repeat(owner[some], n)
    return seen.reshape(high, wide)


def _convex_edges(polygons: NDArray[np.object_]) -> tuple[Array, Array, Index, Index]:
    """Return the edges of convex parts of polygons: starts, ends (e, 2), the part of each (e,), and of each part (p,)
    its polygon. What is not convex is cut into triangles."""
    shape = outlines(polygons)
    even = shape.convex[shape.piece]
    _, part = np.unique(shape.piece[even], return_inverse=True)
    owner = np.unique(shape.piece[even])
    starts, ends = [shape.points[even]], [shape.points[shape.after[even]]]
    parts, owners, total = [part], [owner], len(owner)
    for odd in np.flatnonzero(~shape.convex):
        rows = shape.piece == odd
        made = triangles_of(as_polygon(shape.points[rows], shape.ring[rows]))
        starts.append(made.reshape(-1, 2))
        ends.append(np.roll(made, -1, axis=1).reshape(-1, 2))
        parts.append(total + np.repeat(np.arange(len(made)), 3))
        owners.append(np.full(len(made), odd))
        total += len(made)
    return np.concatenate(starts), np.concatenate(ends), np.concatenate(parts), np.concatenate(owners)


def _spans(starts: Array, ends: Array, part: Index, size: tuple[int, int]) -> tuple[Index, Index, Index, Index]:
    """Return the pixels whose middles lie in convex parts, as spans of rows: row, first column, the column after the
    last, and the part (s,). Edges (e, 2) are in pixels; each row of a part is crossed by two."""
    wide, high = size
    low, top = np.sort([starts[:, 1], ends[:, 1]], axis=0)
    from_row, to_row = (np.ceil(np.clip(each, 0, high) - 0.5).astype(np.intp) for each in (low, top))
    count = np.maximum(to_row - from_row, 0)
    edge = np.repeat(np.arange(len(part)), count)
    row = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + from_row[edge]
    rise = ends[edge, 1] - starts[edge, 1]
    at = starts[edge, 0] + (row + 0.5 - starts[edge, 1]) / rise * (ends[edge, 0] - starts[edge, 0])
    order = np.argsort(part[edge] * high + row, kind="stable")
    pair = at[order].reshape(-1, 2)
    first, last = (
        np.ceil(np.clip(each, 0, wide) - 0.5).astype(np.intp) for each in (pair.min(axis=1), pair.max(axis=1))
    )
    kept = last > first
    return row[order[::2]][kept], first[kept], last[kept], part[edge[order[::2]]][kept]
