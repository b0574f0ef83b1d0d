"""Models for other programs, read back by them: trimesh, and Khronos' own validator of glTF."""

import io
import json
import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from exported_colours import Sheet, colours_apart
from npm_packages import npm_brings
from running import SMALL, preview

from preview.export.exported import FINEST, boards_and_model, lit_model, painted_and_model
from preview.export.glb_model import glb_model, lit_glb_model
from preview.export.usdz_model import usdz_model
from preview.floor.layout import Role
from preview.picture.picture import NATURE
from preview.scene.read import load_scene, read_scene
from preview.steps import lay_jobs

VENT = """
[[vents]]
name = "A"
center = [80, 20]
size = [10, 4]
"""
ROOMS = {
    "skew": SMALL.replace("[100, 90], [0, 90]", "[96, 84], [-9, 91]"),
    "columns": SMALL.replace(
        "[floor]",
        '[[obstacles]]\nname = "post"\nkind = "column"\ncorners = [[60, 40], [70, 42], [66, 52]]\n[floor]',
    ),
    "chevron": SMALL.replace("board_width = 4", 'board_width = 4\npattern = "chevron"\nangle = 50'),
    "vent": SMALL.replace("[floor]", f"{VENT}angle = 30\n[floor]\ngap = 0.03"),
}
CLOSET = """
title = "Closet"
units = "mm"
room.corners = [[0, 0], [1500, 0], [1500, 1200], [0, 1200]]
floor.board_width = 70
border.width = 70
wood.species = "ash"
"""
VALIDATOR = "gltf-validator@2.0.0-dev.3.10"  # Khronos', Apache-2.0
KITCHEN = Path(__file__).parents[2] / "scenes" / "kitchen.toml"


@pytest.fixture(scope="module")
def text():
    return SMALL.replace("[floor]", f"{VENT}\n[floor]").replace("run = 90", "run = 90\ngap = 0.04")


@pytest.fixture(scope="module")
def floor(text):
    return lay_jobs(read_scene(text, "room.toml")[:1])[0]


@pytest.fixture(scope="module")
def glb(floor):
    return glb_model(floor, *boards_and_model(floor, 2048))


@pytest.fixture
def exported(text, tmp_path):
    """Return a function that exports that room's floor to a name, and gives the file."""

    def export(name, *options):
        (tmp_path / "room.toml").write_text(text)
        ran = preview("export", tmp_path / "room.toml", "--out", tmp_path / name, *options)
        assert ran.returncode == 0, ran.stderr
        return tmp_path / name

    return export


@pytest.mark.parametrize("unit, scale", [("mm", 1000), ("m", 1)])
@pytest.mark.parametrize("ending", ["obj", "stl", "ply"])
def test_every_piece_is_a_closed_solid_of_its_volume(exported, floor, ending, unit, scale):
    """Area less the joint times thickness, within 0.1 %, watertight, its faces outwards."""
    whole = trimesh.load(exported(f"floor.{ending}", "--unit", unit), force="mesh")
    whole.merge_vertices()
    solids = whole.split(only_watertight=False)
    assert all(each.is_watertight and each.is_winding_consistent and each.volume > 0 for each in solids)
    gap, thickness = floor.layout.board.gap, floor.layout.board.thickness
    smaller = [each.buffer(-gap / 2, join_style="mitre") for each in floor.layout.pieces.polygons]
    expected = sorted(each.area * thickness for each in smaller if not each.is_empty)
    assert len(solids) == len(expected)
    assert sorted(each.volume / scale**3 for each in solids) == pytest.approx(expected, rel=1e-3, abs=1e-8)
    assert whole.bounds[:, 2] == pytest.approx([-thickness * scale, 0], abs=1e-4 * scale)


def test_solids_say_what_they_are(exported):
    obj = exported("floor.obj").read_text()
    assert "# Box room" in obj and f"# {NATURE}" in obj and "# Lengths in mm" in obj and "Measure on site" in obj
    assert {line[2:] for line in obj.splitlines() if line.startswith("g ")} >= {"field", "border", "grilles"}
    assert exported("floor.stl").read_bytes()[:80].startswith(b"Lengths in mm")
    assert b"comment Lengths in m;" in exported("floor.ply", "--unit", "m").read_bytes()


def test_a_glb_is_in_metres_y_up_with_named_nodes(glb, floor, tmp_path):
    (tmp_path / "floor.glb").write_bytes(glb.data)
    scene = trimesh.load(tmp_path / "floor.glb")
    names = set(scene.graph.nodes)
    assert {"field", "border", "grilles", "walls", "trim"} <= names
    low, high = scene.bounds
    wide, _, deep = high - low
    plan = floor.room.outline.bounds
    assert wide >= plan[2] - plan[0] and deep >= plan[3] - plan[1] and wide < plan[2] - plan[0] + 5
    tops = scene.geometry["field"].vertices
    assert tops[:, 1].max() == pytest.approx(0, abs=1e-6)
    assert tops[:, 2].max() < 0, "north is -z"
    document = json.loads(glb.data[20 : 20 + int.from_bytes(glb.data[12:16], "little")])
    assert document["asset"]["extras"]["comment"] == NATURE
    assert max(max(wide, high) for wide, high, _ in glb.textures) <= 2048


