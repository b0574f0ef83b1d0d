"""Models for phones, read back by usd-core: its own validators, lengths, boards, colours, materials."""

import io
import subprocess
import sys
import zipfile

import numpy as np
import pytest
import trimesh
from exported_colours import Sheet, colours_apart
from PIL import Image
from pxr import Usd, UsdGeom, UsdShade, UsdValidation
from running import SMALL, in_a_process, preview

from preview.export import painted_boards
from preview.export.exported import boards_and_model, painted_and_model
from preview.export.usdz_model import LIFT, MISSING
from preview.floor.layout import Role
from preview.picture.picture import NATURE
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from preview.wood.species import load_finish

VENT = """
[[vents]]
name = "A"
center = [80, 20]
size = [10, 4]
"""
TEXTURE = 1024
ROOM = SMALL.replace("[floor]", f"{VENT}\n[floor]").replace('title = "Box room"', 'title = "Box «room» \\"two\\""')
GLOSS = ROOM.replace("[wood]", '[wood]\nfinish = "gloss"')


@pytest.fixture(scope="module")
def floor():
    return lay_jobs(read_scene(ROOM, "room.toml")[:1])[0]


@pytest.fixture(scope="module")
def exported(tmp_path_factory):
    """A function that exports that room once for the same options, and gives the file and what was said."""
    folder, known = tmp_path_factory.mktemp("usdz"), {}
    (folder / "room.toml").write_text(ROOM, encoding="utf-8")
    (folder / "gloss.toml").write_text(GLOSS, encoding="utf-8")

    def export(*options, scene="room"):
        if (scene, *options) not in known:
            path = folder / f"{len(known)}.usdz"
            ran = preview("export", folder / f"{scene}.toml", "--texture", str(TEXTURE), "--out", path, *options)
            assert ran.returncode == 0, ran.stderr
            known[scene, *options] = path, ran.stderr.decode()
        return known[scene, *options]

    return export


@pytest.fixture(scope="module")
def stages(exported):
    """The room with its floor, and the floor alone."""
    return [Usd.Stage.Open(str(exported(*each)[0])) for each in ((), ("--floor-only",))]


def bounds(stage, path="/Floor"):
    box = UsdGeom.BBoxCache(Usd.TimeCode.Default(), ["default"]).ComputeWorldBound(stage.GetPrimAtPath(path))
    return np.array([box.ComputeAlignedRange().GetMin(), box.ComputeAlignedRange().GetMax()])


def meshes(stage, group):
    """The meshes under a group's node by name: corners (v, 3) in the world, triangles (t, 3)."""
    found = {}
    for prim in stage.GetPrimAtPath(f"/Floor/Model/{group}").GetChildren():
        mesh = UsdGeom.Mesh(prim)
        moved = np.array(UsdGeom.XformCache().GetLocalToWorldTransform(prim))
        assert set(mesh.GetFaceVertexCountsAttr().Get()) == {3}
        points = np.pad(np.array(mesh.GetPointsAttr().Get(), float), ((0, 0), (0, 1)), constant_values=1)
        found[prim.GetName()] = (points @ moved)[:, :3], np.array(mesh.GetFaceVertexIndicesAttr().Get()).reshape(-1, 3)
    return found


def surface_of(stage, path):
    material, _ = UsdShade.MaterialBindingAPI(stage.GetPrimAtPath(path)).ComputeBoundMaterial()
    return material.ComputeSurfaceSource()[0]


def test_every_validator_of_usd_passes(stages):
    registry = UsdValidation.ValidationRegistry()
    names = [each.name for each in registry.GetAllValidatorMetadata()]
    assert {"usdUtilsValidators:UsdzPackageValidator", "usdGeomValidators:StageMetadataChecker"} <= set(names)
    validators = [registry.GetOrLoadValidatorByName(each) for each in names]
    for stage in stages:
        found = UsdValidation.ValidationContext(validators).Validate(stage)
        assert [f"{each.GetName()}: {each.GetMessage()}" for each in found] == []


