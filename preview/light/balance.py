"""From who sees what, to how bright everything is: sources, reflectances, the balance, the last gather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.light.bright import Patches, patches_of, see_patches, under_coat, vector
from preview.light.colour import luminance
from preview.light.floor_finish import FloorFinish, cell_mean
from preview.light.glass import Glazing
from preview.light.lighting import SunLight
from preview.light.radiosity import mean_radiosity, solve_irradiance
from preview.light.sights import Layout, Sights, shell_patches
from preview.light.sky import Sky
from preview.light.slant import by_slant, gloss_slant, matt_slant
from preview.light.sunlight import lit_polygon, sun_on_triangles, sunlight

Array = NDArray[np.float64]

NEXT_ROOM = 0.6  # how brightly the next room is lit beside the mean of this one; assumed, no published source
BACKS = 0.3  # a point that sees more backs of surfaces than this part lies inside something
GLARE = 2.5  # a patch is counted by itself as far as it is brighter than this many times the mean


@dataclass(frozen=True, eq=False)
class Balance:
    """Irradiance of the nodes (m, 3) and floor points (f, 3), sun's own light left out; entering (f, 3) what of the
    latter the coat lets through; direction (f, 3) mean direction the floor's light comes from times how directional it
    is; `next_room` (3,) radiosity of next rooms; hidden (f,) floor points that lie inside something; the sun's beams,
    None where there are none."""

    nodes: Array
    floor: Array
    entering: Array
    direction: Array
    next_room: Array
    hidden: NDArray[np.bool_]
    sun: SunLight | None


def balance_light(
    layout: Layout,
    sights: Sights,
    sky: Sky,
    glass: Glazing,
    open_floor: Polygon | MultiPolygon,
    albedos: Array,
    finish: FloorFinish,
    lamps: float = 0.0,
) -> Balance:
    """Return the light in a room; albedos (parts, 3) reflectance of each part of the shell, `lamps` lux that lamps
    throw on its ceiling."""
    shell, around, cells, grid = layout.shell, layout.around, layout.cells, layout.grid
    count, patches, end = len(shell.node_points), shell.patch_count, around_end(layout)
    coat = finish.coat
    direct, towards = sights.windows.irradiance(sky, glass)
    passed, mirrored, by_height = sights.windows.under_coat(count, sky, glass, coat)
    buried = (sights.nodes.backs > BACKS) & ~shell.node_beyond
    hidden = sights.floor.backs > BACKS
    direct[:count] = _mended(direct[:count], buried, layout)
    direct[:count][np.array([name == "ceiling" for name in shell.names])[shell.node_part]] += lamps

    node_albedo = albedos[shell.node_part]
    wood = finish.on_grid(grid)
    mirrors = grid.spread(mirrored, hidden)
    leaving = wood * grid.spread(passed, hidden) + mirrors  # what the floor sends back at once
    triangle_direct = direct[shell.nodes].mean(axis=1)
    reflectance = np.zeros((len(sights.areas), 3))
    reflectance[:patches] = _patch_mean(layout, albedos[shell.part])
    reflectance[patches:end] = cell_mean(cells, finish.reflectance(wood))
    sources = np.zeros_like(reflectance)
    sources[:patches] = _patch_mean(layout, triangle_direct)
    sources[patches:end] = cell_mean(cells, leaving) / reflectance[patches:end]

    sun = sunlight(layout.panes, sky, glass, shell, open_floor)
    sunny = np.zeros_like(sources)
    if sun is not None:
        sunny[:patches] = _patch_mean(layout, sun_on_triangles(sun, shell, around.outer))
        returned = cell_mean(cells, wood) * coat.passes(sun.direction[2]) + coat.mirrors(sun.direction[2])
        sunny[patches:end] = _sun_on_cells(layout, sun) * returned / reflectance[patches:end]
    share = np.zeros(len(sights.areas))
    share[end:] = NEXT_ROOM
    irradiance = solve_irradiance(sights.factors, reflectance, sources + sunny, sights.areas, share)

    surface = np.where(share > 0, 0.0, sights.areas)
    mean = mean_radiosity(reflectance * irradiance, surface)
    next_room = NEXT_ROOM * mean
    cap = GLARE * mean
    glaring_nodes = np.zeros(count, dtype=bool)
    glaring_nodes[shell.nodes[np.isin(shell.patch, sights.glaring)]] = True

    lit = irradiance - sunny
    table = np.zeros((around.next_room + 1, 3))
    from_room = (lit - sources)[patches:end][cells.of_texel]
    table[around.first_tile : around.first_curtain] = cells.on_tiles(leaving + finish.reflectance(wood) * from_room)
    mirrors += coat.mean_mirrored * from_room
    glossy = np.zeros_like(table)
    glossy[around.first_tile : around.first_curtain] = cells.on_tiles(mirrors)
    table[around.first_curtain : around.dark] = next_room
    table[around.next_room] = next_room

    def show(node_light: Array) -> Array:
        """Put the nodes' radiosity in the table, capped where it is counted by itself; return what is over the cap."""
        table[:count] = np.where(glaring_nodes[:, None], np.minimum(node_light, cap), node_light)
        return _patch_mean(layout, (node_light - table[:count])[shell.nodes].mean(axis=1))[sights.glaring]

    points, normals, _ = layout.points
    sunlit = np.flatnonzero((sunny * reflectance).max(axis=1) > 1e-3 * mean.max())
    sun_patches = _patches(layout, sunlit)
    sun_light = (reflectance * sunny)[sunlit]
    from_sun = see_patches(sun_patches, points, normals, around.outer)

    over = show(node_albedo * _node_mean(layout, lit[:patches][shell.patch]))
    indirect = float(luminance(from_room[grid.lit]).mean()) * len(passed)
    matt, gloss = matt_slant(coat), gloss_slant(coat, by_height, indirect)
    nodes = sights.nodes.irradiance(table, by_slant(layout, sights, matt, 1.0))
    nodes += sights.nodes.irradiance(glossy, by_slant(layout, sights, gloss - matt, 0.0))
    # Rays that start inside something tell nothing: the rest stand for them.
    nodes /= np.where(shell.node_beyond | buried, 1.0, 1 - sights.nodes.backs)[:, None]
    nodes += direct[:count] + sights.glare[:count] @ over + from_sun[:count] @ sun_light
    nodes = _mended(nodes, buried, layout)
    over = show(node_albedo * nodes)
    glaring = shell_patches(shell, sights.glaring)
    bright = ((sights.glare[count:], glaring, over), (from_sun[count:], sun_patches, sun_light))
    ground = direct[count:] + sights.floor.irradiance(table)
    ways = coat.passes(sights.floor.heights(normals[count : count + 1])[0]).astype(np.float32)
    entering = passed + sights.floor.irradiance(table, lambda _: ways)
    way = towards[count:] + sights.floor.vector(luminance(table))
    for factors, its, light in bright:
        ground += factors @ light
        entering += under_coat(factors, its, points[count:], coat) @ light
        way += vector(factors, its, points[count:], luminance(light))
    direction = way / np.maximum(luminance(ground), 1e-9)[:, None]
    return Balance(nodes, ground, entering, direction, next_room, hidden, sun)


