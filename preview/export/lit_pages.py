"""The pages of a lit floor: what each of their pixels shows of the wood, under the light that falls there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import srgb_to_linear
from preview.export.baked_light import BakedLight
from preview.export.plan_pages import PlanPage, pieces_seen
from preview.floor.layout import Layout
from preview.wood.boards import Boards

F32 = NDArray[np.float32]
Bytes = NDArray[np.uint8]
Index = NDArray[np.intp]

AT_ONCE = 1_000_000  # pixels


def lit_page(layout: Layout, boards: Boards, light: BakedLight, sheet: PlanPage) -> Bytes:
    """Return a page (h, w, 3) as it is shown. Between the pieces it has wood of their mean colour."""
    parts = [each for each in (layout.pieces, layout.beyond) if len(each)]
    polygons = np.concatenate([each.polygons for each in parts])
    seen = pieces_seen(polygons, sheet)
    wood = _Wood.of(layout, boards, sheet)
    entering = light.entering_on(sheet)
    wide, high = sheet.size
    page = np.empty((high, wide, 3), np.uint8)
    step = max(AT_ONCE // wide, 1)
    for top in range(0, high, step):
        rows = np.arange(top, min(top + step, high))
        albedo = wood.albedo(seen[rows], rows)
        page[rows] = light.floor_rows(albedo, sheet, rows, entering)
    return page


@dataclass(frozen=True, eq=False)
class _Wood:
    """The pages of boards, one after another, as seen from a page in plan: of each piece (n,) and, last, of no piece,
    `turn` (n + 1, 2, 2) and `shift` (n + 1, 2), with which its pixel (column, row) becomes one of the boards' pages;
    `first` and `wide` (n + 1,) of that page; `tint` (n + 1, 3)."""

    pixels: NDArray[np.uint32]
    turn: F32
    shift: F32
    first: Index
    wide: Index
    tint: F32
    plain: F32

    @staticmethod
    def of(layout: Layout, boards: Boards, sheet: PlanPage) -> _Wood:
        parts = [each for each in (layout.pieces, layout.beyond) if len(each)]
        grain, origin = (np.concatenate([getattr(each, name) for each in parts]) for name in ("grain", "origin"))
        sizes = np.array([page.shape[1::-1] for page in boards.pages])
        own = sizes[boards.page]
        cos, sin = np.cos(grain), np.sin(grain)
        along = np.stack([np.column_stack([cos, sin]), np.column_stack([-sin, cos])], axis=1)  # (n, 2, 2): s, t
        scale = (boards.uv_scale * own)[:, :, None]
        turn = scale * along @ sheet.ways.T / sheet.density
        shift = (scale * along @ (sheet.corner - origin)[:, :, None])[..., 0] + boards.uv_origin * own - 0.5
        starts = np.concatenate([[0], np.cumsum(sizes.prod(axis=1))])
        return _Wood(
            np.concatenate([np.ascontiguousarray(page).view(np.uint32).reshape(-1) for page in boards.pages]),
            np.concatenate([turn, np.zeros((1, 2, 2))]).astype(np.float32),
            np.concatenate([shift, np.zeros((1, 2))]).astype(np.float32),
            np.append(starts[boards.page], 0),
            np.append(own[:, 0], sizes[0, 0]),
            np.concatenate([boards.tint, np.zeros((1, 3))]).astype(np.float32),
            np.asarray(boards.mean_albedo, np.float32),
        )

    def albedo(self, seen: NDArray[np.int32], rows: Index) -> F32:
        """Return the linear colours (r, w, 3) of pieces seen (r, w) in rows (r,) of the page, without light."""
        column, row = np.arange(seen.shape[1], dtype=np.float32) + np.float32(0.5), rows.astype(np.float32) + 0.5
        turn, shift = self.turn[seen], self.shift[seen]
        x, y = (turn[..., k, 0] * column + turn[..., k, 1] * row[:, None] + shift[..., k] for k in (0, 1))
        left, top = np.floor(x), np.floor(y)
        far_x, far_y = x - left, y - top
        wide = self.wide[seen]
        at = self.first[seen] + top.astype(np.intp) * wide + left.astype(np.intp)
        total = np.zeros((*seen.shape, 3), np.float32)
        for down, across, share in (
            (0, 0, (1 - far_x) * (1 - far_y)),
            (0, 1, far_x * (1 - far_y)),
            (1, 0, (1 - far_x) * far_y),
            (1, 1, far_x * far_y),
        ):
            pixel = np.take(self.pixels, at + down * wide + across, mode="clip")
            for channel in range(3):
                total[..., channel] += share * np.take(LINEAR, (pixel >> np.uint32(8 * channel)) & np.uint32(255))
        total *= self.tint[seen]
        total[seen < 0] = self.plain
        return total


LINEAR = srgb_to_linear(np.arange(256) / 255).astype(np.float32)
