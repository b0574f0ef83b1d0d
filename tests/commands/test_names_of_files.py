"""Each variant and each viewpoint of a scene has files of its own, whatever it is called and whatever is drawn."""

from pathlib import Path

from running import SMALL

TWINS = """
[[variants]]
name = "Wide?"
floor.board_width = 5
[[variants]]
name = "wide!"
floor.board_width = 5.5
[[variants]]
name = "Wi\\u0301de"
floor.board_width = 6
"""


def test_each_variant_has_a_file_of_its_own_one_at_a_time_too(run):
    """Cards, and a quote, of variants whose names differ in what no file name keeps; made one by one, in any order."""
    Path("room.toml").write_text(SMALL + TWINS)
    made = {}
    for variant in ("wide!", "Wíde", "Wide?"):
        for what, *options in (("card",), *([("quote", "--size", "64x40")] if variant == "Wíde" else [])):
            status, said, error = run(what, "room.toml", "--variant", variant, *options)
            assert status == 0, error
            made[variant, what] = said.strip()
    assert made["Wide?", "card"] == "previews/room--wide--card.pdf"
    assert made["wide!", "card"] == "previews/room--wide-2--card.pdf"
    assert made["Wíde", "quote"] == "previews/room--wide-3--quote.pdf"
    assert sorted(made.values()) == sorted(str(each) for each in Path("previews").iterdir())


def test_each_picture_has_a_file_of_its_own_one_at_a_time_too(run):
    views = "".join(f'[[viewpoints]]\nname = "{name}"\nkind = "plan"\n' for name in ("Plan?", "plan!"))
    Path("room.toml").write_text(SMALL + TWINS + views)
    options = ("--size", "64x40", "--out", "all")
    assert run("render", "room.toml", *options)[0] == 0
    everything = {each.name: each.read_bytes() for each in Path("all").iterdir()}
    assert len(everything) == 5 * 2
    status, said, _ = run(
        "render", "room.toml", "--variant", "wide!", "--viewpoint", "plan!", *options[:2], "--out", "one"
    )
    assert (status, said.strip()) == (0, "one/room--wide-2--plan-2.png")
    assert Path(said.strip()).read_bytes() == everything["room--wide-2--plan-2.png"]


def test_two_variants_that_look_alike_are_refused(run):
    """A name composed and the same name decomposed are one name; either finds the variant."""
    one = '[[variants]]\nname = "Ku\\u0308che"\nfloor.board_width = 5\n'
    Path("room.toml").write_text(f"{SMALL}\n{one}")
    for typed in ("Küche", "KU\u0308CHE"):
        status, _, error = run("card", "room.toml", "--variant", typed, "--out", "card.dxf")
        assert status == 0, error
    other = one.replace("u\\u0308", "ü").replace("5", "6")
    Path("room.toml").write_text(f"{SMALL}\n{one}\n{other}")
    status, _, error = run("card", "room.toml")
    assert status == 2 and 'variants[3].name: a second variant "Küche"' in error