def test_a_piece_has_the_colour_of_the_picture(glb, floor, tmp_path):
    """Of every board the mean of texture times tint, as trimesh reads it, beside the mean that pictures are drawn with,
    at the same places: CIEDE2000 under 1 in the mean."""
    (tmp_path / "floor.glb").write_bytes(glb.data)
    found = trimesh.load(tmp_path / "floor.glb", process=False).geometry
    sheets = []
    for name, mesh in found.items():
        if name.partition("_")[0] == "field" and mesh.visual.material.baseColorTexture is not None:
            image = np.asarray(mesh.visual.material.baseColorTexture.convert("RGB"))
            tint = np.asarray(mesh.visual.vertex_attributes["color"])[:, :3].astype(float) / 65535
            plan = np.column_stack([mesh.vertices[:, 0], -mesh.vertices[:, 2]])
            sheets.append(Sheet(plan, mesh.faces, np.asarray(mesh.visual.uv) * (1, -1) + (0, 1), image, tint))
    apart = colours_apart(floor.layout.pieces, boards_and_model(floor, 2048)[0], sheets)
    assert apart.mean() < 1, apart


@pytest.mark.parametrize("lit", [False, True], ids=["by itself", "lit"])
def test_one_sees_down_through_the_slots_of_a_grille(glb, floor, lit):
    """Straight down through the middle of each slot nothing lies as high as the boards' undersides."""
    data = lit_glb_model(floor, lit_model(floor, floor, 512)).data if lit else glb.data
    whole = trimesh.load(io.BytesIO(data), file_type="glb", process=False).to_geometry()
    pieces = floor.layout.pieces
    slots = [shapely.Polygon(ring) for each in pieces.polygons[pieces.role == Role.GRILLE] for ring in each.interiors]
    assert len(slots) > 3
    for slot in slots:
        x, y = slot.centroid.coords[0]
        corners = whole.triangles[..., [0, 2]] * (1, -1)
        low, high = corners.min(axis=1), corners.max(axis=1)
        near = np.flatnonzero(((low < (x, y)) & (high > (x, y))).all(axis=1))
        over = [each for each in near if shapely.Polygon(corners[each]).contains(shapely.Point(x, y))]
        heights = whole.triangles[over][..., 1].max(axis=1)
        below = heights[heights < 1]  # not the ceiling
        assert len(below) and below.max() < -0.01, below


@pytest.fixture(scope="module")
def validate(tmp_path_factory):
    """Return a function that has Khronos' validator look at a file; npm brings it, once for all tests."""
    folder = tmp_path_factory.mktemp("validator")
    npm_brings(VALIDATOR, folder, "no GLB is validated")
    script = (
        "const fs = require('fs'), v = require('gltf-validator');"
        "v.validateBytes(new Uint8Array(fs.readFileSync(process.argv[1]))).then(r => console.log(JSON.stringify(r)))"
    )

    def look(data):
        path = folder / "floor.glb"
        path.write_bytes(data)
        ran = subprocess.run(["node", "-e", script, path], cwd=folder, capture_output=True, check=True, timeout=300)
        return json.loads(ran.stdout)["issues"]

    return look


def test_khronos_validator_finds_nothing_wrong(validate, glb):
    kitchen = lay_jobs(load_scene(KITCHEN)[:1])[0]
    bare = glb_model(kitchen, *boards_and_model(kitchen, 1024), floor_only=True)
    for each in (glb, bare):
        found = validate(each.data)
        assert (found["numErrors"], found["numWarnings"]) == (0, 0), found["messages"][:5]


@pytest.mark.slow
@pytest.mark.parametrize("lit", [False, True], ids=["plain", "lit"])
@pytest.mark.parametrize("name", ["skew", "columns", "chevron", "vent"])
def test_khronos_validator_finds_nothing_wrong_in_other_rooms(validate, name, lit):
    floor = lay_jobs(read_scene(ROOMS[name], "room.toml")[:1])[0]
    if lit:
        made = lit_glb_model(floor, lit_model(floor, floor, 512))
    else:
        made = glb_model(floor, *boards_and_model(floor, 512))
    found = validate(made.data)
    assert (found["numErrors"], found["numWarnings"]) == (0, 0), found["messages"][:5]


