"""Swatches have the colours of their materials, and the sheet holds what there is.

Colour differences by colour-science, itself held to pairs of G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000
color-difference formula", Color Res. Appl. 30(1), 2005, table 1.
"""

import io
from dataclasses import replace

import colour
import numpy as np
import pypdfium2
import pytest
from PIL import Image
from scipy.ndimage import gaussian_filter

from preview.colour import lab_to_linear, srgb_to_linear
from preview.scene.job import WoodChoice
from preview.swatches.panels import HEIGHT, WIDTH, draw_panels
from preview.swatches.sheens import draw_sheens
from preview.swatches.sheet import CUTS, Swatches, sheet_pdf, sheet_png, swatch_count
from preview.wood.film import finished
from preview.wood.species import list_finishes, list_species, list_stains, load_finish, load_species, load_stain

D65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
SHARMA = [
    ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
    ((50, 2.8361, -74.02), (50, 0, -82.7485), 3.4412),
    ((50, -1.3802, -84.2814), (50, 0, -82.7485), 1.0000),
    ((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
    ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize("one, two, apart", SHARMA)
def test_colour_science_has_the_published_differences(one, two, apart):
    assert colour.delta_E(np.array(one), np.array(two), method="CIE 2000") == pytest.approx(apart, abs=1e-4)


def seen(picture):
    """Return the mean colour of a picture in CIELAB, D65 and 2 degrees."""
    linear = srgb_to_linear(picture / 255).reshape(-1, 3).mean(axis=0)
    return colour.XYZ_to_Lab(colour.RGB_to_XYZ(linear, "sRGB", apply_cctf_decoding=False), D65)


SEEDS = (7, 8, 9)  # five boards are few to have the mean colour of a wood that varies


def wood(species, stain="none", finish="satin", seed=7):
    return WoodChoice(species, "plainsawn", "select", stain, finish, seed)


@pytest.fixture(scope="module")
def panels():
    """A picture of each species: panels of every seed beside each other."""
    names = list_species()
    drawn = draw_panels([wood(name, seed=seed) for name in names for seed in SEEDS], 160)
    count = len(SEEDS)
    return {name: np.hstack(drawn[count * n : count * (n + 1)]) for n, name in enumerate(names)}


@pytest.mark.parametrize("name", list_species())
def test_a_drawn_swatch_has_its_wood_s_colour(panels, name):
    """Within CIEDE2000 2.0 of the value in the material's file, joints and the boards' own tones included."""
    picture = panels[name]
    assert picture.shape[1] == 160 * len(SEEDS) and picture.shape[0] == pytest.approx(160 * HEIGHT / WIDTH, abs=5)
    assert colour.delta_E(seen(picture), np.array(load_species(name).main), method="CIE 2000") < 2.0


def test_stains_and_oil_are_drawn_as_their_films_have_it():
    stained = [wood("white oak", stain) for stain in list_stains() if stain != "none"]
    oiled = wood("white oak", finish="oil satin")
    base = lab_to_linear(np.array(load_species("white oak").main))
    for each, picture in zip([*stained, oiled], draw_panels([*stained, oiled], 160), strict=True):
        linear = finished(base, load_stain(each.stain), load_finish(each.finish))
        meant = colour.XYZ_to_Lab(colour.RGB_to_XYZ(linear, "sRGB", apply_cctf_decoding=False), D65)
        # Pores hold more of a stain, which the film over the mean colour leaves out.
        assert colour.delta_E(seen(picture), meant, method="CIE 2000") < 5.0, each.stain


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [("beech", "birch", 6), ("beech", "hard maple", 8), ("birch", "hard maple", 2.5), ("hickory", "birch", 6)],
)
def test_woods_without_large_pores_are_told_apart_by_colour(panels, one, other, apart):
    assert colour.delta_E(seen(panels[one]), seen(panels[other]), method="CIE 2000") > apart


def test_hickory_shows_brown_and_white_wood_on_one_board():
    """As red oak, which it is nearest to in colour, doesn't: a pale edge beside brown."""

    def palest_rows(name):
        drawn = draw_panels([wood(name, seed=seed) for seed in range(4)], 160)
        rows = np.concatenate([picture.mean(axis=(1, 2)) for picture in drawn])
        return np.quantile(rows, 0.98) - np.median(rows)

    assert palest_rows("hickory") > 1.5 * palest_rows("red oak")


@pytest.mark.slow
def test_sheens_are_told_apart_and_nothing_is_burnt_out():
    """Under gloss the window's edge on the floor is sharp, under matt soft; no part of either is blank."""
    drawn = draw_sheens(("matt", "gloss"), "white oak", (374, 250))
    assert max(each.max() for each in drawn) < 252
    grey = [gaussian_filter(each.mean(axis=-1), 2) for each in drawn]
    edge = [np.quantile(abs(np.diff(each, axis=1)), 0.995) for each in grey]
    assert edge[1] > 1.3 * edge[0]


def made_up():
    """Swatches each of one colour of its own."""
    colours = iter(range(1, 10_000))

    def plain(height, width):
        number = next(colours)
        return np.full((height, width, 3), (number % 256, number // 256, 7), dtype=np.uint8)

    names = list_species()
    return Swatches(
        tuple(load_species(name) for name in names),
        [{cut: plain(303, 485) for cut in CUTS} for _ in names],
        [{stain: plain(303, 485) for stain in list_stains()} for _ in names],
        [{kind: plain(303, 485) for kind in ("water-borne", "oil")} for _ in names],
        {finish: plain(500, 748) for finish in list_finishes()},
        "white oak",
        None,
    )


def test_the_sheet_shows_every_panel():
    swatches = made_up()
    with Image.open(io.BytesIO(sheet_png(swatches))) as sheet:
        assert sheet.text["Title"] == "Woods, stains and sheens" and "natural material" in sheet.text["Comment"]
        pixels = np.asarray(sheet)[::8, ::8].astype(int)
    found = set(np.unique(pixels @ [1, 256, 65536]))
    groups = [*swatches.cuts, *swatches.stains, *swatches.tones, swatches.sheens]
    shown = {int(picture[0, 0] @ np.array([1, 256, 65536])) for each in groups for picture in each.values()}
    assert len(shown) == 10 * (len(CUTS) + len(list_stains()) + 2) + len(list_finishes()) and shown <= found
    assert swatch_count() == len(list_species()) + len(list_finishes())


@pytest.mark.slow
def test_panels_keep_their_pixels():
    """A panel moved by a part of a pixel, or made a pixel larger, would be blurred."""
    swatches, noise = made_up(), np.random.default_rng(3)
    groups = [swatches.cuts[0], swatches.stains[1], swatches.tones[-1], swatches.sheens]
    for group in groups:
        for name, picture in group.items():
            group[name] = noise.integers(0, 256, picture.shape).astype(np.uint8)
    page = np.asarray(Image.open(io.BytesIO(sheet_png(swatches))))
    codes = page.astype(np.int32) @ (1 << 16, 1 << 8, 1)
    for group in groups:
        for picture in group.values():
            starts = np.argwhere(codes == picture[0, 0].astype(np.int32) @ (1 << 16, 1 << 8, 1))
            assert any(np.array_equal(page[y : y + 150, x : x + 230], picture[:150, :230]) for y, x in starts)


def test_the_pdf_has_a_page_for_each_part_and_every_name_is_text():
    swatches = made_up()
    hostile = "#panic() *oak* <b>"
    swatches = replace(swatches, species=(replace(swatches.species[0], name=hostile), *swatches.species[1:]))
    document = pypdfium2.PdfDocument(sheet_pdf(swatches))
    assert len(document) == 4 and document.is_tagged()
    assert document[0].get_width() == pytest.approx(11 * 72, abs=1)
    first, second, stains, sheens = (" ".join(page.get_textpage().get_text_range().split()) for page in document)
    cuts = f"{first} {second}"
    for each in swatches.species:
        assert each.name in cuts and each.botanical in cuts and each.name in stains and each.name in sheens
    assert all(cuts.count(cut) >= len(swatches.species) for cut in CUTS)
    assert all(stain in stains for stain in ("no stain", *swatches.stains[0]) if stain != "none")
    assert all(f"{name} {load_finish(name).kind}" in sheens for name in list_finishes())
