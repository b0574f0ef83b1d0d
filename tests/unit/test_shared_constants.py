"""Constants of Python and GLSL: each stands once, and both take it from there."""

import ast
import re
from pathlib import Path

import numpy as np
import pytest

from preview.picture import shared

PICTURE = Path(shared.__file__).parent
SHADERS = sorted((PICTURE / "shaders").iterdir())
TEXTS = {path.name: re.sub(r"//[^\n]*", "", path.read_text()) for path in SHADERS}
NAMES = sorted(shared.table())


def read(line):
    """A constant of GLSL as Python reads it: its type, name and value."""
    kind, name, written = re.fullmatch(r"const (\w+) (\w+) = (.+);", line).groups()
    return kind, name, ast.literal_eval(written.removeprefix(kind))


def test_the_header_says_what_python_has():
    found = [read(line) for line in shared.header().splitlines()]
    assert sorted(name for _, name, _ in found) == NAMES
    for kind, name, value in found:
        own = getattr(shared, name)
        assert np.array_equal(value, own), name
        assert kind == {int: "int", float: "float"}.get(type(own), "vec3"), name


def test_a_number_changed_in_python_changes_the_shaders(monkeypatch):
    monkeypatch.setattr(shared, "MAX_BEAMS", 3)
    assert "const int MAX_BEAMS = 3;\n" in shared.header()


@pytest.mark.parametrize("name", NAMES)
def test_each_is_used_by_a_shader_and_said_by_none(name):
    assert any(re.search(rf"\b{name}\b", text) for text in TEXTS.values())
    assert not any(re.search(rf"\bconst \w+ {name}\b", text) for text in TEXTS.values())


def test_no_two_shaders_name_a_constant_alike():
    """What two need stands in common.glsl or comes from Python."""
    found = [name for text in TEXTS.values() for name in re.findall(r"\bconst \w+ (\w+)", text)]
    assert len(found) == len(set(found))


def test_no_other_python_module_sets_them():
    """They are imported, wherever they are used."""
    homes = {name: 0 for name in NAMES}
    for path in PICTURE.parent.rglob("*.py"):
        for node in ast.parse(path.read_text()).body:
            targets = node.targets if isinstance(node, ast.Assign) else []
            for target in (each for one in targets for each in ast.walk(one) if isinstance(each, ast.Name)):
                homes[target.id] = homes.get(target.id, 0) + 1
    assert {name: homes[name] for name in NAMES} == dict.fromkeys(NAMES, 1)
