"""One term, one thing: what a name stands for is plain without knowing in which folder it was read."""

import ast
from collections import defaultdict
from pathlib import Path

import preview

PACKAGE = Path(preview.__file__).parent
MODULES = sorted(each for each in PACKAGE.rglob("*.py") if each.name != "__init__.py")


def shared(names):
    """The names that stand for more than one thing, each with where it stands: pairs of a name and a thing."""
    found = defaultdict(set)
    for name, thing in names:
        found[name].add(thing)
    return {name: sorted(things) for name, things in found.items() if len(things) > 1}


def types_of(path):
    """Every class of a module, and every alias of a type, by its definition: arrays of one kind may be named twice."""
    where = str(path.relative_to(PACKAGE))
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name.lstrip("_"), where
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name = node.targets[0].id.lstrip("_")
            if name[:1].isupper() and not name.isupper():
                yield name, ast.unparse(node.value)


def test_no_two_classes_and_no_two_type_aliases_share_a_name():
    assert shared(pair for path in MODULES for pair in types_of(path)) == {}


def test_no_two_modules_share_a_name():
    assert shared((path.stem, str(path.relative_to(PACKAGE))) for path in MODULES) == {}


def test_twins_are_found(tmp_path, monkeypatch):
    monkeypatch.setitem(globals(), "PACKAGE", tmp_path)
    for name, text in (
        ("a.py", "class Face: ...\nRow = tuple[str]\n"),
        ("b.py", "class _Face: ...\nRow = tuple[int]\n"),
    ):
        (tmp_path / name).write_text(text)
    found = shared(pair for name in ("a.py", "b.py") for pair in types_of(tmp_path / name))
    assert set(found) == {"Face", "Row"}
