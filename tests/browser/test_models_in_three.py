"""Models in a second importer, three.js in a real browser: what it reads, and what one sees."""

import io
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
import shapely
from exported_colours import difference
from looking import ARGUMENTS, opened_chromium
from npm_packages import npm_brings
from PIL import Image, ImageDraw
from running import SMALL

from preview.colour import srgb_to_linear
from preview.export.exported import boards_and_model, lit_model
from preview.export.glb_model import glb_model, lit_glb_model
from preview.floor.layout import Role
from preview.picture.view.camera import Camera
from preview.scene.read import read_scene
from preview.session.drawn import draw_views
from preview.steps import eye_cameras, lay_jobs

pytestmark = pytest.mark.slow

THREE = "three@0.187.0"  # MIT
DRAWN = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist")
UPRIGHT = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1.0]])  # from z up to y up
SUNNY = (
    SMALL.replace("[floor]", '[light]\nsky = "clear"\nsun = { latitude = 52, longitude = 0, time = %s }\n[floor]')
    % "2026-03-20T11:00:00+00:00"
)


@pytest.fixture(scope="module")
def three(tmp_path_factory):
    """The folder of three.js; npm brings it, once for all tests."""
    return npm_brings(THREE, tmp_path_factory.mktemp("three"), "no model is opened in a browser")


@pytest.fixture(scope="module")
def drawing(driver):
    """A browser that draws in three dimensions."""
    arguments = [each for each in ARGUMENTS if each != "--disable-gpu"] + list(DRAWN)
    with opened_chromium(driver, arguments) as browser:
        yield browser


def seen(three, drawing, data, camera, albedo=False):
    """A GLB as three.js shows it in a camera of ours, (h, w, 3) bytes; and the kinds of its materials."""
    kinds = {".js": "text/javascript", ".html": "text/html"}

    def serve(route):
        path = route.request.url.partition("://models.test/")[2]
        file = Path(__file__).with_name(path) if path.endswith(".html") else three / path
        if path == "model.glb":
            route.fulfill(body=data, content_type="model/gltf-binary")
        elif file.exists():
            route.fulfill(body=file.read_bytes(), content_type=kinds.get(file.suffix, "application/octet-stream"))
        else:
            route.fulfill(status=404)

    said = []
    viewport = {"width": camera.size[0], "height": camera.size[1]}
    with closing(drawing.new_context(viewport=viewport)) as context:
        page = context.new_page()
        page.on("pageerror", lambda error: said.append(str(error)))
        page.route("**/*", serve)
        page.goto("http://models.test/model_page.html")
        page.wait_for_function("window.ready")
        materials = page.evaluate(
            "camera => window.show(camera)",
            {
                "size": list(camera.size),
                "pose": (UPRIGHT @ camera.pose()).T.reshape(-1).tolist(),
                "window": [float(each) for each in camera.window()],
                "parallel": camera.fov is None,
                "albedo": albedo,
            },
        )
        picture = Image.open(io.BytesIO(page.screenshot()))
    assert said == []
    return np.asarray(picture.convert("RGB")), materials


def test_a_board_has_the_colour_of_the_picture(three, drawing):
    """Of every whole board what three.js shows of it from above without light, beside the mean that pictures are drawn
    with: CIEDE2000 under 1 in the mean."""
    floor = lay_jobs(read_scene(SMALL, "room.toml")[:1])[0]
    boards, model = boards_and_model(floor, 2048)
    low, high = np.reshape(floor.room.outline.bounds, (2, 2))
    middle, size = (low + high) / 2, (high - low) * 500
    camera = Camera(
        "above", np.array([*middle, 2.0]), np.array([*middle, 0.0]), np.array([0, 1.0, 0]), None,
        float(high[0] - low[0]), (int(size[0]), int(size[1])),
    )  # fmt: skip
    image, materials = seen(three, drawing, glb_model(floor, boards, model, floor_only=True).data, camera, albedo=True)
    assert "MeshPhysicalMaterial" in materials
    pieces, apart = floor.layout.pieces, []
    for number in np.flatnonzero((pieces.role == Role.BOARD) & pieces.whole):
        inner = shapely.get_coordinates(pieces.polygons[number].buffer(-0.008))
        on = camera.project(np.pad(inner, ((0, 0), (0, 1))))
        mask = Image.new("L", camera.size)
        ImageDraw.Draw(mask).polygon([tuple(each) for each in on], fill=1)
        shown = srgb_to_linear(image[np.asarray(mask) > 0] / 255).mean(axis=0)
        corners = shapely.get_coordinates(pieces.polygons[number])[:4]
        rng = np.random.default_rng(2).dirichlet(np.ones(len(corners)), 2000) @ corners
        off, turn = rng - pieces.origin[number], pieces.grain[number]
        within = np.column_stack([off @ [np.cos(turn), np.sin(turn)], off @ [-np.sin(turn), np.cos(turn)]])
        page = boards.pages[boards.page[number]]
        at = (boards.uv_origin[number] + boards.uv_scale[number] * within) * page.shape[1::-1]
        column, row = at.astype(int).T
        meant = srgb_to_linear(page[row, column, :3] / 255).mean(axis=0) * boards.tint[number]
        apart.append(difference(shown, meant))
    assert len(apart) > 20 and np.mean(apart) < 1, apart


@pytest.mark.parametrize("text", [SMALL, SUNNY], ids=["overcast", "sunny"])
def test_a_lit_room_looks_as_its_picture_does(three, drawing, text):
    """Walls, ceiling and trim within 3 of 255 of the picture in the mean, sunshine on them included."""
    floor = lay_jobs(read_scene(text, "room.toml")[:1])[0]
    data = lit_glb_model(floor, lit_model(floor, floor, 2048)).data
    camera = eye_cameras(floor, (600, 375))[0]
    image, materials = seen(three, drawing, data, camera)
    assert materials == ["MeshBasicMaterial"]
    ours = next(draw_views([floor], [camera], floor)).picture.rgb
    walls = slice(0, 150)
    apart = np.abs(image[walls].astype(int) - ours[walls].astype(int)).mean(axis=(1, 2))
    assert apart.mean() < 3, apart
