"""From what sees what, to how bright everything is: sources and reflectances, coarse radiosity, the final gather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import luminance
from preview.light.geometry.area_emitters import (
    AreaEmitters,
    emitter_irradiance,
    emitter_irradiance_on_floor,
    find_emitter_factors,
)
from preview.light.geometry.final_gather import FinalGather
from preview.light.geometry.visibility import RoomGeometry, Visibility, shell_emitters
from preview.light.hemisphere import frames
from preview.light.result.lighting import SunLight
from preview.light.solve.coarse_radiosity import (
    NEXT_ROOM,
    Case,
    CoarseRadiosity,
    emitters_by_number,
    solve_coarse_radiosity,
)
from preview.light.solve.direct_light import DirectLight
from preview.light.solve.directional_emission import FloorShares, irradiance_from_sunlit_floor
from preview.light.solve.floor_finish import FloorFinish

Array = NDArray[np.float64]

_OnFloor = tuple[Array, Array, Array]  # as `emitter_irradiance_on_floor` returns them

UP = np.array([0.0, 0.0, 1.0])
# From patches, then from what the first has found: close by, patches are too coarse. Beside four the floor keeps to
# 0.2 %, the shell to 2.6 %; one would be 0.8 and 12 % off (tests/benchmarks/convergence.py).
GATHERS = 2
LEAST_TOLD = 0.5  # of a node's rays; of fewer, it stands out of doors
EXCESS = 2.5  # a patch is counted by itself as far as it is brighter than this many times the mean


@dataclass(frozen=True, eq=False)
class Balance:
    """Irradiance of the nodes (m, 3) and of the floor's texels (h, w, 3), sun's own light left out; of the latter
    `entering` what the coat lets through, and `direction` the mean direction it comes from times how directional it is,
    both (h, w, 3); `next_room` (3,) radiosity of next rooms; the sun's beams, None where there are none."""

    nodes: Array
    floor: Array
    entering: Array
    direction: Array
    next_room: Array
    sun: SunLight | None


@dataclass(frozen=True, eq=False)
class _Emission:
    """Area emitters: the form factors by which nodes, then floor points see them (n, k), and the
    radiosity that is theirs alone (k, 3)."""

    emitters: AreaEmitters
    factors: NDArray[np.float32]
    light: Array


def balance_light(
    geometry: RoomGeometry,
    visibility: Visibility,
    given: DirectLight,
    albedos: Array,
    finish: FloorFinish,
) -> Balance:
    """Return the light in a room; albedos (parts, 3) reflectance of each part of the shell."""
    shell, grid, count = geometry.shell, geometry.grid, len(geometry.shell.node_points)
    case = Case(geometry, visibility, given, albedos, finish, finish.on_grid(grid))
    coarse = solve_coarse_radiosity(case)
    by_sun, floor_by_sun = _by_sunlit(case, coarse)
    direct = given.direct + by_sun
    nodes = shell.node_mean(coarse.lit[shell.patch])
    entering = given.passed + finish.coat.mean_passed * coarse.from_room
    once = visibility.nodes.first(count), given.shares.first(count)  # will do until the last gather
    for left in reversed(range(GATHERS)):
        rows = once if left else (visibility.nodes, given.shares)
        nodes = _nodes(case, coarse, direct, nodes, entering, *rows)
        floor = visibility.upsample @ _floor(case, coarse, nodes, floor_by_sun)
        irradiance, entering, direction = np.moveaxis(floor.reshape(*grid.shape, 3, 3), 2, 0)
    return Balance(nodes, irradiance, entering, direction, NEXT_ROOM * coarse.mean, given.sun)


def _by_sunlit(case: Case, coarse: CoarseRadiosity) -> tuple[Array, _OnFloor]:
    """Return what patches in the sun send of it to the nodes, (m, 3), and to the floor's points."""
    geometry, given, coat = case.geometry, case.given, case.finish.coat
    count = len(geometry.shell.node_points)
    sunlit = emitters_by_number(geometry, coarse.sunlit)
    factors = find_emitter_factors(sunlit, *geometry.points[:2], geometry.around.outer)
    on_floor = (coarse.sunlit >= geometry.shell.patch_count)[:, None]
    matt = np.where(on_floor, 0.0, coarse.sun_light)
    nodes = emitter_irradiance(factors[:count], matt)
    if given.sun is not None:
        wood, points = np.where(on_floor, coarse.sun_light, 0.0), geometry.shell.node_points
        nodes += irradiance_from_sunlit_floor(
            given.sun.direction, sunlit, factors[:count], points, wood, coarse.sun_mirrored, coat
        )
    return nodes, emitter_irradiance_on_floor(factors[count:], sunlit, geometry.grid.points, matt, coat)