def test_it_is_in_metres_y_up_and_lies_on_a_horizontal_plane(stages, floor):
    wide, deep = np.diff(np.reshape(floor.room.outline.bounds, (2, 2)), axis=0)[0]
    for stage in stages:
        root = stage.GetDefaultPrim()
        assert (UsdGeom.GetStageMetersPerUnit(stage), UsdGeom.GetStageUpAxis(stage)) == (1, "Y")
        assert root.GetPath() == "/Floor"
        assert root.GetMetadata("apiSchemas").GetAppliedItems() == ["Preliminary_AnchoringAPI"]
        assert root.GetAttribute("preliminary:anchoring:type").Get() == "plane"
        assert root.GetAttribute("preliminary:planeAnchoring:alignment").Get() == "horizontal"
        assert not UsdGeom.Xformable(root).GetOrderedXformOps(), "the anchor alone places it"
        words = stage.GetRootLayer().customLayerData
        assert words["title"] == 'Box «room» "two"' and words["comment"] == NATURE
    room, alone = (bounds(each) for each in stages)
    assert alone[1, 1] == pytest.approx(LIFT, abs=1e-6) and 0 < alone[0, 1] < LIFT <= 0.003
    assert alone.sum(axis=0)[[0, 2]] == pytest.approx([0, 0], abs=0.2), "its middle is the origin"
    assert alone[1, [0, 2]] - alone[0, [0, 2]] == pytest.approx([wide, deep], abs=0.15)  # a threshold sticks out
    assert (room[1, 1] > 2.4) and (room[0] <= alone[0]).all() and (room[1] >= alone[1]).all()
    assert {each.GetName() for each in stages[0].GetPrimAtPath("/Floor/Model").GetChildren()} >= {"walls", "ceiling"}


def test_all_boards_are_there_and_cover_what_they_cover(stages, floor):
    pieces = floor.layout.pieces
    for stage in stages:
        for group, role in (("field", Role.BOARD), ("border", Role.BORDER)):
            own, count, area = pieces.polygons[pieces.role == role], 0, 0.0
            for name, (points, faces) in meshes(stage, group).items():
                if name == "under":
                    continue
                solid = trimesh.Trimesh(points, faces, process=False)
                area += solid.area
                assert (solid.face_normals[:, 1] > 0.999).all(), "seen from above"
                count += len(trimesh.graph.connected_components(solid.edges)) if name.startswith("joints") else 0
            assert count == len(own)
            assert area == pytest.approx(sum(each.area for each in own), rel=0.01)


def sheets(path, stage, group, middle):
    """The boards of a group with their textures, as usd-core reads them."""
    with zipfile.ZipFile(path) as package:
        for name, (points, faces) in meshes(stage, group).items():
            if name.startswith("boards"):
                where = f"/Floor/Model/{group}/{name}"
                texture = surface_of(stage, where).GetInput("diffuseColor").GetConnectedSources()[0][0].source
                file = UsdShade.Shader(texture.GetPrim()).GetInput("file").Get().path
                image = np.asarray(Image.open(io.BytesIO(package.read(file.removeprefix("./")))))
                st = np.array(UsdGeom.PrimvarsAPI(stage.GetPrimAtPath(where)).GetPrimvar("st").Get(), float)
                plan = np.column_stack([points[:, 0], -points[:, 2]]) + middle
                yield Sheet(plan, faces, st * (1, -1) + (0, 1), image, np.ones_like(points))


def test_a_board_has_the_colour_of_the_picture(exported, stages, floor):
    boards, model = boards_and_model(floor, 2048)
    read = list(sheets(exported()[0], stages[0], "field", model.bounds[:, :2].mean(axis=0)))
    assert colours_apart(floor.layout.pieces, boards, read).mean() < 1


