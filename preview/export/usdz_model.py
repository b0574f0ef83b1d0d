"""A floor and its room as USDZ, which telephones lay on the floor before them: a USD layer and its textures in a zip.

Written by usd-core, Pixar's own library. What telephones' viewers leave out of the USD Preview Surface is not used:
colours of vertices, factors on a texture, the specular workflow, textures that end at their edge. So tints are in the
textures (`painted_boards.py`), and a rim, which darkens a joint, has a darker texture of its own.

The format's two highlights are both white; of the first only the width can be set, of the second the strength too. So
the finish's coat is the first, and the wood's fibres under it, weaker than a coat, are the one called clearcoat; they
are added up, so that which is which makes no difference. Anisotropy the format has not: the fibres' is as wide as the
two widths of `finish_material.py` on the mean.

OpenUSD, "UsdPreviewSurface specification" 2.6 and "Usdz File Format Specification" 1.3; the anchoring is Apple's schema
Preliminary_AnchoringAPI ("Placing a prim in the real world").
"""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image

from preview.colour import linear_to_srgb, srgb_to_linear
from preview.errors import UsageError
from preview.export.backings import Backing, backings
from preview.export.board_faces import RIM_SHADE, BoardFaces, Windows, board_faces
from preview.export.exported import ModelFile, named, told, upright
from preview.export.finish_material import FIBRE_SPECULAR, MEAN_FIBRE_ALPHA
from preview.export.glb_model import PAINT_ROUGHNESS
from preview.export.painted_boards import RIMS
from preview.export.room_nodes import parts_by_group
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role
from preview.model.ease import triangles_of
from preview.model.model import Model, Part
from preview.png import encode_jpeg
from preview.unfinished import scratch_folder
from preview.wood.boards import Boards
from preview.wood.material_types import Finish
from preview.wood.seasons import drawn_in_season

if TYPE_CHECKING:
    from pxr import Usd

F32 = NDArray[np.float32]
Bytes = NDArray[np.uint8]

MISSING = 'a .usdz needs one more library: install it with "pip install usd-core"'
RIM_FINER = round(RIMS**-0.5)  # pixels of a page to one of its rims' texture: what is 2 mm wide shows only its colour
LIFT = 0.003  # metres that the floor lies over the plane found, so that nothing lies in it: viewers draw shadows on it
DAY = (1980, 1, 2, 12, 0, 0, 0, 0, -1)  # on clocks here, which a zip tells the time by: it knows no day before 1980
DARK = (0.02, 0.02, 0.02)  # of slots, as of ducts


def check_usd() -> None:
    """Raise UsageError where usd-core is not installed."""
    try:
        import pxr.Usd  # noqa: F401
    except ImportError as error:
        raise UsageError(MISSING) from error


def usdz_model(floor: LaidFloor, boards: Boards, model: Model, floor_only: bool = False) -> ModelFile:
    """Return the file: metres, y up, the middle of the room at the origin, anchored to a horizontal plane.

    boards: painted, see `painted_and_model`. floor_only: whether the room round the floor is left out, and the next
    rooms' floors; slots of grilles are then dark faces level with the floor.
    """
    check_usd()
    layout, _ = drawn_in_season(floor.layout, floor.job)
    faces = board_faces(layout, Windows.of(boards), model.floor, beyond=not floor_only)
    with scratch_folder() as folder:
        writer = _Package(folder, floor, model.bounds[:, :2].mean(axis=0))
        sizes = _add_boards(writer, boards, [each for each in faces if not (floor_only and each.sides)])
        for each in backings(layout, boards, beyond=not floor_only):
            writer.add_backing(each, boards.finishes[each.wood])
        if floor_only:
            writer.add_slots(layout)
        else:
            for group, parts in parts_by_group(model).items():
                for part in parts:
                    writer.add_part(group, part)
        return ModelFile(writer.to_bytes(), tuple(sizes), boards.density)


