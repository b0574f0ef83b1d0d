"""Materials are data: every file loads, says where its values come from, and a firm's own folder adds to it."""

import tomllib

import pytest

from preview.data import data_folder
from preview.errors import SceneError
from preview.wood import species as materials
from preview.wood.material_types import Stain

FILES = sorted(data_folder("materials").glob("*.toml"))


def test_ten_species_load():
    names = materials.list_species()
    assert len(names) >= 10 and list(names) == sorted(names)
    for name in names:
        wood = materials.load_species(name)
        assert wood.name == name
        assert 30 < wood.main.lightness < 85 and 0 < wood.main.a < 16 and 10 < wood.main.b < 30
        assert 0 < wood.rings.width < 0.01 and wood.pores.width < wood.pores.length < 0.02


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_table_names_its_source(path):
    tables = [value for value in tomllib.loads(path.read_text("utf-8")).values() if isinstance(value, dict)]
    assert tables and all(table.get("source") for table in tables)


def test_a_file_is_named_for_its_species():
    for name in materials.list_species():
        assert (data_folder("materials") / f"{name.replace(' ', '-')}.toml").exists()


def test_estimates_are_known():
    assert "heartwood" in materials.load_species("white oak").estimates
    assert "shrinkage" not in materials.load_species("white oak").estimates


def test_alias():
    assert materials.load_species("black walnut") is materials.load_species("walnut")


def test_own_folder_adds_and_wins(tmp_path):
    text = (data_folder("materials") / "walnut.toml").read_text("utf-8")
    (tmp_path / "bog-oak.toml").write_text(text.replace('name = "walnut"', 'name = "bog oak"'), "utf-8")
    (tmp_path / "stains.toml").write_text(
        '["tea"]\nabsorption = [0.1, 0.2, 0.3]\nscatter = 0.05\npores = 1.2\nsource = "ours"\n', "utf-8"
    )
    assert set(materials.list_species(tmp_path)) == {*materials.list_species(), "bog oak"}
    assert materials.load_stain("tea", tmp_path) == Stain("tea", (0.1, 0.2, 0.3), (0.05,) * 3, 1.2)
    assert materials.load_stain("none", tmp_path).absorption == (0.0, 0.0, 0.0)


def told(load, *arguments):
    """The whole message of the error that `load` raises, with the names of folders left out."""
    with pytest.raises(SceneError) as caught:
        load(*arguments)
    assert caught.value.exit_code == 2
    return str(caught.value).replace(f"{arguments[-1]}/", "")


def test_a_broken_file_is_named(tmp_path):
    (tmp_path / "elm.toml").write_text('name = "elm"\nbotanical = \n', "utf-8")
    assert (
        told(materials.list_species, tmp_path) == "elm.toml, line 2: not valid TOML: Invalid value; correct that line"
    )


def test_a_species_of_one_line_is_told_what_to_add(tmp_path):
    (tmp_path / "elm.toml").write_text('name = "elm"\n', "utf-8")
    message = told(materials.load_species, "elm", tmp_path)
    assert message == 'elm.toml: no "botanical"; add botanical = "its botanical name"'


