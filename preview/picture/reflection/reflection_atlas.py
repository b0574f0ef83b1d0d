"""The reflection atlas: each large upright face of a room, and its ceiling, seen straight on, side by side in one
image.

The floor's reflections are looked up there. Unlike a drawing of the mirrored room from the eye it shows every face
whole: what furniture hides, what lies beside the picture and what stands behind the eye too. It is made once for a
room, by rays.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.light.geometry.ray_tracing import RAYS_AT_ONCE, Hits, Tracer, in_threads
from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.device.arrays import Value
from preview.picture.reflection.reflection_proxies import LEAST_RECESS, ProxyArrays, proxy_arrays
from preview.picture.reflection.surface_radiance import SurfaceRadiance, surface_radiance
from preview.picture.shared import BEFORE_WALL, HALVINGS, MAX_SCREENS

F32 = NDArray[np.float32]
Array = NDArray[np.float64]
HoldRays = Callable[[Callable[[], list[Hits]]], list[Hits]]

# Of the atlas, at most about as many. FLIP beside four times as many 0.000 to 0.008, with a quarter 0.004 to 0.011
# (tests/benchmarks/convergence.py).
PIXELS = 500_000
LEAST_PIXEL = 0.012  # metres
BLOCK = 2**HALVINGS  # pixels of the atlas that its coarsest mipmap's are; faces begin and end at multiples of it
BEFORE_FURNITURE = 0.03  # metres that worktops stand out of cabinets
BEFORE_CEILING = 0.2
FARTHEST = 12.0  # metres
AT_ONCE = RAYS_AT_ONCE // 4


@dataclass(frozen=True, eq=False)
class ReflectionAtlas:
    """The atlas' `image` (h, w, 4), row 0 lowest: radiance, and how far what is seen lies behind its face, metres; a
    wall's rows go up it, a ceiling's along the plan's y. `uniforms` is what reflection.frag looks it up by; `screens`
    is the furniture, for floor.frag."""

    image: F32
    uniforms: dict[str, Value]
    screens: dict[str, Value]


def build_reflection_atlas(
    model: Model, lighting: Lighting, unseen: Array, hold: HoldRays = lambda trace: trace()
) -> ReflectionAtlas:
    """Return a room's reflection atlas; where a face has a hole that nothing is seen through stands `unseen` (3,).
    `hold` may keep what its rays meet, which hangs on the model's parts, panes and bounds alone."""
    lighting = _panes_alike(model, lighting)
    proxies = proxy_arrays(model)
    starts, runs = proxies.starts, proxies.runs
    low, high = np.asarray(model.bounds, float)
    plan = high[:2] - low[:2]
    length = np.linalg.norm(runs[:, :2], axis=1)
    sides = np.vstack([np.column_stack([length, starts[:, 2]]), plan])
    pixel = max(LEAST_PIXEL, float(np.sqrt(sides.prod(axis=1).sum() / PIXELS)))
    boxes = _packed(np.maximum(1, np.ceil(sides / (pixel * BLOCK))).astype(int) * BLOCK)
    size = (boxes[:, :2] + boxes[:, 2:]).max(axis=0)
    image = np.zeros((size[1], size[0], 4), np.float32)
    flat, up = np.zeros((len(starts), 1)), np.array([0.0, 0.0, 1.0])
    inward = np.column_stack([-runs[:, 1], runs[:, 0], flat]) / length[:, None]
    corners = np.vstack([np.hstack([starts[:, :2], flat]), [*low[:2], high[2]]])
    across = np.vstack([np.hstack([runs[:, :2], flat]), [plan[0], 0, 0]])
    upward = np.vstack([starts[:, 2:] * up, [0, plan[1], 0]])
    facing = np.vstack([inward, -up])
    before = np.append(np.where(runs[:, 2] < 0, BEFORE_FURNITURE, BEFORE_WALL), BEFORE_CEILING)
    _fill(image, boxes, corners, across, upward, facing, before, surface_radiance(model, lighting), unseen, hold)
    pages = boxes / np.tile(size, 2)
    return ReflectionAtlas(
        image,
        {
            "proxy_count": len(starts),
            "proxy_start": np.column_stack([starts, _shown(proxies, model, lighting)]),
            "proxy_run": runs,
            "proxy_page": pages[:-1],
            "ceiling_page": pages[-1],
            "ceiling_frame": np.array([*low[:2], *(1 / plan)]),
            "ceiling_height": float(high[2]),
            "atlas_pixel": pixel,
            "unseen": unseen,
        },
        _screens(starts, runs),
    )