def test_where_boards_share_a_window_each_keeps_its_colour(floor, monkeypatch):
    """A floor of more boards than windows, as a hall has: here 60 for some two hundred."""
    monkeypatch.setattr(painted_boards, "FEWEST", 60)
    monkeypatch.setattr(painted_boards, "FINE_ENOUGH", 2000.0)
    boards, _ = painted_and_model(floor, TEXTURE)
    pieces = floor.layout.pieces
    field = pieces.role == Role.BOARD
    assert len(np.unique(boards.uv_origin[: len(pieces)][field].round(5), axis=0)) > 60, "cut boards begin elsewhere"
    assert (boards.tint == 1).all()
    plain, _ = boards_and_model(floor, 2048)
    extents = painted_boards._extents(pieces.polygons, pieces.grain, pieces.origin, pieces.size)
    ours, meant = (painted_boards._colours(each, extents, np.flatnonzero(field)) for each in (boards, plain))
    assert np.abs(ours - meant).mean() < 0.012  # of 1: about CIEDE2000 1


@pytest.mark.parametrize("scene, finish", [("room", "satin"), ("gloss", "gloss")])
def test_the_finish_is_a_highlight_of_its_width(exported, scene, finish):
    stage = Usd.Stage.Open(str(exported("--floor-only", scene=scene)[0]))
    surface = surface_of(stage, "/Floor/Model/field/boards_1")
    assert surface.GetIdAttr().Get() == "UsdPreviewSurface"
    coat, fibres = surface.GetInput("roughness").Get(), surface.GetInput("clearcoatRoughness").Get()
    assert coat == pytest.approx(load_finish(finish).roughness ** 0.5, abs=1e-4) and coat < fibres
    assert 0 < surface.GetInput("clearcoat").Get() < 1
    assert surface.GetInput("useSpecularWorkflow").Get() == surface.GetInput("metallic").Get() == 0


def test_its_textures_keep_to_the_size_asked_for(exported):
    path, said = exported()
    pixels = 0
    with zipfile.ZipFile(path) as package:
        names = package.namelist()
        assert names[0].endswith(".usdc") and all(each.compress_type == zipfile.ZIP_STORED for each in package.filelist)
        for name in names[1:]:
            size = Image.open(io.BytesIO(package.read(name))).size
            assert max(size) <= TEXTURE and f"{size[0]} x {size[1]}" in said
            pixels += size[0] * size[1]
    assert 0.4 * TEXTURE**2 < pixels <= 1.1 * TEXTURE**2  # with those of the joints


def test_the_same_floor_gives_the_same_file(exported, tmp_path):
    """Also in another time zone: a zip has the time on clocks there."""
    (tmp_path / "room.toml").write_text(ROOM, encoding="utf-8")
    again = tmp_path / "again.usdz"
    in_a_process("export", tmp_path / "room.toml", "--texture", str(TEXTURE), "--out", again, TZ="Pacific/Honolulu")
    assert again.read_bytes() == exported()[0].read_bytes()


def test_rectangles_on_shelves_lie_apart_and_within_their_page():
    rng = np.random.default_rng(8)
    for side, most in ((64, 60), (256, 60), (1000, 60)):
        size = rng.integers(4, most, (200, 2))
        pages, on, at = painted_boards.shelves(size, side)
        assert all(max(each) <= side for each in pages)
        taken = [np.zeros((tall, wide), int) for wide, tall in pages]
        for (wide, tall), page, (column, row) in zip(size, on, at, strict=True):
            taken[page][row : row + tall, column : column + wide] += 1
        assert max(each.max() for each in taken) == 1
        assert sum(each.sum() for each in taken) == size.prod(axis=1).sum()


def test_without_the_library_a_line_says_how_to_get_it(tmp_path):
    (tmp_path / "room.toml").write_text(SMALL)
    program = "import sys; sys.modules['pxr'] = None; from preview.cli import main; main()"
    ran = subprocess.run(
        [sys.executable, "-c", program, "export", tmp_path / "room.toml", "--out", tmp_path / "floor.usdz"],
        capture_output=True,
        check=False,
    )
    assert ran.returncode == 2 and MISSING.encode() in ran.stderr and ran.stderr.count(b"\n") == 1
    assert "pip install usd-core" in MISSING and [each.name for each in tmp_path.iterdir()] == ["room.toml"]
