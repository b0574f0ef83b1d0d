"""What lies on the graphics device of a lit room, and of a floor in it: each is uploaded by itself, so that another
floor leaves the room's as it is.

Import it as `device.stage`, once a platform is chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.device.arrays import Value, VertexArrays
from preview.picture.device.engine import ImageTexture, Layers, ShadedSurface, Texture
from preview.picture.device.stage import Stage, WindowCamera
from preview.picture.floor_faces import floor_surfaces, line_width
from preview.picture.light_uniforms import LightUniforms, coat_uniforms, light_uniforms, unseen_radiance
from preview.picture.reflection.reflection_atlas import HoldRays, build_reflection_atlas
from preview.picture.sun.shadow_map import ShadowMapView, shadow_map_view
from preview.picture.surfaces import pane_surfaces, part_surfaces
from preview.wood.boards import Boards
from preview.wood.strip import LEVEL_FIBRE

# Of the wood's reflection, what the fibres carry. No measured share was read: by it the two leans of a herringbone come
# about as far apart as boards of one lean. In the shader of those who measured finished wood (woodreflectance.sl by
# S. Westin, read), it would be a fibre colour of 2 for maple, where they say that theirs were mostly more than 1.
FIBRE_SHARE = 0.12
HAIRLINE = 0.0002  # metres: half of what is dark of a tight joint, where dust and finish gather; by eye
ROUND = 0.3  # metres
PROXIES = ("proxy_count", "proxy_start", "proxy_run", "ceiling_height")  # what floor.frag takes of the atlas' uniforms
GLASS = ("outside_known", "glass_passes")  # and reflection.frag of the light's
FLOOR, SHELL, CEILING, PANES, PLANE = range(5)  # the order in which surfaces are drawn
MOST_COATS = 3  # what coats mirror that a room keeps, drawn for an eye each; some 6 MB
LEVEL = np.full((8, 8, 3), LEVEL_FIBRE, np.uint8)  # fibres that all lie along u


@dataclass(frozen=True)
class Eye:
    """An eye of whose numbers, window and pose, none may differ for the same picture, and which floor it sees."""

    numbers: tuple[float, ...]
    floor: Hashable

    def beside(self, other: Eye) -> bool:
        """Return whether it sees the same but for what sums up from rounding, as of a picture of another size."""
        return self.floor == other.floor and bool(np.allclose(self.numbers, other.numbers, rtol=0, atol=1e-9))


class RoomUpload:
    """A lit room's shell, panes, shadow map, reflection atlas and maps of its light.

    `shell`, `ceiling`, `panes` are numbers of surfaces on the stage; `uniforms` and `maps` what the shaders of pictures
    take, `coat_uniforms` and `coat_maps` those of what a coat mirrors; `far`, metres, is beyond all of it from any eye.
    """

    def __init__(self, stage: Stage, model: Model, lighting: Lighting, hold: HoldRays) -> None:
        """`hold`: as in `build_reflection_atlas`."""
        self._stage = stage
        with ThreadPoolExecutor(1, "atlas") as beside:  # of two cores, what follows keeps one busy
            atlas = beside.submit(build_reflection_atlas, model, lighting, unseen_radiance(model, lighting), hold)
            lit = self._upload(model, lighting)
        found = atlas.result()
        self.uniforms |= found.screens | {name: found.uniforms[name] for name in PROXIES}
        self.coat_uniforms = found.uniforms | {name: lit.uniforms[name] for name in GLASS if name in lit.uniforms}
        self.coat_maps: dict[str, Texture] = {"reflection_atlas": ImageTexture(found.image)}
        if "outside_map" in self.maps:
            self.coat_maps["outside_map"] = self.maps["outside_map"]
        self._coats: dict[tuple[Eye, tuple[int, int]], Layers] = {}

    def _upload(self, model: Model, lighting: Lighting) -> LightUniforms:
        """Upload all but the atlas; return what was taken of the light."""
        stage, lit = self._stage, light_uniforms(model, lighting)
        self.uniforms: dict[str, Value] = dict(lit.uniforms)
        self.maps: dict[str, Texture] = {name: ImageTexture(image) for name, image in lit.maps.items()}
        shell, ceiling = part_surfaces(model, lighting)
        self.shell = _added(stage, "part.frag", shell, SHELL)
        self.ceiling = _added(stage, "part.frag", ceiling, CEILING)
        self.panes = _added(stage, "pane.frag", pane_surfaces(model, lighting), PANES)
        corners = [np.asarray(model.bounds, float), *(part.vertices for part in model.parts)]
        self.far = 2 * float(np.linalg.norm(np.ptp(np.concatenate(corners), axis=0))) + 10
        if lighting.sun is not None and lighting.sun.beams:
            self._draw_shadow_map(shadow_map_view(lighting.sun.direction, model.bounds))
        return lit

    def coats(self, eye: Eye, size: tuple[int, int], or_finer: bool, draw: Callable[[], Layers]) -> Layers:
        """Return what coats mirror of the room as an eye sees it, of that `size`, `or_finer` if it will do; drawn now
        where it was not of late."""
        key = (eye, size)
        if or_finer:
            key = next((each for each in self._coats if each[0].beside(eye) and each[1] > size), key)
        found = self._coats.pop(key, None)
        self._coats[key] = found = found or draw()
        while len(self._coats) > MOST_COATS:
            self._coats.pop(next(iter(self._coats))).delete()
        return found

    def _draw_shadow_map(self, view: ShadowMapView) -> None:
        """Draw how far the room lies behind a plane towards the sun, for shadows on all that is not floor."""
        camera = WindowCamera(view.window, True, 0.0, view.far)
        depth = self._stage.depth([*self.shell, *self.ceiling], camera, view.pose, view.size)
        depth = np.where(depth > 0, depth, np.float32(1e6))
        self.maps["shadow_map"] = ImageTexture(depth[::-1, :, None])
        self.uniforms |= view.uniforms

    def delete(self) -> None:
        """Take the room off the stage and free its maps."""
        self._stage.remove([*self.shell, *self.ceiling, *self.panes])
        for each in (*self.maps.values(), *self.coat_maps.values(), *self._coats.values()):
            each.delete()


class FloorUpload:
    """A floor's boards with their textures: `boards` and `plane` are numbers of surfaces on the stage, `uniforms` what
    the shaders of pictures take, `finishes` the roughness and refractive index of each coat that differs,
    `plane_corners` the plane's, as bytes."""

    def __init__(self, stage: Stage, model: Model, boards: Boards, textures: BoardTextures, fibre: bool) -> None:
        groove, gap = line_width(model)
        self._stage = stage
        self.pages = (*boards.pages, *boards.grain)
        coats = [(each.roughness, each.ior) for each in boards.finishes]
        self.finishes = list(dict.fromkeys(coats))
        self.uniforms: dict[str, Value] = {
            **coat_uniforms(boards),
            "coat_page": np.array([*map(self.finishes.index, coats), 1.0]) / len(self.finishes),
            "fibre_share": FIBRE_SHARE if fibre else 0.0,
            "bevel": groove,
            "gap": max(gap, HAIRLINE * fibre),
            "stone_clouds": float(fibre),
        }
        images, grains = textures.of(boards)
        self.boards = [
            stage.add(ShadedSurface("floor.frag", each, images[each.page], grains[each.page]), FLOOR)
            for each in floor_surfaces(model)
        ]
        plane = floor_plane(model)
        self.plane = _added(stage, "reflection.frag", plane, PLANE)
        self.plane_corners = plane.positions[:, :2].tobytes()

    def delete(self) -> None:
        """Take the floor off the stage; textures that no other floor has are freed."""
        self._stage.remove([*self.boards, *self.plane])