@pytest.mark.parametrize(
    ("written", "spoiled", "message"),
    [
        (
            "[rings]\nwidth_mm = 3.4",
            "[rings]\nwidth_mm = 0",
            "line 29: rings.width_mm: a width of rings in mm of 0; give a number between 0.1 and 50",
        ),
        (
            "[rings]\nwidth_mm = 3.4",
            '[rings]\nwidth_mm = "wide"',
            'line 29: rings.width_mm: a width of rings in mm of "wide"; give a number between 0.1 and 50',
        ),
        (
            "[heartwood]\nlab = [39, 8.5, 17]",
            "[heartwood]\nlab = [39, 8.5]",
            "line 7: heartwood.lab: an array of 2 instead of L, a and b; write 3 numbers in brackets",
        ),
        (
            "[heartwood]\nlab = [39, 8.5, 17]",
            "[heartwood]\nlab = [390, 8.5, 17]",
            "line 7: heartwood.lab[1]: L of 390; give a number between 0 and 100",
        ),
        (
            "[pores]\nwidth_mm",
            "[pores]\nwitdh_mm",
            'line 41: pores.witdh_mm: unknown key "witdh_mm"; did you mean "width_mm"?',
        ),
        ("[pores]", "[porse]", 'line 40: porse: unknown key "porse"; did you mean "pores"?'),
        (
            'shows = "heartwood"',
            'shows = "hartwood"',
            'line 21: look.shows: unknown wood of clear boards "hartwood"; did you mean "heartwood"? Accepted values: '
            '"heartwood" or "sapwood"',
        ),
        ("[density]\nkg_per_m3 = ", "[density]\n# ", 'line 78: density: no "kg_per_m3"; add kg_per_m3 = 760'),
    ],
)
def test_a_value_that_is_none_of_a_wood_is_named_with_its_place(tmp_path, written, spoiled, message):
    text = (data_folder("materials") / "walnut.toml").read_text("utf-8")
    assert text.count(written) == 1
    (tmp_path / "elm.toml").write_text(text.replace(written, spoiled), "utf-8")
    assert told(materials.load_species, "walnut", tmp_path) == f"elm.toml, {message}"


def test_glossier_is_smoother():
    by_kind = {}
    for name in materials.list_finishes():
        finish = materials.load_finish(name)
        by_kind.setdefault(finish.kind, []).append(finish)
    for finishes in by_kind.values():
        assert len(finishes) == 4
        by_gloss = sorted(finishes, key=lambda finish: finish.gloss)
        roughness = [finish.roughness for finish in by_gloss]
        assert roughness == sorted(roughness, reverse=True) and len(set(roughness)) == 4
    assert all(finish.deepening == 0 and not any(finish.amber) for finish in by_kind["water-borne"])
    assert all(finish.deepening > 0 and finish.amber[2] > finish.amber[0] for finish in by_kind["oil"])


@pytest.mark.parametrize(
    ("kind", "written", "message"),
    [
        (
            "stains",
            '["tea"]\nscatter = 0.1\npores = 1\n',
            'line 1: tea: no "absorption"; add absorption = [0.1, 0.2, 0.4]',
        ),
        (
            "stains",
            '["tea"]\nabsorption = [1, 2]\nscatter = 0\npores = 1\n',
            "line 2: tea.absorption: an array of 2 instead of red, green and blue; write 3 numbers in brackets",
        ),
        (
            "stains",
            '["tea"]\nabsorption = [1, -2, 1]\nscatter = 0\npores = 1\n',
            "line 2: tea.absorption[2]: green of -2; give a number between 0 and 20",
        ),
        (
            "stains",
            '["tea"]\nabsorption = [1, 2, 1]\nscatter = "none"\npores = 1\n',
            'line 3: tea.scatter: a scatter of "none"; give a number between 0 and 20',
        ),
        ("stains", "tea = 3\n", "line 1: tea: 3 instead of a table; give it keys: "),
        (
            "finishes",
            '["tea"]\nior = 1.5\nglos = 20\n',
            'line 3: tea.glos: unknown key "glos"; did you mean "gloss"?',
        ),
        (
            "finishes",
            '["tea"]\ngloss = 95\nior = 1.5\nkind = "oil"\ndeepening = 0\namber = [0, 0, 0]\n',
            "line 2: tea.gloss: 95 gloss units; a coat of refractive index 1.5 reads 1 to 89",
        ),
        (
            "grades",
            '["tea"]\nsapwood = 1.5\nknots = 1\nstreaks = 1\nspread = 1\n',
            "line 2: tea.sapwood: a share of boards of 1.5; give a number between 0 and 1",
        ),
    ],
)
def test_what_is_wrong_with_a_firm_s_own_is_said(tmp_path, kind, written, message):
    (tmp_path / f"{kind}.toml").write_text(written, "utf-8")
    load = {"stains": materials.load_stain, "finishes": materials.load_finish, "grades": materials.load_grade}[kind]
    assert told(load, "tea", tmp_path).startswith(f"{kind}.toml, {message}")
