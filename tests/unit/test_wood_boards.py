"""Boards are cut from a seeded stock: no two alike, repeatable, keeping their look, inside their strips."""

import dataclasses

import colour
import numpy as np
import pytest
import shapely

from preview.colour import lab_to_linear, linear_to_srgb
from preview.errors import UsageError
from preview.floor.layout import Board, Layout, Pieces, Role
from preview.scene.job import WoodChoice
from preview.wood.boards import cut_boards
from preview.wood.film import finished
from preview.wood.species import load_finish, load_grade, load_species, load_stain
from preview.wood.stock import BUDGET, MAX_PAGE, Rack, choose_density, pixels, shelve, strip_size
from preview.wood.strip import Timber

pytestmark = pytest.mark.usefixtures("own_cache")

OAK = WoodChoice("white oak", "plainsawn", "select", "none", "satin", 7)
WALNUT = WoodChoice("walnut", "quartersawn", "select", "none", "matt", 7)


def rectangles(role, size, keys):
    """Return pieces of one role and size, one for each key, side by side."""
    keys = np.asarray(keys, dtype=np.int32).reshape(-1, 2)
    n, (length, width) = len(keys), size
    low = np.arange(n) * width
    return Pieces(
        polygons=shapely.box(np.zeros(n), low, np.full(n, length), low + width),
        role=np.full(n, role, dtype=np.int8),
        course=np.zeros(n, dtype=np.int32),
        grain=np.zeros(n),
        origin=np.stack([np.zeros(n), low], axis=-1),
        size=np.tile([length, width], (n, 1)).astype(float),
        whole=np.ones(n, dtype=bool),
        key=keys,
        hand=np.full(n, -1, dtype=np.int8),
        skew=np.zeros(n),
    )


def join(*groups):
    return Pieces(*(np.concatenate([getattr(g, f.name) for g in groups]) for f in dataclasses.fields(Pieces)))


def lay(pieces, beyond=None):
    """Return a layout of which only the pieces matter."""
    empty = rectangles(Role.BOARD, (1, 1), np.zeros((0, 2)))
    segment = np.zeros((2, 2))
    return Layout(
        title="", variant="", board=Board(0.1, 0.5, 0.019, 0.0), run=0.0, count=1, course_width=0.35,
        center_line=segment, lines=(), chalk_offset=0.0, first=(),
        border_line=0.1, border_width=0.1, field=shapely.box(0, 0, 1, 1), pieces=pieces, slots=(),
        beyond=empty if beyond is None else beyond, measures={},
        warnings=(),
    )  # fmt: skip


