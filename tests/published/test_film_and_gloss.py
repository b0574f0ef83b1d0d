"""Stain, oil and gloss against closed forms and published values.

Kubelka-Munk: P. Kubelka and F. Munk 1931, and the hyperbolic form of P. Kubelka, J. Opt. Soc. Am. 38, 448 (1948), from
memory. Even light: J. Lekner and M. C. Dorf, Appl. Opt. 27, 1278 (1988). Gloss: ISO 2813:2014 and ASTM D523, 100 units
are polished black glass of n = 1.567.
"""

import numpy as np
import pytest
from even_light import mean_fresnel

from preview.fresnel import fresnel
from preview.wood.film import above_coat, below_coat, deepened, finished, turned_back, under_film
from preview.wood.gloss import coat_alpha, gloss_units
from preview.wood.material_types import CLEAR, Stain
from preview.wood.species import list_stains, load_finish, load_species, load_stain
from preview.wood.strip import DARKEST, SHADES, shades


def closed_form(ground, k, s):
    a = 1 + k / s
    b = np.sqrt(a * a - 1)
    hyperbolic = b / np.tanh(b * s)
    return (1 - ground * (a - hyperbolic)) / (a - ground + hyperbolic)


GROUNDS, ABSORPTIONS, SCATTERS = np.meshgrid(
    np.linspace(0.01, 0.99, 9), np.geomspace(0.003, 4, 9), np.geomspace(0.003, 4, 9)
)


def test_a_film_is_kubelka_s_closed_form():
    found = under_film(GROUNDS, ABSORPTIONS, SCATTERS)
    assert np.allclose(found, closed_form(GROUNDS, ABSORPTIONS, SCATTERS), rtol=0, atol=1e-9)


def test_a_dye_is_beer_and_lambert_s_law():
    assert np.allclose(under_film(GROUNDS, ABSORPTIONS, 0.0), GROUNDS * np.exp(-2 * ABSORPTIONS), atol=1e-12)
    assert np.allclose(under_film(GROUNDS, ABSORPTIONS, 1e-9), GROUNDS * np.exp(-2 * ABSORPTIONS), atol=1e-8)


def test_a_thick_film_hides_what_it_lies_on():
    """R of a thick film: K / S = (1 - R)^2 / 2 R, R = 1 + K/S - sqrt((K/S)^2 + 2 K/S)."""
    ratio = ABSORPTIONS / SCATTERS
    hiding = 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)
    thick = 60 / np.sqrt(ABSORPTIONS * (ABSORPTIONS + 2 * SCATTERS))
    assert np.allclose(under_film(GROUNDS, ABSORPTIONS * thick, SCATTERS * thick), hiding, atol=1e-9)


def test_a_film_that_neither_absorbs_nor_scatters_is_not_there():
    assert np.allclose(under_film(GROUNDS, 0.0, 0.0), GROUNDS, atol=1e-12)
    assert np.allclose(under_film(0.3, 0.0, 0.5), (0.3 * (1 - 0.5) + 0.5) / (1 + 0.5 - 0.5 * 0.3))  # K = 0, by hand


def test_more_absorbs_more_and_more_scatters_more():
    steps = np.linspace(0, 3, 50)
    assert (np.diff(under_film(0.4, steps, 0.2)) < 0).all()
    assert (np.diff(under_film(0.4, 0.1, steps)) > 0).all()  # towards R of a thick film, 0.4 at most less than that
    assert (np.diff(under_film(steps / 3, 0.3, 0.2)) > 0).all()


@pytest.mark.parametrize("ior", [1.33, 1.5, 1.6])
def test_even_light_inside_a_coat(ior):
    assert turned_back(ior) == pytest.approx(1 - (1 - mean_fresnel(ior)) / ior**2, abs=1e-6)


def test_below_and_above_the_coat_are_each_other_s_inverse():
    albedo = np.linspace(0, 1, 30)
    assert np.allclose(above_coat(below_coat(albedo)), albedo, atol=1e-12)
    assert (below_coat(albedo[1:-1]) > albedo[1:-1]).all()


def test_oil_deepens_and_warms_and_water_does_not():
    wood = np.array([0.40, 0.28, 0.15])
    plain = load_stain("none")
    assert np.allclose(finished(wood, plain, load_finish("satin")), wood, atol=1e-12)
    oiled = finished(wood, plain, load_finish("oil satin"))
    assert (oiled < wood).all() and oiled[2] / oiled[0] < 0.9 * wood[2] / wood[0]
    share = 0.3
    k_over_s = lambda r: (1 - r) ** 2 / (2 * r)  # noqa: E731
    assert np.allclose(k_over_s(deepened(wood, share)) * (1 - share), k_over_s(wood))


