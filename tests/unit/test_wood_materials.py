"""Materials are data: every file loads, says where its values come from, and a firm's own folder adds to it."""

import tomllib

import pytest

from preview.data import data_folder
from preview.errors import UsageError
from preview.wood import species as materials
from preview.wood.species import Stain

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


def test_a_broken_file_is_named(tmp_path):
    (tmp_path / "elm.toml").write_text("name = \n", "utf-8")
    with pytest.raises(UsageError, match=r"elm\.toml: this material can't be read"):
        materials.list_species(tmp_path)
    (tmp_path / "elm.toml").write_text('name = "elm"\n', "utf-8")
    with pytest.raises(UsageError, match=r"elm\.toml: this species is not complete: no 'look'"):
        materials.load_species("elm", tmp_path)


@pytest.mark.parametrize(
    ("written", "spoiled", "told"),
    [
        ("[rings]\nwidth_mm = 3.4", "[rings]\nwidth_mm = 0", "rings.width_mm is 0; it must be more than 0"),
        ("[rings]\nwidth_mm = 3.4", '[rings]\nwidth_mm = "wide"', "rings.width_mm is 'wide', not a number"),
        ("[heartwood]\nlab = [39, 8.5, 17]", "[heartwood]\nlab = [39, 8.5]", "it takes three numbers: L, a and b"),
    ],
)
def test_a_value_that_will_not_do_is_named(tmp_path, written, spoiled, told):
    text = (data_folder("materials") / "walnut.toml").read_text("utf-8")
    assert written in text
    (tmp_path / "elm.toml").write_text(text.replace(written, spoiled), "utf-8")
    with pytest.raises(UsageError, match=told):
        materials.load_species("elm", tmp_path)


def test_a_stray_key_is_named(tmp_path):
    text = (data_folder("materials") / "walnut.toml").read_text("utf-8")
    (tmp_path / "elm.toml").write_text(text.replace("[pores]", "[pores]\ncolour_mm = 3"), "utf-8")
    with pytest.raises(UsageError, match="colour"):
        materials.load_species("elm", tmp_path)


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
    "kind, text, words",
    [
        (
            "stains",
            '["tea"]\nscatter = 0.1\npores = 1\n',
            r'stains\.toml: \["tea"\] lacks the key \'absorption\'; such as a',
        ),
        (
            "stains",
            '["tea"]\nabsorption = [1, 2]\nscatter = 0\npores = 1\n',
            r'stains\.toml: \["tea"\] not enough values',
        ),
        ("stains", '["tea"]\nabsorption = [1, -2, 1]\nscatter = 0\npores = 1\n', "none may be negative"),
        ("finishes", '["tea"]\nior = 1.5\n', r'finishes\.toml: \["tea"\] lacks the key \'gloss\'; such as gloss = 35'),
        (
            "finishes",
            '["tea"]\ngloss = 95\nior = 1.5\nkind = "oil"\ndeepening = 0\namber = [0, 0, 0]\n',
            "95 gloss units; a coat of refractive index 1.5 reads 1 to 89",
        ),
    ],
)
def test_what_is_wrong_with_a_firm_s_own_is_said(tmp_path, kind, text, words):
    (tmp_path / f"{kind}.toml").write_text(text, "utf-8")
    load = materials.load_stain if kind == "stains" else materials.load_finish
    with pytest.raises(UsageError, match=words):
        load("tea", tmp_path)
