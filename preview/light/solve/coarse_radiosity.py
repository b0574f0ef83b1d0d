"""Coarse radiosity: light to and fro between patches, from which the final gather starts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.light.geometry.area_emitters import AreaEmitters, build_emitters
from preview.light.geometry.visibility import RoomGeometry, Visibility
from preview.light.result.lighting import SunLight
from preview.light.solve.direct_light import DirectLight
from preview.light.solve.floor_finish import FloorFinish, cell_mean
from preview.light.solve.radiosity import mean_radiosity, solve_irradiance
from preview.light.solve.sunlight import sun_on_triangles

Array = NDArray[np.float64]

NEXT_ROOM = 0.6  # how brightly the next room is lit beside the mean of this one; assumed, no published source


@dataclass(frozen=True, eq=False)
class Case:
    """What light a room is given and what its surfaces do with it.

    albedos (parts, 3) of the shell's parts, `wood` (h, w, 3) of each of the floor's texels.
    """

    geometry: RoomGeometry
    visibility: Visibility
    given: DirectLight
    albedos: Array
    finish: FloorFinish
    wood: Array

    @property
    def leaving(self) -> Array:
        """What the floor sends back at once of its light from the panes, (h, w, 3)."""
        return self.wood * self.given.passed + self.given.mirrored


@dataclass(frozen=True, eq=False)
class CoarseRadiosity:
    """Light between patches: `lit` (patches, 3) irradiance of the shell's, what comes straight from the sun left out;
    from_room (h, w, 3) that of the floor's texels from all but the panes; mean (3,) radiosity of all surfaces;
    sunlit (k,) numbers of the patches in the sun, shell's then floor's, and what they send back of it (k, 3): matt, and
    what the floor's coat mirrors."""

    lit: Array
    from_room: Array
    mean: Array
    sunlit: NDArray[np.int64]
    sun_light: Array
    sun_mirrored: Array


def solve_coarse_radiosity(case: Case) -> CoarseRadiosity:
    """Return how light comes to rest between the patches of shell and floor, and the curtains of next rooms."""
    geometry, visibility, coat = case.geometry, case.visibility, case.finish.coat
    shell, cells = geometry.shell, geometry.cells
    ours = slice(0, shell.patch_count)
    floor = slice(shell.patch_count, shell.patch_count + len(cells.areas))
    reflectance = np.zeros((len(visibility.areas), 3))
    reflectance[ours] = shell.patch_mean(case.albedos[shell.part])
    reflectance[floor] = cell_mean(cells, case.finish.reflectance(case.wood))
    sources = np.zeros_like(reflectance)
    sources[ours] = shell.patch_mean(case.given.direct[shell.nodes].mean(axis=1))
    sources[floor] = cell_mean(cells, case.leaving) / reflectance[floor]
    sunny, mirrored = np.zeros_like(reflectance), np.zeros_like(reflectance)
    if (sun := case.given.sun) is not None:
        rise, on_cells = sun.direction[2], _sun_on_cells(geometry, sun)
        mirrored[floor] = on_cells * coat.mirrors(rise)
        sunny[ours] = shell.patch_mean(sun_on_triangles(sun, shell, geometry.around.outer))
        returned = on_cells * cell_mean(cells, case.wood) * coat.passes(rise) + mirrored[floor]
        sunny[floor] = returned / reflectance[floor]

    share = np.zeros(len(visibility.areas))
    share[floor.stop :] = NEXT_ROOM
    irradiance = solve_irradiance(visibility.factors, reflectance, sources + sunny, visibility.areas, share)
    mean = mean_radiosity(reflectance * irradiance, np.where(share > 0, 0.0, visibility.areas))
    lit, returned = irradiance - sunny, reflectance * sunny
    sunlit = np.flatnonzero(returned.max(axis=1) > 1e-3 * mean.max())
    return CoarseRadiosity(
        lit[ours], (lit - sources)[floor][cells.of_texel], mean, sunlit, (returned - mirrored)[sunlit], mirrored[sunlit]
    )


def _sun_on_cells(geometry: RoomGeometry, sun: SunLight) -> Array:
    cells = geometry.cells
    total = np.zeros((len(cells.areas), 3))
    for beam in sun.beams:
        inside = shapely.contains_xy(beam.lit_floor(), cells.texels[:, 0], cells.texels[:, 1]).astype(float)
        share = np.add.reduceat(inside, cells.first[:-1]) / np.diff(cells.first)
        total += share[:, None] * beam.irradiance * sun.direction[2]
    return total


def emitters_by_number(geometry: RoomGeometry, chosen: NDArray[np.int64]) -> AreaEmitters:
    """Return patches of shell and floor by their numbers, a floor cell as a square."""
    shell, split = geometry.shell, geometry.shell.patch_count
    place = np.full(split, -1)
    place[chosen[chosen < split]] = np.flatnonzero(chosen < split)
    own = place[shell.patch] >= 0
    floor = chosen[chosen >= split] - split
    half = np.sqrt(geometry.cells.areas[floor])[:, None, None, None] / 2
    square = np.array([[(-1, -1, 0), (1, -1, 0), (1, 1, 0)], [(-1, -1, 0), (1, 1, 0), (-1, 1, 0)]])
    tiles = (geometry.cells.middles[floor][:, None, None] + half * square).reshape(-1, 3, 3)
    return build_emitters(
        np.concatenate([shell.corners[own], tiles]),
        np.concatenate([shell.normals[own], np.tile([0.0, 0.0, 1.0], (len(tiles), 1))]),
        np.concatenate([place[shell.patch[own]], np.repeat(np.flatnonzero(chosen >= split), 2)]),
        len(chosen),
    )