@pytest.mark.parametrize("name", list_stains())
def test_stains_gather_in_pores_and_quieten_by_their_pigment(name):
    """A pigment brings light and dark wood nearer to each other, a dye keeps their ratio inside the coat."""
    stain = load_stain(name)
    wood = np.array([[0.40, 0.28, 0.15], [0.30, 0.20, 0.10]])
    light, dark = below_coat(finished(wood, stain, CLEAR))
    before = np.divide(*below_coat(wood))
    quiet = before - light / dark
    assert (quiet > 0.005).all() if max(stain.scatter) > 0 else np.allclose(quiet, 0, atol=1e-9)
    if max(stain.scatter) > 0:  # a pore goes towards the colour of the stain by itself
        ratio = np.array(stain.absorption) / stain.scatter
        alone = 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)
        face, pore = (below_coat(finished(wood[0], stain, CLEAR, depth)) for depth in (0.0, 1.0))
        assert (np.abs(pore - alone) < np.abs(face - alone)).all()


def test_white_fills_pores_and_not_knots():
    oak = load_species("white oak")
    green = shades(oak, oak.heartwood, load_stain("white"), CLEAR)[:, 1].astype(int)
    clear, pore, knot = (green[round((lost - DARKEST) * SHADES)] for lost in (0.0, -13.0, -28.0))
    assert pore > clear > knot + 20


def test_a_dye_of_one_layer_by_hand():
    stain = Stain("dye", (0.1, 0.2, 0.3), (0.0, 0.0, 0.0), 2.0)
    wood = np.array([0.4, 0.3, 0.2])
    inside = below_coat(wood) * np.exp(-2 * np.array([0.1, 0.2, 0.3]))
    assert np.allclose(finished(wood, stain, CLEAR), above_coat(inside))
    assert np.allclose(
        finished(wood, stain, CLEAR, 1.0), above_coat(below_coat(wood) * np.exp(-4 * np.array([0.1, 0.2, 0.3])))
    )


@pytest.mark.parametrize(
    "ior, shares", [(1.567, (0.04879, 0.04908, 0.10006, 0.61915)), (1.5, (0.04000, 0.04027, 0.08919, 0.61280))]
)
def test_fresnel(ior, shares):
    """Unpolarised, at 0, 20, 60 and 85 degrees, computed apart from Fresnel's equations."""
    found = fresnel(np.cos(np.radians([0, 20, 60, 85])), ior)
    assert np.allclose(found, shares, atol=1e-5)


def test_a_mirror_smooth_coat_of_varnish_reads_89():
    """The ratio of Fresnel's shares at 60 degrees: 0.089187 / 0.100056."""
    assert gloss_units(0.0) == pytest.approx(89.1, abs=0.05)
    assert gloss_units(0.0, 1.567) == pytest.approx(100)


def test_gloss_falls_with_roughness_and_turns_back():
    alphas = np.geomspace(0.005, 0.5, 25)
    readings = [gloss_units(alpha) for alpha in alphas]
    assert (np.diff(readings) < 0).all() and readings[0] > 80 and readings[-1] < 1
    for gloss in (5, 10, 15, 35, 55, 80, 88):
        assert gloss_units(coat_alpha(gloss)) == pytest.approx(gloss, rel=0.02)


def test_gloss_by_sampling():
    """The meter's reading by tracing a million facets (Walter et al. 2007) through the same window."""
    rng = np.random.default_rng(1)
    alpha, angle, count = 0.08, np.radians(60), 1_000_000
    u, v = rng.random((2, count))
    slope, bearing = alpha * np.sqrt(u / (1 - u)), 2 * np.pi * v
    normal = np.stack([slope * np.cos(bearing), slope * np.sin(bearing), np.ones(count)])
    normal /= np.linalg.norm(normal, axis=0)
    to_lamp = np.array([-np.sin(angle), 0, np.cos(angle)])
    cosine = to_lamp @ normal
    out = 2 * cosine * normal - to_lamp[:, None]
    swing = np.arcsin(np.clip(out[1], -1, 1)) + np.radians(2.5) * (rng.random(count) - 0.5)
    tilt = np.arctan2(out[0], out[2]) - angle + np.radians(0.75) * (rng.random(count) - 0.5)
    caught = (cosine > 0) & (out[2] > 0) & (abs(tilt) < np.radians(2.2)) & (abs(swing) < np.radians(5.85))
    lam = lambda z: (np.sqrt(1 + alpha**2 * (1 / z**2 - 1)) - 1) / 2  # noqa: E731
    masked = 1 / (1 + lam(out[2][caught]) + lam(to_lamp[2]))
    weight = fresnel(cosine[caught], 1.5) * masked * cosine[caught] / (to_lamp[2] * normal[2][caught])
    assert gloss_units(alpha) == pytest.approx(100 * weight.sum() / count / fresnel(0.5, 1.567), rel=0.03)