def around_end(layout: Layout) -> int:
    """Return where the patches of shell and floor end and those of curtains begin."""
    return layout.shell.patch_count + len(layout.cells.areas)


def _patch_mean(layout: Layout, values: Array) -> Array:
    """Return the mean over each patch's triangles of values (t, 3), (patches, 3)."""
    shell = layout.shell
    area = np.bincount(shell.patch, shell.areas, shell.patch_count)
    sums = [np.bincount(shell.patch, shell.areas * values[:, k], shell.patch_count) for k in range(values.shape[1])]
    return np.stack(sums, axis=-1) / area[:, None]


def _node_mean(layout: Layout, values: Array) -> Array:
    """Return the mean at each node of its triangles' values (t, 3), by area; (m, 3)."""
    shell = layout.shell
    total, weight = np.zeros((len(shell.node_points), values.shape[1])), np.zeros(len(shell.node_points))
    for k in range(3):
        np.add.at(total, shell.nodes[:, k], values * shell.areas[:, None])
        np.add.at(weight, shell.nodes[:, k], shell.areas)
    return total / np.maximum(weight, 1e-300)[:, None]


def _sun_on_cells(layout: Layout, sun: SunLight) -> Array:
    cells = layout.cells
    total = np.zeros((len(cells.areas), 3))
    for beam in sun.beams:
        inside = shapely.contains_xy(lit_polygon(beam), cells.texels[:, 0], cells.texels[:, 1]).astype(float)
        share = np.add.reduceat(inside, cells.first[:-1]) / np.diff(cells.first)
        total += share[:, None] * beam.irradiance * sun.direction[2]
    return total


def _patches(layout: Layout, chosen: NDArray[np.int64]) -> Patches:
    """Return patches of shell and floor by their numbers, a floor cell as a square."""
    shell, split = layout.shell, layout.shell.patch_count
    place = np.full(split, -1)
    place[chosen[chosen < split]] = np.flatnonzero(chosen < split)
    own = place[shell.patch] >= 0
    floor = chosen[chosen >= split] - split
    half = np.sqrt(layout.cells.areas[floor])[:, None, None, None] / 2
    square = np.array([[(-1, -1, 0), (1, -1, 0), (1, 1, 0)], [(-1, -1, 0), (1, 1, 0), (-1, 1, 0)]])
    tiles = (layout.cells.middles[floor][:, None, None] + half * square).reshape(-1, 3, 3)
    return patches_of(
        np.concatenate([shell.corners[own], tiles]),
        np.concatenate([shell.normals[own], np.tile([0.0, 0.0, 1.0], (len(tiles), 1))]),
        np.concatenate([place[shell.patch[own]], np.repeat(np.flatnonzero(chosen >= split), 2)]),
        len(chosen),
    )


def _mended(values: Array, buried: NDArray[np.bool_], layout: Layout) -> Array:
    """Return node values with those of buried nodes taken from the nearest of their own part that are not."""
    from scipy.spatial import cKDTree

    shell = layout.shell
    if not buried.any() or buried.all():
        return values
    # Parts and directions are set metres apart, so that the nearest is of the same part and faces the same way.
    place = np.column_stack([shell.node_points, 100.0 * shell.node_part, 10.0 * shell.node_normals])
    away, nearest = cKDTree(place[~buried]).query(place[buried], k=min(4, int((~buried).sum())))
    away, nearest = away.reshape(len(away), -1), nearest.reshape(len(nearest), -1)
    weight = 1 / np.maximum(away, 1e-3) ** 2
    mended = values.copy()
    mended[buried] = (values[~buried][nearest] * weight[..., None]).sum(axis=1) / weight.sum(axis=1)[:, None]
    return mended
