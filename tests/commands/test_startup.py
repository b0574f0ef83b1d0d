"""Start-up is quick because nothing heavy is loaded, and the public names are the ones meant."""

import subprocess
import sys

import pytest
from running import ROOT, SCENES, in_a_process, preview

HEAVY = ("pyrender", "trimesh", "scipy", "OpenGL", "matplotlib")


def loaded(code: str) -> set[str]:
    script = f"import sys\ntry:\n    {code}\nexcept SystemExit:\n    pass\nprint(*sys.modules, file=sys.stderr)"
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=ROOT, timeout=60, check=True
    )
    return {name.split(".")[0] for name in ran.stderr.split()}


@pytest.mark.parametrize(
    "arguments", [["--help"], ["check", str(SCENES / "dining-room.toml")], ["lay", str(SCENES / "dining-room.toml")]]
)
def test_no_heavy_module_is_loaded(arguments):
    found = loaded(f"from preview.cli import app; app({arguments!r})")
    assert "preview" in found
    assert not found & set(HEAVY)


def test_help_loads_no_arrays_either():
    assert not loaded("from preview.cli import app; app(['--help'])") & {"numpy", "shapely", "PIL"}
    assert not loaded("import preview") & {"numpy", "shapely", "PIL", "typer"}


@pytest.mark.parametrize("command", ["check", "lay", "render", "compare", "demo", "new"])
def test_help_shows_an_example(command):
    ran = preview(command, "--help")
    assert ran.returncode == 0 and f"preview {command}" in ran.stdout.decode().split("Example")[1]


def test_no_command_shows_help():
    ran = in_a_process()
    assert "Usage" in (ran.stdout + ran.stderr).decode()


def test_version():
    import preview as package

    assert in_a_process("--version").stdout.decode().strip() == f"preview {package.__version__}"


def test_public_names():
    import preview as package

    assert package.__all__ == ["__version__", "lay", "load", "render"]
    assert all(hasattr(package, name) for name in package.__all__)
    with pytest.raises(AttributeError):
        _ = package.nonsense


def test_three_lines_from_a_scene_to_a_layout():
    import preview as package

    jobs = package.load(SCENES / "dining-room.toml")
    layout = package.lay(jobs[0])
    assert (layout.variant, len(jobs)) == ("On the room", 3)


def test_three_lines_from_a_scene_to_a_picture(tmp_path):
    import preview as package

    picture = package.render(package.load(SCENES / "dining-room.toml")[0], "plan", (160, 100))
    assert picture.rgb.shape[0] == 100 and picture.rgb.shape[1] <= 160 and picture.camera.name == "plan"


def test_what_nobody_foresaw_is_one_line(tmp_path):
    """A fault of the program's own reaches the user as a line, and as a traceback where it is asked for."""
    scene = tmp_path / "a.toml"
    scene.write_text("")
    code = (
        "from preview.commands import look\n"
        "def broken(*_): raise ZeroDivisionError('a fault')\n"
        "look.check_scene = broken\n"
        "import sys; sys.argv = ['preview', 'check', 'a.toml']\n"
        "from preview.cli import main; main()"
    )
    import os

    for debug, lines in (("", 1), ("1", 5)):
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PREVIEW_DEBUG": debug}
        ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment, timeout=60)
        assert ran.returncode == 1
        assert "ZeroDivisionError: a fault" in ran.stderr
        assert (len(ran.stderr.splitlines()) == 1) is (lines == 1)
        assert ("Traceback" in ran.stderr) is (debug == "1")