def _nodes(
    case: Case,
    coarse: CoarseRadiosity,
    direct: Array,
    lit: Array,
    entering: Array,
    gather: FinalGather,
    shares: FloorShares,
) -> Array:
    """Return the irradiance of the nodes, (m, 3): a final gather, from what is known of it, `lit`, and of what enters
    the floor's texels, `entering` (h, w, 3), whose tiles light the rows by `shares`; and what is `direct`, (m, 3)."""
    geometry, visibility = case.geometry, case.visibility
    table, by_panes = _table(case, coarse, lit)
    rows = gather.gather(table, np.ones((1, gather.entries.shape[1])))[:, 0]
    coat, tiled = case.finish.coat, geometry.cells.on_tiles
    around = coat.mean_mirrored / coat.mean_passed * (entering - case.given.passed)
    nodes = gather.at_points(rows + shares.irradiance(tiled(case.wood * entering), tiled(around)), len(lit))
    nodes = np.maximum(visibility.filter @ (nodes * _told(geometry, visibility, gather)[:, None]), 0)
    nodes += direct
    nodes += emitter_irradiance(by_panes.factors[: len(nodes)], by_panes.light)
    return np.asarray(visibility.inpaint @ nodes)


def _told(geometry: RoomGeometry, visibility: Visibility, gather: FinalGather) -> Array:
    """Return by how much what each node's rays tell is to be raised, (m,): those that start inside something, or over
    the ceiling at a wall's hidden rim, tell nothing, and the rest stand for them. Together with the panes, which are
    dark to these rays, a node sees a closed room."""
    shell = geometry.shell
    dark = (gather.entries == geometry.around.dark).mean(axis=1, keepdims=True)
    told = 1 - gather.at_points(dark, len(shell.node_points))[:, 0]
    panes = np.bincount(visibility.panes.point, visibility.panes.factor, visibility.panes.count)[: len(told)]
    closed = (told > LEAST_TOLD) & ~shell.node_beyond & ~visibility.buried
    return np.where(closed, (1 - panes) / np.maximum(told, LEAST_TOLD), 1.0)


def _floor(case: Case, coarse: CoarseRadiosity, nodes: Array, by_sun: _OnFloor) -> Array:
    """Return the irradiance of the floor's points, what of it the coat lets through, and the mean direction it comes
    from, side by side, (f, 9): a final gather, from the irradiance of the nodes (m, 3), and what comes `by_sun`."""
    coat, gather, given, count = case.finish.coat, case.visibility.floor, case.given, len(nodes)
    points = case.geometry.grid.points
    table, by_panes = _table(case, coarse, nodes)
    ways = gather.directions() @ frames(UP[None])[0]
    found = gather.gather(table, np.stack([np.ones(len(ways)), coat.passes(ways[:, 2]), *ways.T]))
    ground = given.ground + found[:, 0]
    entering = given.entering + found[:, 1]
    way = given.towards + luminance(found[:, 2:])
    panes = emitter_irradiance_on_floor(by_panes.factors[count:], by_panes.emitters, points, by_panes.light, coat)
    for more in (panes, by_sun):
        ground, entering, way = (one + other for one, other in zip((ground, entering, way), more, strict=True))
    return np.concatenate([ground, entering, way / np.maximum(luminance(ground), 1e-9)[:, None]], axis=1)


def _table(case: Case, coarse: CoarseRadiosity, nodes: Array) -> tuple[Array, _Emission]:
    """Return the table of radiosities by the nodes' irradiance (m, 3), the floor left out; and the patches by the panes
    as far as they are too bright for it and are counted by themselves."""
    around, shell, emitters = case.geometry.around, case.geometry.shell, case.visibility.emitters
    radiosity = case.albedos[shell.node_part] * nodes
    table = np.zeros((around.next_room + 1, 3))
    table[: len(nodes)] = radiosity
    capped = np.unique(shell.nodes[np.isin(shell.patch, emitters)])
    table[capped] = np.minimum(radiosity[capped], EXCESS * coarse.mean)
    table[around.first_curtain : around.dark] = table[around.next_room] = NEXT_ROOM * coarse.mean
    over = shell.patch_mean((radiosity - table[: len(nodes)])[shell.nodes].mean(axis=1))[emitters]
    return table, _Emission(shell_emitters(shell, emitters), case.visibility.emitter_factors, over)
