"""What is cached is found again only by the program that made it: its text, its data, its libraries, its driver."""

import ast
import shutil
import sys
from dataclasses import replace
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

import preview
from preview import cache, cached_pictures
from preview.light import bake
from preview.model.build import build_model
from preview.scene import read_scene
from preview.scene.job import LightChoice
from preview.steps import lay_jobs
from preview.wood import stock
from preview.wood.boards import cut_boards
from tests.unit import model_values

PACKAGE = Path(preview.__file__).parent
MATERIALS = PACKAGE.parent / "materials"
SCENE = (
    'units = "mm"\nroom.walk = ["E 3000", "N 2000", "W 3000", "S 2000"]\nfloor.board_width = 90\n'
    'wood.species = "white oak"\nviewpoints = [{ name = "plan", kind = "plan" }]\n'
)
COMMANDS_ONLY = {
    *("typer", "rich", "tomlkit", "platformdirs", "ezdxf", "jinja2", "starlette", "uvicorn", "anyio", "segno"),
    *("openexr", "usd-core", "distributed"),
}
"""Libraries that have no part in what is cached: the command line, scenes written out, where the cache lies, DXF, the
customer's page, models for phones, the server, the cluster."""


class Found(Exception):
    """The key under which something is looked up, in place of the thing itself."""


@pytest.fixture
def keys(monkeypatch):
    """A function that returns the keys of light, wood and pictures as the program would look them up now."""

    def looked_up(key, *_):
        raise Found(key)

    for module in (bake, stock, cached_pictures):
        monkeypatch.setattr(module, "cached", looked_up)
    floor = lay_jobs(read_scene(SCENE, "room.toml"))[0]
    model = build_model(floor.room, floor.layout, model_values.boards(floor.layout))
    overcast = LightChoice("overcast", None, "auto")

    def now(job=floor.job):
        cache.program_version.cache_clear()
        calls = {
            "light": lambda: bake.light_room(model, floor.room, overcast),
            "wood": lambda: cut_boards(floor.layout, job.wood, job.border_wood, finest=200.0),
            "pictures": lambda: cached_pictures.cached_pictures(
                replace(floor, job=job), ["plan"], (160, 100), replace(floor, job=job)
            ),
        }
        found = {}
        for kind, call in calls.items():
            with pytest.raises(Found) as raised:
                call()
            found[kind] = str(raised.value)
        return found

    yield now
    cache.program_version.cache_clear()
    cached_pictures.gl_driver.cache_clear()


def all_changed(before, after):
    return all(before[kind] != after[kind] for kind in before)


def edited(path):
    """Add a blank line to a file; return its bytes as they were."""
    content = path.read_bytes()
    path.write_bytes(content + b"\n")
    return content


def test_a_file_edited_in_any_folder_changes_every_key(keys, tmp_path, monkeypatch):
    """One file of each folder of the package, and of the materials, in a copy of both."""
    copy, materials = tmp_path / "preview", tmp_path / "materials"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(MATERIALS, materials)
    monkeypatch.setattr(cache, "PACKAGE", copy)
    monkeypatch.setattr(cache, "data_folder", lambda name: tmp_path / name)
    before = keys()
    folders = sorted({path.parent for root in (copy, materials) for path in root.rglob("*") if path.is_file()})
    assert {"light", "solve", "wood", "picture", "shaders", "scene", "paper", "materials"} <= {f.name for f in folders}
    for folder in folders:
        path = max((each for each in folder.iterdir() if each.is_file()), key=lambda each: each.stat().st_size)
        content = edited(path)
        assert all_changed(before, keys()), path
        path.write_bytes(content)
    assert keys() == before
    (copy / "wood" / "log.py").rename(copy / "wood" / "bole.py")
    assert all_changed(before, keys())


def test_what_python_compiles_is_no_change(keys, tmp_path, monkeypatch):
    copy = tmp_path / "preview"
    shutil.copytree(PACKAGE, copy)
    monkeypatch.setattr(cache, "PACKAGE", copy)
    before = keys()
    (copy / "wood" / "__pycache__").mkdir(exist_ok=True)
    (copy / "wood" / "__pycache__" / "more.cpython-311.pyc").write_bytes(b"compiled")
    assert keys() == before


@pytest.mark.parametrize("name", cache.COMPUTED_WITH)
def test_another_release_of_a_library_changes_every_key(keys, monkeypatch, name):
    before = keys()
    real = cache.version
    monkeypatch.setattr(cache, "version", lambda each: "0" if each == name else real(each))
    assert all_changed(before, keys())


def test_another_python_changes_every_key(keys, monkeypatch):
    before = keys()
    monkeypatch.setattr(sys, "version", "3.99.0")
    assert all_changed(before, keys())


def test_every_library_that_the_package_imports_counts_or_is_said_not_to():
    imported = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [each.name for each in node.names] if isinstance(node, ast.Import) else []
            names += [node.module] if isinstance(node, ast.ImportFrom) and node.module and not node.level else []
            imported |= {name.split(".")[0] for name in names}
    others = imported - set(sys.stdlib_module_names) - {"preview"}
    by_import = packages_distributions()
    found = {name.casefold() for module in others for name in by_import.get(module, [module])}
    assert found <= {name.casefold() for name in (*cache.COMPUTED_WITH, *COMMANDS_ONLY)}
    assert {"numpy", "scipy", "embreex", "ephem", "pyrender"} <= found  # the scan sees imports inside functions too


def test_another_driver_changes_the_key_of_pictures_alone(keys, monkeypatch):
    from preview.picture.device import engine

    before = keys()
    monkeypatch.setattr(engine.Context, "driver", lambda self: "Another maker, another card, 4.6")
    cached_pictures.gl_driver.cache_clear()
    after = keys()
    assert after["pictures"] != before["pictures"]
    assert (after["light"], after["wood"]) == (before["light"], before["wood"])


def test_the_driver_says_its_maker_name_and_release():
    from preview.picture.draw import gl_driver

    maker, *_, release = gl_driver().split(", ")
    assert maker and release[0].isdigit()


def test_a_firm_s_own_materials_change_the_key_of_pictures(keys, tmp_path):
    (tmp_path / "stains.toml").write_text("# ours\n")
    job = replace(lay_jobs(read_scene(SCENE, "room.toml"))[0].job, materials=tmp_path)
    before = keys(job)
    (tmp_path / "stains.toml").write_text("# ours, corrected\n")
    assert keys(job)["pictures"] != before["pictures"]