def keys(n):
    return [(i // 10, i % 10) for i in range(n)]


def floor(n=40):
    return join(
        rectangles(Role.BOARD, (0.3, 0.08), keys(n)),
        rectangles(Role.BORDER, (1.2, 0.1), keys(3)),
        rectangles(Role.THRESHOLD, (0.8, 0.16), keys(1)),
        rectangles(Role.GRILLE, (0.25, 0.018), keys(6)),
    )


def patch(boards, number, size, step=0.01):
    """Return the albedo (k, l, 3) linear RGB of a piece as it would be drawn, at points `step` metres apart."""
    s, t = np.meshgrid(np.arange(0, size[0], step), np.arange(0, size[1], step))
    page = boards.pages[boards.page[number]]
    uv = boards.uv_origin[number] + boards.uv_scale[number] * np.stack([s, t], axis=-1)
    place = np.clip((uv * page.shape[1::-1]).astype(int), 0, np.array(page.shape[1::-1]) - 1)
    return (page[place[..., 1], place[..., 0], :3] / 255.0) ** 2.2 * boards.tint[number]


@pytest.fixture(scope="module")
def cut():
    pieces = floor()
    return pieces, cut_boards(lay(pieces, rectangles(Role.BOARD, (0.3, 0.08), [(50, 1), (51, 2)])), OAK, WALNUT)


def test_every_piece_has_a_place(cut):
    pieces, boards = cut
    count = len(pieces) + 2
    assert boards.page.shape == (count,)
    assert boards.uv_origin.shape == boards.uv_scale.shape == (count, 2)
    assert boards.tint.shape == (count, 3)
    assert boards.finish.name == "satin" and boards.border_finish.name == "matt"
    assert boards.border_albedo.mean() < boards.mean_albedo.mean()  # walnut is the darker wood
    assert all(page.dtype == np.uint8 and max(page.shape) <= MAX_PAGE for page in boards.pages)


def test_a_feature_strip_is_of_its_own_wood_and_counts_with_the_border_by_area():
    teak = dataclasses.replace(WALNUT, species="teak", finish="gloss")
    pieces = join(floor(), rectangles(Role.STRIP, (1.0, 0.05), keys(6)))
    boards = cut_boards(lay(pieces), OAK, WALNUT, strip_wood=teak)
    assert [each.name for each in boards.finishes] == ["satin", "matt", "gloss"]
    alone = cut_boards(lay(rectangles(Role.BORDER, (1.0, 0.05), keys(6))), OAK, teak)
    strip = [patch(boards, i, (1.0, 0.05)).mean(axis=(0, 1)) for i in np.flatnonzero(pieces.role == Role.STRIP)]
    assert np.mean(strip, axis=0) == pytest.approx(alone.border_albedo, rel=0.12)  # other boards of one wood
    border = cut_boards(lay(floor()), OAK, WALNUT).border_albedo
    areas = 3 * 1.2 * 0.1, 6 * 1.0 * 0.05
    mean = (areas[0] * border + areas[1] * np.mean(strip, axis=0)) / sum(areas)
    assert boards.border_albedo == pytest.approx(mean, rel=0.03)


def test_windows_stay_on_drawn_wood(cut):
    """A window and a margin of half a gutter round it lie on wood: nothing is left black between strips."""
    pieces, boards = cut
    for i in range(len(pieces)):
        page = boards.pages[boards.page[i]]
        ends = np.stack([boards.uv_origin[i], boards.uv_origin[i] + boards.uv_scale[i] * pieces.size[i]])
        assert (ends >= 0).all() and (ends <= 1).all()
        pixels = ends * page.shape[1::-1]
        (left, top), (right, bottom) = pixels.min(axis=0), pixels.max(axis=0)
        assert abs((right - left) / boards.density - pieces.size[i, 0]) < 1e-3
        assert left >= 4 and top >= 4
        window = page[int(top) - 4 : int(bottom) + 4, int(left) - 4 : int(right) + 4]
        assert window[..., :3].max(axis=-1).min() > 5


def test_no_two_boards_alike(cut):
    _, boards = cut
    looks = [patch(boards, i, (0.3, 0.08)) for i in range(40)]
    gaps = [np.abs(a - b).mean() for i, a in enumerate(looks) for b in looks[:i]]
    assert min(gaps) > 0.004


def test_same_seed_same_bytes_other_seed_other_boards(cut):
    pieces, boards = cut
    beyond = rectangles(Role.BOARD, (0.3, 0.08), [(50, 1), (51, 2)])
    again = cut_boards(lay(pieces, beyond), OAK, WALNUT)
    for name in ("page", "uv_origin", "uv_scale", "tint"):
        assert getattr(again, name).tobytes() == getattr(boards, name).tobytes()
    assert [p.tobytes() for p in again.pages] == [p.tobytes() for p in boards.pages]
    other = cut_boards(lay(pieces, beyond), dataclasses.replace(OAK, seed=8), WALNUT)
    assert not np.array_equal(other.tint[:40], boards.tint[:40])


def test_a_board_keeps_its_look_when_others_come_and_go(cut):
    """What a moved centre line does: boards change their place in the array, some go and new ones come."""
    _, boards = cut
    moved = cut_boards(lay(rectangles(Role.BOARD, (0.3, 0.08), keys(44)[::-1][:40])), OAK, WALNUT)
    for new, key in enumerate(keys(44)[::-1][:40]):
        if key in keys(40):
            old = keys(40).index(key)
            assert np.allclose(patch(moved, new, (0.3, 0.08)), patch(boards, old, (0.3, 0.08)), atol=1e-6)


def test_density_falls_until_pages_stay_within_the_budget():
    timber = Timber(load_species("white oak"), "plainsawn", load_grade("select"), load_stain("none"), 7)
    small = [Rack(0, strip_size(0.5, 0.1), timber, tuple(range(32)))]
    large = [
        Rack(0, strip_size(0.56, 0.127), timber, tuple(range(256))),
        Rack(64, (2.4, 0.11), timber, tuple(range(32))),
    ]
    endless = [Rack(0, strip_size(30.0, 0.1), timber, (0,))]
    assert choose_density(small) == 2000
    for racks in (large, endless):
        density = choose_density(racks)
        assert 100 < density < 2000
        total = 0
        for rack in racks:
            sizes, page, corner = shelve(len(rack.items), *pixels(rack, density))
            total += sum(4.75 * width * height for width, height in sizes)
            assert max(max(size) for size in sizes) <= MAX_PAGE
            assert len({(*place, number) for *place, number in zip(*corner.T, page, strict=True)}) == len(rack.items)
        assert total <= BUDGET


@pytest.mark.parametrize("name", ["white oak", "walnut"])
@pytest.mark.parametrize("sawn", ["plainsawn", "quartersawn"])
def test_mean_colour_is_the_species_own(name, sawn):
    """Within 2.0 CIEDE2000 of the value in the material's file, by colour-science."""
    wood = WoodChoice(name, sawn, "select", "none", "satin", 3)
    boards = cut_boards(lay(rectangles(Role.BOARD, (0.4, 0.08), keys(60))), wood, wood)
    xyz = colour.RGB_to_XYZ(boards.mean_albedo, "sRGB", apply_cctf_decoding=False)
    lab = colour.XYZ_to_Lab(xyz, colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"])
    assert colour.delta_E(lab, np.array(load_species(name).main), method="CIE 2000") < 2.0


def test_colour_conversion_agrees_with_colour_science():
    lab = np.array([[65, 7, 22], [40, 8, 15], [82, 3, 18], [10, 2, 3]], dtype=float)
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    expected = colour.XYZ_to_sRGB(colour.Lab_to_XYZ(lab, white))
    assert np.allclose(linear_to_srgb(lab_to_linear(lab)), expected, atol=2e-3)  # rounding of the published matrices


def test_stain_darkens_by_its_film():
    plain = lab_to_linear(np.array(load_species("white oak").main))
    boards = cut_boards(
        lay(rectangles(Role.BOARD, (0.3, 0.08), keys(20))), dataclasses.replace(OAK, stain="dark"), WALNUT
    )
    film = finished(plain, load_stain("dark"), load_finish("satin"))
    assert (film < 0.4 * plain).all()
    assert np.allclose(boards.mean_albedo, film, rtol=0.2)  # boards differ, and pores hold more of it


@pytest.mark.parametrize(
    "change, words",
    [
        ({"species": "white oka"}, 'no species is called "white oka"; did you mean "white oak"?'),
        ({"grade": "best"}, 'no grade is called "best"; accepted: "common", "rustic" or "select"'),
        ({"stain": "pink"}, 'no stain is called "pink"'),
        ({"finish": "wet"}, 'no finish is called "wet"'),
    ],
)
def test_unknown_names_list_the_known(change, words):
    with pytest.raises(UsageError) as fault:
        cut_boards(lay(floor()), dataclasses.replace(OAK, **change), WALNUT)
    assert words in str(fault.value)
