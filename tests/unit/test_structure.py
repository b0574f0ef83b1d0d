"""The house: each step imports from itself and from those before it, and no module leads back to itself."""

import ast
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

import preview

PACKAGE = Path(preview.__file__).parent

STEPS = [
    *(
        "version",
        "docstrings",
        "letters",
        "errors",
        "file_reading",
        "unfinished",
        "interrupts",
        "streams",
        "files",
        "data",
        "units",
        "unit_patterns",
        "vectors",
        "distinct",
        "prepared",
        "colour",
        "fresnel",
        "cache_entry",
        "cache",
        "fonts",
        "png",
    ),
    *("scene", "room", "floor", "wood", "model"),
    *("light.hemisphere", "light.coat", "light.sources", "light.geometry", "light.result", "light.solve", "light"),
    *("picture", "options"),
    *("paper.typesetting", "paper.words", "paper.plan", "paper.compare", "paper.quote", "paper.card", "paper.exports"),
    *("steps", "session", "cached_pictures", "swatches", "export", "page", "live", "batch", "commands"),
    *("terminal", "cli_options", "cli_batch", "cli"),
]
"""From the first to the last; a module belongs to the longest of these that its name begins with."""


def parsed(path):
    """The parts of a module's tree of syntax, and those of them that are read for types alone."""
    nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    tests = (each for each in nodes if isinstance(each, ast.If) and isinstance(each.test, ast.Name))
    return nodes, {id(each) for test in tests if test.test.id == "TYPE_CHECKING" for each in ast.walk(test)}


@cache
def trees():
    """What `parsed` returns of each module of the package, by name."""
    return {
        ".".join(path.relative_to(PACKAGE).with_suffix("").parts).removesuffix(".__init__"): parsed(path)
        for path in PACKAGE.rglob("*.py")
    }


def imported(with_types=False):
    """The modules of the package by name, each with those of it that it imports, at its head or later: when it runs, or
    for types alone too."""
    return {
        name: {
            node.module.removeprefix("preview.")
            for node in nodes
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("preview.")
            if with_types or id(node) not in typed
        }
        for name, (nodes, typed) in trees().items()
        if name not in ("__init__", "__main__")
    }


def step(name):
    parts = name.split(".")
    for length in range(len(parts), 0, -1):
        if ".".join(parts[:length]) in STEPS:
            return STEPS.index(".".join(parts[:length]))
    pytest.fail(f"preview/{name.replace('.', '/')} stands in no step: add it to STEPS, in its place")


def test_no_step_imports_a_later_one():
    back = [(name, other) for name, others in imported().items() for other in others if step(other) > step(name)]
    assert back == []


def test_no_module_leads_back_to_itself():
    modules = imported(with_types=True)
    try:
        TopologicalSorter({name: others & modules.keys() - {name} for name, others in modules.items()}).prepare()
    except CycleError as error:
        pytest.fail(" <- ".join(error.args[1]))


@pytest.mark.parametrize("package", ["numpy", "PIL", "trimesh", "pyrender", "typer"])
def test_the_packages_that_the_program_is_to_stand_on_are_those_it_uses(package):
    """They were fixed when the program was begun; others are added where they earn it."""
    imported = (name for path in PACKAGE.rglob("*.py") for name in _named(path))
    assert any(name.partition(".")[0] == package for name in imported)


def _named(path):
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""