@pytest.mark.parametrize("side", [100, pytest.param(512, marks=pytest.mark.slow)])
def test_textures_keep_to_their_bounds(floor, side):
    """Also where a hundred boards would need more than is allowed: at most so many pixels a side, all together no more
    than one such square."""
    lit = lit_model(floor, floor, side)
    made = [glb_model(floor, *boards_and_model(floor, side)), lit_glb_model(floor, lit)]
    made.append(usdz_model(floor, *painted_and_model(floor, side)))
    for each in made:
        assert sum(wide * high for wide, high, _ in each.textures) <= side**2
        assert max(max(wide, high) for wide, high, _ in each.textures) <= side


def pixels_of_a_metre(path):
    """Of a field board's edges in a GLB, how many pixels of its texture a metre has, along u and v: the least."""
    mesh = trimesh.load(path, process=False).geometry["field"]
    image = mesh.visual.material.baseColorTexture
    ends = mesh.edges_unique
    metres = np.linalg.norm(np.diff(mesh.vertices[ends], axis=1)[:, 0], axis=1)
    at = np.asarray(mesh.visual.uv) * image.size
    pixels = np.linalg.norm(np.diff(at[ends], axis=1)[:, 0], axis=1)
    return np.median((pixels / metres)[metres > 0.2])


@pytest.mark.parametrize(
    "scene, options, said, per",
    [(SMALL, (), "an inch", 0.0254), (SMALL, ("--lit",), "an inch", 0.0254), (CLOSET, (), "a millimetre", 0.001)],
    ids=["inches", "lit", "millimetres"],
)
def test_wood_that_is_coarser_than_it_is_drawn_is_told(tmp_path, scene, options, said, per):
    """In one line, by the pixels that boards have in the file; where they have as many as they can, nothing is told."""
    (tmp_path / "room.toml").write_text(scene)
    out = tmp_path / "floor.glb"

    def told(texture):
        ran = preview("export", tmp_path / "room.toml", "--out", out, "--texture", texture, *options)
        return ran.stderr.decode().splitlines()[1:]

    (line,) = told("512")
    number = r"(\d+\.?\d*)"
    words = f"preview: to keep within --texture 512, the wood has {number} pixels {said}; at its finest it has {number}"
    had, finest = (float(each) for each in re.fullmatch(words, line).groups())
    assert had == pytest.approx(pixels_of_a_metre(out) * per, rel=0.03)
    assert finest == pytest.approx(FINEST * per, rel=0.03)
    if not options:
        assert told("4096") == []
        assert pixels_of_a_metre(out) == pytest.approx(FINEST, rel=0.03)


def test_a_lit_glb_has_the_light_in_its_colours(exported, floor):
    """No material that a viewer lights; walls that are not of one colour; boards brighter before the window, which is
    in the north wall, than at the archway, and than at the foot of its wall."""
    data = exported("lit.glb", "--lit", "--texture", "512").read_bytes()
    document = json.loads(data[20 : 20 + int.from_bytes(data[12:16], "little")])
    assert all("KHR_materials_unlit" in each["extensions"] for each in document["materials"])
    assert {each["name"] for each in document["nodes"]} >= {"field", "walls", "trim", "panes"}
    scene = trimesh.load(io.BytesIO(data), file_type="glb", process=False)
    wall = np.asarray(scene.geometry["wall 1"].visual.vertex_attributes["color"])[:, :3] / 65535
    assert np.ptp(wall, axis=0).min() > 0.05
    field = scene.geometry["field"]
    image = np.asarray(field.visual.material.baseColorTexture.convert("RGB")).mean(axis=2)
    at = (np.asarray(field.visual.uv) * (1, -1) + (0, 1)) * image.shape[::-1]
    column, row = np.clip(at.astype(int), 0, np.array(image.shape[::-1]) - 1).T
    north = -field.vertices[:, 2]
    low, high, top = np.quantile(north, [0.2, 0.6, 0.8])
    near, foot, far = (north > high) & (north < top), north > north.max() - 0.1, north < low
    assert image[row, column][near].mean() > image[row, column][far].mean() + 10
    assert image[row, column][near].mean() > image[row, column][foot].mean() + 30


def test_wrong_use_is_told_in_a_line(text, tmp_path):
    (tmp_path / "room.toml").write_text(text)
    for options, words in (
        (("--out", tmp_path / "floor.fbx"), b"does not end in .glb, .usdz, .obj, .stl or .ply"),
        (("--lit", "--out", tmp_path / "floor.obj"), b"--lit"),
        (("--texture", "99999", "--out", tmp_path / "floor.glb"), b"--texture"),
        (("--variant", "No such", "--out", tmp_path / "floor.glb"), b"No such"),
    ):
        ran = preview("export", tmp_path / "room.toml", *options)
        assert ran.returncode == 2 and words in ran.stderr and ran.stderr.count(b"\n") == 1
    assert sorted(each.name for each in tmp_path.iterdir()) == ["room.toml"]
