"""What stands in the room: hearth and fireplace, columns, islands, cabinets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.model.model import Part
from preview.model.paints import Paints
from preview.model.surface import Face, block, part, patch, plate, prism, sweep
from preview.model.walls import BASEBOARD_HEIGHT, LIP, Gap, baseboard_profile
from preview.room.room import Room, RoomObstacle

Array = NDArray[np.float64]

# Sizes in metres, as such things are usually built: common practice, no published source.
HEARTH_SPAN = 1.524  # the hearth's length along its wall for which the fireplace sizes below hold
FIREBOX = (0.80, 0.70, 0.42)  # width, height, depth
SLIP = 0.17  # stone round the firebox
PILASTER = 0.135
FRIEZE = 0.17
SHELF = (0.05, 0.17)  # thickness, reach
KICK = 0.10
OVERHANG = 0.05
WORKTOP = (0.035, 0.025)  # thickness, overhang
COUNTER = 0.915


@dataclass(frozen=True, eq=False)
class Fireplace:
    """A fireplace over a hearth: `middle` along its wall, `scale` on the sizes above, `base` the hearth's height."""

    name: str
    wall: Face
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
        return Gap(self.middle - half, self.middle + half, 0.0, high, self.half - half - 0.003, True)


def fireplace(
    hearth: RoomObstacle, faces: Sequence[Face], gaps: Sequence[Sequence[Gap]], room: Room
) -> Fireplace | None:
    """Return the fireplace that a hearth against a wall calls for; None where there is no room for one."""
    best: tuple[float, float, int] | None = None
    for number, wall in enumerate(faces):
        line = shapely.LineString([wall.start, wall.plan(wall.length)])
        touching = shapely.get_coordinates(hearth.polygon.intersection(line.buffer(0.02, cap_style="flat")))
        if len(touching):
            x = (touching - wall.start) @ wall.along
            best = max(best or (0.0, 0.0, 0), (float(np.ptp(x)), float((x.min() + x.max()) / 2), number))
    if best is None or best[0] < 0.6 * HEARTH_SPAN:
        return None
    span, middle, number = best
    wall = faces[number]
    made = Fireplace(hearth.name, wall, middle, min(span / HEARTH_SPAN, 1.2), max(hearth.height, 0.0))
    reach = made.half + made.scale * 0.05
    clear = all(gap.far + gap.trim < middle - reach or gap.near - gap.trim > middle + reach for gap in gaps[number])
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
    back, slip = -k * FIREBOX[2], k * SLIP
    path = np.array([[m - half, -0.01], [m - half, high], [m + half, high], [m + half, -0.01]])
    stone = sweep([(0, -0.03), (0, 0.015), (0.003, 0.018), (slip + 0.01, 0.018), (slip + 0.01, -0.01)], path)
    splay = half * 0.72
    front, rear = [(m - half, 0.0), (m + half, 0.0)], [(m - splay, back), (m + splay, back)]
    plan = [front[0], rear[0], rear[1], front[1]]
    box = [
        patch((a[0], -0.01, a[1]), (b[0], -0.01, b[1]), (b[0], high, b[1]), (a[0], high, a[1]))
        for a, b in zip(plan[:-1], plan[1:], strict=True)
    ]
    for y, ring in (
        (low + 0.002, [front[0], front[1], rear[1], rear[0]]),
        (high, [rear[0], rear[1], front[1], front[0]]),
    ):
        box.append(patch(*((x, y, z) for x, z in ring)))
    thick, outer = 0.04 * k, k * PILASTER
    inner = half + slip
    path = np.array([[m - inner, -0.01], [m - inner, high + slip], [m + inner, high + slip], [m + inner, -0.01]])
    frame = [(0, -0.01), (0, thick - 0.004), (0.004, thick), (outer - 0.004, thick), (outer, thick - 0.004)]
    wood = [sweep([*frame, (outer, -0.01)], path)]
    edge, shelf = fire.half, fire.top - k * SHELF[0]
    wood.append(block((m - edge, high + slip + outer - 0.01, -0.01), (m + edge, shelf + 0.002, thick + 0.012)))
    reach = k * SHELF[1]
    wood.append(block((m - edge - 0.03, shelf - 0.03 * k, -0.01), (m + edge + 0.03, shelf + 0.002, reach * 0.6)))
    wood.append(block((m - edge - 0.06, shelf, -0.01), (m + edge + 0.06, fire.top, reach)))
    return [
        part(f"{fire.name} slips", "stone", [fire.wall.place(stone)], paints.stone),
        part(f"{fire.name} firebox", "stone", [fire.wall.place(*box)], paints.soot),
        part(f"{fire.name} mantel", "trim", [fire.wall.place(*wood)], paints.trim),
    ]


def obstacle_parts(thing: RoomObstacle, room: Room, paints: Paints, below: float) -> list[Part]:
    """Return one obstacle, with the baseboard round it if it has one."""
    shape, name = shapely.orient_polygons(thing.polygon), thing.name
    if thing.kind == "hearth":
        high = max(thing.height, 0.0)
        return [part(name, "stone", [prism(shape, below, high, eased=min(0.004, (high - below) / 2))], paints.stone)]
    full = room.height + LIP
    if thing.kind == "column":
        high = thing.height if 0 < thing.height < room.height - LIP else full
        parts = [part(name, "trim", [prism(shape, below, high, top=high < room.height)], paints.trim)]
    else:
        parts = _cupboard(thing, shape, min(thing.height or COUNTER, full), paints, below)
        high = min(thing.height or COUNTER, full)
    if thing.baseboard > 0:
        clockwise = shapely.get_coordinates(shape.exterior)[:0:-1]
        profile = baseboard_profile(thing.baseboard, min(BASEBOARD_HEIGHT, high / 2))
        parts.append(part(f"{name} baseboard", "trim", [sweep(profile, clockwise, closed=True)], paints.trim))
    return parts


def _cupboard(thing: RoomObstacle, shape: Polygon, high: float, paints: Paints, below: float) -> list[Part]:
    """An island or a cabinet: the floor meets its toe-kick, or its side where a baseboard runs round it."""
    name, has_kick = thing.name, thing.baseboard == 0 and high > 0.4
    body = shape.buffer(OVERHANG, join_style="mitre") if has_kick else shape
    foot = KICK if has_kick else below
    has_top = high < 1.2
    top = high - WORKTOP[0] if has_top else high
    soups = [prism(body, foot, top + 0.002)]
    if has_kick:
        soups.append(plate(body, foot, faces_up=False))
    parts = [part(name, "cabinet", soups, paints.cabinet)]
    if has_kick:
        parts.append(part(f"{name} kick", "cabinet", [prism(shape, below, KICK, top=False)], paints.kick))
    if has_top:
        slab = body.buffer(WORKTOP[1], join_style="mitre")
        soups = [prism(slab, top, high, eased=0.004), plate(slab, top, faces_up=False)]
        parts.append(part(f"{name} worktop", "stone", soups, paints.worktop))
    return parts
