"""What rays run into, told as an index into one table of radiosities.

The table: the shell's nodes, then the floor's tiles, then the curtains, then DARK and NEXT. A curtain is the plane of
a door or cased opening, past which stands a next room that is not known; NEXT is that room seen from inside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.geometry.floor_cells import FloorCells
from preview.light.geometry.ray_tracing import Hits, Tracer
from preview.light.geometry.shell import Shell
from preview.model.model import Pane

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Surroundings:
    """The shell, floor and curtains, with rays through them: `inner` with the curtains drawn, `outer` without."""

    shell: Shell
    cells: FloorCells
    curtains: tuple[Pane, ...]
    curtain_of: Ints
    inner: Tracer
    outer: Tracer

    @property
    def first_tile(self) -> int:
        """Where floor tiles begin in the table."""
        return len(self.shell.node_points)

    @property
    def first_curtain(self) -> int:
        """Where curtains begin in the table."""
        rows, columns = self.cells.tiles
        return self.first_tile + rows * columns

    @property
    def dark(self) -> int:
        """The entry of what gives no light: panes (whose light is counted apart) and backs of surfaces."""
        return self.first_curtain + len(self.curtains)

    @property
    def next_room(self) -> int:
        """The entry of a next room, the last."""
        return self.dark + 1

    def meet(self, origins: Array, directions: Array, beyond: bool, dither: Array) -> tuple[Ints, Ints, Array]:
        """Return the table entry each ray runs into, the patch, and how far off it is, metres.

        origins, directions (n, 3); `beyond`: the origins lie in a next room; dither (n, 2) in 0 to 1 chooses
        between a triangle's nodes by their weights, so that many rays interpolate between them. Patches count
        triangles' clusters, then floor cells, then curtains; -1 for none. Entry `dark` with patch -2: a back.
        """
        hits = (self.outer if beyond else self.inner).first(origins, directions)
        entry = np.full(len(origins), self.next_room if beyond else self.dark)
        patch = np.full(len(origins), -1)
        self._shell(hits, directions, beyond, dither[:, 0], entry, patch)
        distance = self._floor(hits, origins, directions, beyond, dither, entry, patch)
        return entry, patch, distance

    def _shell(self, hits: Hits, directions: Array, beyond: bool, dither: Array, entry: Ints, patch: Ints) -> None:
        shell, count = self.shell, len(self.shell.corners)
        struck = np.flatnonzero((hits.triangle >= 0) & (hits.triangle < count))
        triangle = hits.triangle[struck]
        front = np.einsum("nk,nk->n", shell.normals[triangle], directions[struck]) < 0
        u, v, choice = hits.u[struck], hits.v[struck], dither[struck]
        corner = np.where(choice < u, 1, np.where(choice < u + v, 2, 0))
        node = shell.nodes[triangle, corner]
        next_room = shell.node_beyond[node]
        back = self.next_room if beyond else self.dark
        entry[struck] = np.where(front & ~next_room, node, np.where(next_room, self.next_room, back))
        patch[struck] = np.where(front & ~next_room, shell.patch[triangle], np.where(front, -1, -2))
        drawn = np.flatnonzero(hits.triangle >= count)
        which = self.curtain_of[hits.triangle[drawn] - count]
        entry[drawn] = self.first_curtain + which
        patch[drawn] = shell.patch_count + len(self.cells.areas) + which

    def _floor(
        self, hits: Hits, origins: Array, directions: Array, beyond: bool, dither: Array, entry: Ints, patch: Ints
    ) -> Array:
        distance = hits.distance.astype(np.float64)
        down = np.flatnonzero((origins[:, 2] > 0) & (directions[:, 2] < 0))
        reach = -origins[down, 2] / directions[down, 2]
        met = down[reach < hits.distance[down]]
        distance[met] = reach = reach[reach < hits.distance[down]]
        place = origins[met, :2] + reach[:, None] * directions[met, :2]
        patch[met] = self.shell.patch_count + self.cells.at(place)
        spread = place + (dither[met] - 0.5) * self.cells.tile * self.cells.texel
        entry[met] = self.first_tile + self.cells.tile_at(spread)
        away = met[~self.cells.within(place)]  # out through a window and down, or a next room's floor
        entry[away], patch[away] = self.next_room if beyond else self.dark, -1
        return distance


def build_surroundings(shell: Shell, cells: FloorCells, panes: tuple[Pane, ...]) -> Surroundings:
    """Return shell, floor and curtains made ready for rays."""
    curtains = tuple(each for each in panes if not each.glazed)
    sheets, owner = [], []
    for number, pane in enumerate(curtains):
        for k in range(1, len(pane.corners) - 1):
            sheets.append(pane.corners[[0, k, k + 1]])
            owner.append(number)
    drawn = np.concatenate([shell.corners, np.array(sheets).reshape(-1, 3, 3)])
    owners = np.array(owner, dtype=np.int64)
    return Surroundings(shell, cells, curtains, owners, Tracer(drawn), Tracer(shell.corners))