def _add_boards(writer: _Package, boards: Boards, faces: Sequence[BoardFaces]) -> list[tuple[int, int, int]]:
    """Add faces of boards with their textures; return of each texture width, height and bytes."""
    sizes = []
    for page in dict.fromkeys(each.page for each in faces if not each.sides):
        own = [each for each in faces if each.page == page]
        image = Image.fromarray(boards.pages[page][..., :3])
        finish, name = boards.finishes[own[0].wood], f"{own[0].name} {page + 1}"
        bound = {}
        for rim, picture in ((False, image), (True, _of_rims(image))):
            data = encode_jpeg(picture)
            sizes.append((*picture.size, len(data)))
            bound[rim] = writer.add_wood(f"{name} joints" if rim else name, finish, data)
        for each in own:
            if each.sides:
                writer.add_mesh(each.name, f"slots {page + 1}", _faces_of(each, None), writer.plain("slots", DARK))
                continue
            for rim, what in ((False, "boards"), (True, "joints")):
                if (each.rim == rim).any():
                    writer.add_mesh(each.name, f"{what} {page + 1}", _faces_of(each, rim), bound[rim])
    return sizes


def _of_rims(image: Image.Image) -> Image.Image:
    wide, high = (max(side // RIM_FINER, 1) for side in image.size)
    small = np.asarray(image.resize((wide, high), Image.Resampling.BOX))
    light = srgb_to_linear(np.arange(256) / 255) * RIM_SHADE
    return Image.fromarray(np.rint(linear_to_srgb(light) * 255).astype(np.uint8)[small])


@dataclass(frozen=True, eq=False)
class _UsdMesh:
    """A mesh: positions, normals (v, 3), y up; faces (f, 3); st (v, 2), v upwards, None where there is no texture."""

    positions: F32
    normals: F32
    faces: NDArray[np.int32]
    st: F32 | None = None


def _faces_of(faces: BoardFaces, rim: bool | None) -> _UsdMesh:
    """Return the faces that are rims, or that are none, or all (None), with their own corners alone."""
    chosen = faces.faces if rim is None else faces.faces[faces.rim == rim]
    rows, renumbered = np.unique(chosen, return_inverse=True)
    uv = faces.uv[rows]
    return _UsdMesh(
        upright(faces.positions[rows]),
        upright(faces.normals[rows]),
        renumbered.reshape(-1, 3).astype(np.int32),
        np.column_stack([uv[:, 0], 1 - uv[:, 1]]).astype(np.float32),
    )


def _flat(corners: F32) -> _UsdMesh:
    """Return triangles with corners (3 t, 3), z up, one after another, that lie level and are seen from above."""
    up = np.tile(np.array([0, 1, 0], np.float32), (len(corners), 1))
    return _UsdMesh(upright(corners), up, np.arange(len(corners), dtype=np.int32).reshape(-1, 3))


class _Package:
    """A package that grows in a folder: /Floor, which is anchored, /Floor/Model, and what stands in that by group."""

    def __init__(self, folder: Path, floor: LaidFloor, middle: NDArray[np.float64]) -> None:
        from pxr import Gf, Sdf, Tf, Usd, UsdGeom

        self._folder, self._count = folder, 0
        self._layer = folder / "floor.usdc"
        self._stage: Usd.Stage = Usd.Stage.CreateNew(str(self._layer))
        UsdGeom.SetStageUpAxis(self._stage, UsdGeom.Tokens.y)
        UsdGeom.SetStageMetersPerUnit(self._stage, 1.0)
        words = dict(told(floor))
        layer = self._stage.GetRootLayer()
        layer.comment = f"{words['title']}, {words['variant']}. {words['comment']} {words['measure']}"
        layer.customLayerData = words
        root = UsdGeom.Xform.Define(self._stage, "/Floor").GetPrim()
        self._stage.SetDefaultPrim(root)
        Usd.ModelAPI(root).SetKind("component")
        root.SetDisplayName(named(floor))
        # The schema is Apple's and not known to usd-core: it is written by name.
        root.SetMetadata("apiSchemas", Sdf.TokenListOp.Create(prependedItems=["Preliminary_AnchoringAPI"]))
        for name, value in (("anchoring:type", "plane"), ("planeAnchoring:alignment", "horizontal")):
            attribute = root.CreateAttribute(
                f"preliminary:{name}", Sdf.ValueTypeNames.Token, custom=False, variability=Sdf.VariabilityUniform
            )
            attribute.Set(value)
        # The anchor places /Floor; what moves the model to its middle lies below.
        x, y = (float(each) for each in middle)
        UsdGeom.Xform.Define(self._stage, "/Floor/Model").AddTranslateOp().Set(Gf.Vec3d(-x, LIFT, y))
        UsdGeom.Scope.Define(self._stage, "/Floor/Materials")
        self._identifier = Tf.MakeValidIdentifier
        self._materials: dict[object, Any] = {}

    def add_mesh(self, group: str, name: str, geometry: _UsdMesh, material: Any) -> None:  # noqa: ANN401
        """Add a mesh under a group's node, with a material that another method returned."""
        from pxr import Sdf, UsdGeom, UsdShade, Vt

        above = UsdGeom.Xform.Define(self._stage, f"/Floor/Model/{self._identifier(group)}")
        above.GetPrim().SetDisplayName(group)
        path = above.GetPath().AppendChild(self._identifier(name))
        if self._stage.GetPrimAtPath(path):  # names that differ only in what an identifier can't hold
            self._count += 1
            path = path.ReplaceName(f"{path.name}_{self._count}")
        mesh = UsdGeom.Mesh.Define(self._stage, path)
        mesh.GetPrim().SetDisplayName(name)
        mesh.CreateSubdivisionSchemeAttr(UsdGeom.Tokens.none)
        points = np.ascontiguousarray(geometry.positions)
        mesh.CreatePointsAttr(Vt.Vec3fArray.FromNumpy(points))
        mesh.CreateExtentAttr(Vt.Vec3fArray.FromNumpy(np.stack([points.min(axis=0), points.max(axis=0)])))
        mesh.CreateNormalsAttr(Vt.Vec3fArray.FromNumpy(np.ascontiguousarray(geometry.normals)))
        mesh.SetNormalsInterpolation(UsdGeom.Tokens.vertex)
        mesh.CreateFaceVertexCountsAttr(Vt.IntArray.FromNumpy(np.full(len(geometry.faces), 3, np.int32)))
        mesh.CreateFaceVertexIndicesAttr(Vt.IntArray.FromNumpy(np.ascontiguousarray(geometry.faces.reshape(-1))))
        if geometry.st is not None:
            st = UsdGeom.PrimvarsAPI(mesh).CreatePrimvar(
                "st", Sdf.ValueTypeNames.TexCoord2fArray, UsdGeom.Tokens.vertex
            )
            st.Set(Vt.Vec2fArray.FromNumpy(np.ascontiguousarray(geometry.st)))
        UsdShade.MaterialBindingAPI.Apply(mesh.GetPrim()).Bind(material)

    def add_part(self, group: str, part: Part) -> None:
        """Add a part of the room in its paint."""
        geometry = _UsdMesh(upright(part.vertices), upright(part.normals), part.faces.astype(np.int32))
        self.add_mesh(group, part.name, geometry, self.plain(part.surface, part.albedo))

    def add_slots(self, layout: Layout) -> None:
        """Add the slots of grilles as dark faces level with the floor, for where there is no duct to be seen."""
        holes = [
            shapely.Polygon(ring)
            for grille in layout.pieces.polygons[layout.pieces.role == Role.GRILLE]
            for ring in grille.interiors
        ]
        if holes:
            plan = np.concatenate([triangles_of(each).reshape(-1, 2) for each in holes])
            flat = np.pad(plan, ((0, 0), (0, 1))).astype(np.float32)
            self.add_mesh("grilles", "slots", _flat(flat), self.plain("slots", DARK))

    def add_wood(self, name: str, finish: Finish, image: bytes) -> Any:  # noqa: ANN401
        """Add a JPEG and return a material of that wood under its finish."""
        from pxr import Sdf, UsdShade

        path = Path("textures") / f"{self._identifier(name)}.jpg"
        (self._folder / path).parent.mkdir(exist_ok=True)
        (self._folder / path).write_bytes(image)
        material, surface = self._finished(name, finish)
        place, texture = (
            UsdShade.Shader.Define(self._stage, material.GetPath().AppendChild(each)) for each in ("place", "texture")
        )
        place.CreateIdAttr("UsdPrimvarReader_float2")
        place.CreateInput("varname", Sdf.ValueTypeNames.String).Set("st")
        read = place.CreateOutput("result", Sdf.ValueTypeNames.Float2)
        texture.CreateIdAttr("UsdUVTexture")
        texture.CreateInput("file", Sdf.ValueTypeNames.Asset).Set(Sdf.AssetPath(f"./{path.as_posix()}"))
        texture.CreateInput("sourceColorSpace", Sdf.ValueTypeNames.Token).Set("sRGB")
        for axis in ("wrapS", "wrapT"):
            texture.CreateInput(axis, Sdf.ValueTypeNames.Token).Set("clamp")
        texture.CreateInput("st", Sdf.ValueTypeNames.Float2).ConnectToSource(read)
        colour = texture.CreateOutput("rgb", Sdf.ValueTypeNames.Float3)
        surface.CreateInput("diffuseColor", Sdf.ValueTypeNames.Color3f).ConnectToSource(colour)
        return material

    def add_backing(self, backing: Backing, finish: Finish) -> None:
        """Add what lies under boards."""
        from pxr import Gf, Sdf

        name = f"under {backing.name}"
        material, surface = self._finished(name, finish)
        surface.CreateInput("diffuseColor", Sdf.ValueTypeNames.Color3f).Set(Gf.Vec3f(*backing.albedo))
        self.add_mesh(backing.name, "under", _flat(backing.positions), material)

    def _finished(self, name: str, finish: Finish) -> tuple[Any, Any]:
        return self._surface(
            f"{name} {finish.name}",
            roughness=round(finish.roughness**0.5, 4),
            clearcoat=FIBRE_SPECULAR,
            clearcoatRoughness=round(MEAN_FIBRE_ALPHA**0.5, 4),
            ior=finish.ior,
        )

    def plain(self, name: str, albedo: tuple[float, float, float]) -> Any:  # noqa: ANN401
        """Return the material of a matt surface of one colour, linear RGB."""
        from pxr import Gf, Sdf

        if (name, albedo) not in self._materials:
            material, surface = self._surface(name, roughness=PAINT_ROUGHNESS)
            surface.CreateInput("diffuseColor", Sdf.ValueTypeNames.Color3f).Set(Gf.Vec3f(*map(float, albedo)))
            self._materials[name, albedo] = material
        return self._materials[name, albedo]

    def _surface(self, name: str, **values: float) -> tuple[Any, Any]:
        from pxr import Sdf, UsdShade

        self._count += 1
        path = f"/Floor/Materials/{self._identifier(name)}_{self._count}"
        material = UsdShade.Material.Define(self._stage, path)
        material.GetPrim().SetDisplayName(name)
        surface = UsdShade.Shader.Define(self._stage, f"{path}/surface")
        surface.CreateIdAttr("UsdPreviewSurface")
        surface.CreateInput("useSpecularWorkflow", Sdf.ValueTypeNames.Int).Set(0)
        surface.CreateInput("metallic", Sdf.ValueTypeNames.Float).Set(0.0)
        for key, value in values.items():
            surface.CreateInput(key, Sdf.ValueTypeNames.Float).Set(value)
        material.CreateSurfaceOutput().ConnectToSource(surface.ConnectableAPI(), "surface")
        return material, surface

    def to_bytes(self) -> bytes:
        """Return the package.

        Raises:
            OSError: it can't be written in its folder.
        """
        from pxr import Sdf, Tf, UsdUtils

        package = self._folder / "floor.usdz"
        try:
            self._stage.GetRootLayer().Save()
            when = time.mktime(DAY)
            for file in (self._layer, *self._folder.glob("textures/*")):
                os.utime(file, (when, when))  # else the same floor would give another file every two seconds
            done = UsdUtils.CreateNewUsdzPackage(Sdf.AssetPath(str(self._layer)), str(package))
        except Tf.ErrorException as error:  # of a full disk among others
            raise OSError("the library wrote no whole file") from error
        if not done:
            raise OSError("the library wrote no package")
        return package.read_bytes()