class BoardTextures:
    """The textures of pages of boards; floors whose boards lie on the same pages share them."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[NDArray[np.uint8], ImageTexture]] = {}

    def of(self, boards: Boards) -> tuple[list[ImageTexture], list[ImageTexture]]:
        """Return the textures of the pages and of the grain on them."""
        images = [self._texture(each, coded=True) for each in boards.pages]
        return images, [self._texture(each, coded=False) for each in boards.grain or [LEVEL] * len(images)]

    def _texture(self, page: NDArray[np.uint8], coded: bool) -> ImageTexture:
        known = self._known.get(id(page))
        if known is None:  # the page is held too, so that no other one takes its number
            known = self._known[id(page)] = (page, ImageTexture(page, coded=coded))
        return known[1]

    def keep_of(self, floors: Iterable[FloorUpload]) -> None:
        """Forget the pages of all but these floors."""
        used = {id(page) for floor in floors for page in floor.pages}
        self._known = {number: each for number, each in self._known.items() if number in used}


def _added(stage: Stage, fragment: str, arrays: VertexArrays | None, order: int) -> list[int]:
    """Put a surface on the stage, drawn by a fragment shader; return its number, none for no surface."""
    return [] if arrays is None else [stage.add(ShadedSurface(fragment, arrays), order)]


def floor_plane(model: Model) -> VertexArrays:
    """Return the plane z = 0 under all that is drawn, and `ROUND` more for boards that lie unevenly."""
    plan = np.concatenate([np.asarray(model.bounds, float)[:, :2], *(mesh.vertices[:, :2] for mesh in model.floor)])
    (x0, y0), (x1, y1) = plan.min(axis=0) - ROUND, plan.max(axis=0) + ROUND
    corners = np.array([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], np.float32)
    nothing = np.zeros((4, 4), np.float32)
    faces = np.array([(0, 1, 2), (0, 2, 3)], np.int32)
    return VertexArrays(corners, nothing[:, :3], nothing[:, :2], nothing, nothing[:, :3], faces)
