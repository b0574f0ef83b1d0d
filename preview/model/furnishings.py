"""What stands in the room: hearth and fireplace, columns, islands, cabinets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.model.model import Part, ReflectionProxy
from preview.model.paints import Paints
from preview.model.surface import CLEAR, SHADOW, block, part, patch, plate, prism, sweep
from preview.model.wall_axes import WallFace
from preview.model.walls import BASEBOARD_HEIGHT, LIP, Gap, baseboard_profile, touching
from preview.room.room import Room, RoomObstacle

Array = NDArray[np.float64]

# Sizes in metres, as such things are usually built: common practice, no published source.
HEARTH_SPAN = 1.524  # the hearth's length along its wall for which the fireplace sizes below hold
FIREBOX = (0.80, 0.70, 0.42)  # width, height, depth
SLIP = 0.17  # stone round the firebox
PILASTER = 0.135
MANTEL = 0.04  # thickness of pilasters and frieze
FRIEZE = 0.17
SHELF = (0.05, 0.17)  # thickness, reach
KICK = 0.10
RECESS = 0.008  # the outline was taped at the floor: the kick may not stand far back from it
SHOE = 0.014  # height of the bevelled strip before the kick that covers the boards' edge
WORKTOP = (0.035, 0.025)  # thickness, overhang
COUNTER = 0.915


@dataclass(frozen=True, eq=False)
class Fireplace:
    """A fireplace over a hearth: `middle` along its wall, `scale` on the sizes above, `base` the hearth's height."""

    name: str
    wall: WallFace
    middle: float
    scale: float
    base: float

    @property
    def half(self) -> float:
        """Half the width over its pilasters."""
        return self.scale * (FIREBOX[0] / 2 + SLIP + PILASTER)

    @property
    def top(self) -> float:
        """Height of the shelf's upper face."""
        return self.base + self.scale * (FIREBOX[1] + SLIP + FRIEZE + SHELF[0])

    @property
    def gap(self) -> Gap:
        """Where it breaks the wall and its baseboard."""
        half = self.scale * FIREBOX[0] / 2
        high = self.base + self.scale * FIREBOX[1]
        hole = (self.middle - half, self.middle + half, 0.0, high)
        return Gap(hole, (self.middle - self.half, self.middle + self.half, 0.0, self.top))

    @property
    def foot(self) -> Polygon:
        """Where its pilasters and slips stand, in plan, and a little more."""
        z = self.scale * MANTEL + CLEAR
        ends = ((-self.half, 0.0), (self.half, 0.0), (self.half, z), (-self.half, z))
        return Polygon([self.wall.plan(self.middle + x, y) for x, y in ends])


def fireplace(
    hearth: RoomObstacle, faces: Sequence[WallFace], gaps: Sequence[Sequence[Gap]], room: Room
) -> Fireplace | None:
    """Return the fireplace that a hearth against a wall calls for; None where there is no room for one."""
    best: tuple[float, float, int] | None = None
    for number, wall in enumerate(faces):
        if span := touching(wall, hearth.polygon):
            best = max(best or (0.0, 0.0, 0), (span[1] - span[0], (span[0] + span[1]) / 2, number))
    if best is None or best[0] < 0.6 * HEARTH_SPAN:
        return None
    length, middle, number = best
    wall = faces[number]
    made = Fireplace(hearth.name, wall, middle, min(length / HEARTH_SPAN, 1.2), max(hearth.height, 0.0))
    reach = made.half + made.scale * 0.05
    clear = all(gap.cover[1] < middle - reach or gap.cover[0] > middle + reach for gap in gaps[number])
    fits = reach < middle < wall.length - reach and made.top < room.height - 0.3
    half, back = made.scale * FIREBOX[0] / 2, -made.scale * FIREBOX[2]
    recess = Polygon(
        [wall.plan(middle + x, z) for x, z in ((-half, -0.01), (half, -0.01), (half, back), (-half, back))]
    )
    return made if clear and fits and recess.intersection(room.outline).area < 1e-6 else None


def fireplace_parts(fire: Fireplace, paints: Paints) -> list[Part]:
    """Return stone slips, a dark firebox and a plain painted mantel."""
    k, low, m = fire.scale, fire.base, fire.middle
    half, high = k * FIREBOX[0] / 2, fire.base + k * FIREBOX[1]

    def around(reach: float, top: float) -> Array:
        """A path up, over and down, its foot in the hearth."""
        up = [[m - reach, y] for y in (low - 0.01, low, top)]
        return np.array([*up, *([m + reach, y] for _, y in up[::-1])])

    slip = k * SLIP
    flat = [(share * slip, 0.018) for share in (0.25, 0.5, 0.75, 0.9, 0.98)]  # light changes towards the mantel
    stone = sweep([(0, -0.03), (0, 0.015), (0.003, 0.018), *flat, (slip + 0.01, 0.018)], around(half, high))
    back, splay = -k * FIREBOX[2], 0.72 * half
    plan = [(m - half, 0.0), (m - splay, back), (m + splay, back), (m + half, 0.0)]
    box = [patch((a, low, b), (c, low, d), (c, high, d), (a, high, b)) for (a, b), (c, d) in pairwise(plan)]
    one, two, three, four = plan
    for y, (p, q, r, t) in ((low + 0.001, (four, three, two, one)), (high, (one, two, three, four))):
        box.append(patch((p[0], y, p[1]), (q[0], y, q[1]), (r[0], y, r[1]), (t[0], y, t[1])))
    thick, wide, eased = k * MANTEL, k * PILASTER, 0.004
    frame = [(0, 0), (0, thick - eased), (eased, thick), (wide - eased, thick), (wide, thick - eased), (wide, 0)]
    edge, shelf, reach = fire.half, fire.top - k * SHELF[0], k * SHELF[1]
    wood = [
        sweep(frame, around(half + slip, high + slip)),
        block((m - edge, high + slip + wide, 0.0), (m + edge, shelf, thick + 0.012)),
        block((m - edge - 0.03, shelf - 0.03 * k, 0.0), (m + edge + 0.03, shelf, 0.6 * reach)),
        block((m - edge - 0.06, shelf, 0.0), (m + edge + 0.06, fire.top, reach)),
    ]
    return [
        part(f"{fire.name} slips", "stone", [fire.wall.place(stone)], paints.stone),
        part(f"{fire.name} firebox", "stone", [fire.wall.place(*box)], paints.soot),
        part(f"{fire.name} mantel", "trim", [fire.wall.place(*wood)], paints.trim),
    ]