def _panes_alike(model: Model, lighting: Lighting) -> Lighting:
    """Return the lighting with all glazed panes of one radiance, where what is outside is known: of how much of it is
    seen in a place one then knows how much of that is pane, which the shader replaces by what its ray sees outside."""
    glazed = {pane.name for pane in model.panes if pane.glazed}
    above = [each.above for each in lighting.emitters if each.name in glazed]
    if lighting.outside is None or not above:
        return lighting
    mean = np.mean(above, axis=0).astype(np.float32)
    alike = tuple(replace(each, above=mean) if each.name in glazed else each for each in lighting.emitters)
    return replace(lighting, emitters=alike)


def _screens(starts: Array, runs: Array) -> dict[str, Value]:
    found = np.flatnonzero(runs[:, 2] < 0)[:MAX_SCREENS]
    if not len(found):
        return {"screen_count": 0}
    return {"screen_count": len(found), "screen_start": starts[found], "screen_run": runs[found]}


def _fill(
    image: F32, boxes: NDArray[np.int64], corners: Array, across: Array, upward: Array, facing: Array, before: Array,
    room: SurfaceRadiance, unseen: Array, hold: HoldRays,
) -> None:  # fmt: skip
    """Fill the atlas: one ray a pixel, from `before` each face straight at it."""
    if not len(room.corners):
        image[..., :3] = unseen
        return
    tracer = Tracer(room.corners)
    chunks = [
        (number, slice(low, min(low + max(1, AT_ONCE // wide), high)))
        for number, (_, _, wide, high) in enumerate(boxes)
        for low in range(0, high, max(1, AT_ONCE // wide))
    ]

    def rays(number: int, rows: slice, pixels: NDArray[np.intp]) -> tuple[Array, Array]:
        wide, high = boxes[number, 2:]
        y, x = np.divmod(pixels, wide)
        origin = corners[number] + ((x + 0.5) / wide)[:, None] * across[number]
        origin += ((rows.start + y + 0.5) / high)[:, None] * upward[number]
        origin += before[number] * facing[number]
        return origin, np.tile(-facing[number], (len(pixels), 1))

    def first(part: slice) -> Hits:
        number, rows = chunks[part.start]
        return tracer.first(*rays(number, rows, np.arange((rows.stop - rows.start) * boxes[number, 2])))

    met = hold(lambda: in_threads(first, len(chunks), 1))

    def fill(part: slice) -> None:
        (number, rows), hits = chunks[part.start], met[part.start]
        found = np.flatnonzero((hits.triangle >= 0) & (hits.distance < FARTHEST))
        page = np.empty((len(hits.triangle), 4), np.float32)
        if len(found) < len(page):
            page[:, :3], page[:, 3] = unseen, FARTHEST
        page[found, :3] = room.radiance(hits, found, lambda numbers: rays(number, rows, numbers), tracer)
        behind = hits.distance[found] - before[number]
        panes = hits.triangle[found] >= room.first_pane
        page[found, 3] = np.where(panes, np.maximum(behind, LEAST_RECESS), behind)
        x, y, wide, _ = boxes[number]
        image[y + rows.start : y + rows.stop, x : x + wide] = page.reshape(-1, wide, 4)

    in_threads(fill, len(chunks), 1)


def _packed(sizes: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return boxes (n, 4) of x, y, width, height for sizes (n, 2), laid in rows from the highest to the lowest."""
    widest = max(int(sizes[:, 0].max()), int(np.sqrt(sizes.prod(axis=1).sum()) * 1.2))
    boxes = np.hstack([np.zeros_like(sizes), sizes])
    x = y = row = 0
    for each in np.argsort(-sizes[:, 1], kind="stable"):
        if x + sizes[each, 0] > widest:
            x, y, row = 0, y + row, 0
        boxes[each, :2] = x, y
        x, row = x + int(sizes[each, 0]), max(row, int(sizes[each, 1]))
    return boxes


def _shown(proxies: ProxyArrays, model: Model, lighting: Lighting) -> Array:
    """Return the luminance that the glazed panes in each proxy show over 1 + 2 sin g (see `Emitter`), 0 without one:
    (n,)."""
    glazed = {pane.name for pane in model.panes if pane.glazed}
    above = {each.name: float(each.above @ LUMINANCE) for each in lighting.emitters if each.name in glazed}
    return np.array([max((above.get(name, 0.0) for name in names), default=0.0) for names in proxies.panes])