def standing_height(thing: RoomObstacle, room: Room) -> float:
    """Return how high an obstacle stands; a column of no stated height reaches the ceiling, and is cut above it."""
    if thing.kind == "hearth":
        return max(thing.height, 0.0)
    high = thing.height or (room.height if thing.kind == "column" else COUNTER)
    return high if high < room.height - LIP else room.height + LIP


def hearth_parts(thing: RoomObstacle, fire: Fireplace | None, paints: Paints, below: float) -> list[Part]:
    """Return the slab, with the fireplace over it if there is one."""
    shape, high = shapely.orient_polygons(thing.polygon), max(thing.height, 0.0)
    eased = min(0.004, high / 3)
    soups = [prism(shape, [below, 0.0, high] if high else [below, 0.0], eased, top=False)]
    top = shape.buffer(-eased, join_style="mitre")
    foot = fire.foot if fire else Polygon()
    soups += [plate(each, high) for each in (top.difference(foot), top.intersection(foot)) if each.area > 1e-9]
    slab = part(thing.name, "stone", soups, paints.stone)
    return [slab, *(fireplace_parts(fire, paints) if fire else [])]


def obstacle_parts(thing: RoomObstacle, room: Room, paints: Paints, below: float) -> list[Part]:
    """Return a column, island or cabinet, with the baseboard round it if it has one."""
    shape, name, high = shapely.orient_polygons(thing.polygon), thing.name, standing_height(thing, room)
    board = min(BASEBOARD_HEIGHT, high / 2) if thing.baseboard > 0 else 0.0
    feet = [below, 0.0, *([board + CLEAR] if board else [])]
    foot = thing.baseboard if board else 0.0
    if thing.kind == "column":
        levels = [*feet, high] if high < room.height else [*feet, room.height, high]
        parts = [part(name, "trim", [prism(shape, levels)], paints.trim, _proxies(shape, high, foot))]
    else:
        parts = _cupboard(name, shape, high, feet, room, paints, foot)
    if board:
        clockwise = shapely.get_coordinates(shape.exterior)[:0:-1]
        path = sweep(baseboard_profile(thing.baseboard, board), clockwise, closed=True)
        parts.append(part(f"{name} baseboard", "trim", [path], paints.trim))
    return parts


def _proxies(shape: Polygon, high: float, foot: float) -> list[ReflectionProxy]:
    """Return what reflections take the sides of a block for, worktop and toe-kick with it; its baseboard stands out by
    `foot`."""
    corners = shapely.get_coordinates(shape.exterior)
    return [ReflectionProxy(start, end, high, solid=True, foot=foot) for end, start in pairwise(corners)]


def _cupboard(
    name: str, shape: Polygon, high: float, feet: list[float], room: Room, paints: Paints, foot: float
) -> list[Part]:
    """An island or a cabinet on a toe-kick, or straight down behind a baseboard that stands out by `foot`; a worktop if
    it is low."""
    has_kick, has_top = len(feet) == 2 and high > 3 * KICK, high < 1.2
    top = high - WORKTOP[0] if has_top else high
    levels = [*([KICK] if has_kick else feet), *([top - SHADOW] if has_top else []), top]
    if top > room.height:
        levels.insert(-1, room.height)
    soups, parts = [prism(shape, levels)], []
    if has_kick:
        soups.append(plate(shape, KICK, faces_up=False))
        kick = shape.buffer(-RECESS, join_style="mitre")
        inner = [prism(each, [SHOE, KICK], top=False) for each in shapely.get_parts(kick) if not each.is_empty]
        shoe = prism(shape, [feet[0], 0.0, SHOE], eased=RECESS, top=False)
        parts.append(part(f"{name} kick", "cabinet", [*inner, shoe], paints.kick))
    parts.append(part(name, "cabinet", soups, paints.cabinet, _proxies(shape, high, foot)))
    if has_top:
        slab = shape.buffer(WORKTOP[1], join_style="mitre").intersection(room.outline)
        slabs = [shapely.orient_polygons(each) for each in shapely.get_parts(slab) if each.geom_type == "Polygon"]
        soups = [f for each in slabs for f in (prism(each, [top, high], eased=0.004), plate(each, top, faces_up=False))]
        parts.append(part(f"{name} worktop", "stone", soups, paints.worktop))
    return parts
