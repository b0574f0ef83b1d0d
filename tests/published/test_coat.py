"""A clear coat's light by the angle: Fresnel's closed form where it is smooth, Mitsuba's rough plastic where it is not.

How Mitsuba's values come about: its `roughplastic` (W. Jakob et al., Mitsuba 3, mitsuba-renderer.org) multiplies a matt
base by what its GGX boundary passes on the way in and again on the way out. With a base of next to no albedo r and
light sent back where it came from, that is f = r T(t)^2 cos t / (pi n^2), from which T follows. Ours is T scaled so
that of light from all round as much comes through as through a smooth coat, which Mitsuba leaves out: what is compared
is how T goes by the angle.
"""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from even_light import mean_fresnel

from preview.fresnel import fresnel
from preview.light.coat import coat_of
from preview.picture.light_uniforms import cubic_of
from preview.wood.species import list_finishes, load_finish

IOR = 1.5
ANGLES = np.array([0, 20, 40, 50, 60, 70, 75, 80, 85])
# What Mitsuba 3.9.1 gave when the function `mitsubas` below was run.
PASSED = {
    0.15: [0.9589, 0.9577, 0.9488, 0.9345, 0.9033, 0.8386, 0.7878, 0.7260, 0.6674],
    0.25: [0.9556, 0.9534, 0.9408, 0.9243, 0.8936, 0.8400, 0.8028, 0.7598, 0.7119],
    0.40: [0.9476, 0.9435, 0.9234, 0.9018, 0.8670, 0.8126, 0.7751, 0.7278, 0.6662],
}


def cosine(degrees):
    return np.cos(np.radians(degrees))


@pytest.mark.parametrize(("angle", "mirrored"), [(0, 0.04000), (20, 0.04027), (60, 0.08919)])
def test_a_nearly_smooth_coat_mirrors_by_fresnels_equations(angle, mirrored):
    """((n cos t - cos t') / (n cos t + cos t'))^2 and its fellow, halved, at n = 1.5: M. Born and E. Wolf, Principles
    of Optics, section 1.5 (from memory)."""
    assert fresnel(cosine(angle), IOR) == pytest.approx(mirrored, abs=1e-5)
    coat = coat_of(0.005, IOR)
    assert coat.mirrors(cosine(angle)) == pytest.approx(mirrored, abs=3e-4)
    assert coat.passes(cosine(angle)) == pytest.approx(1 - mirrored, abs=3e-4)


@pytest.mark.parametrize("ior", [1.4, 1.5, 1.567])
def test_mean_of_a_smooth_coat_is_the_closed_form(ior):
    node, weight = np.polynomial.legendre.leggauss(200)
    c = ((node + 1) / 2) ** 2  # crowded towards the plane, where the reflectance is steep
    quadrature = (2 * c * fresnel(c, ior) * weight * (node + 1) / 2).sum()
    assert mean_fresnel(ior) == pytest.approx(quadrature, abs=1e-6)
    coat = coat_of(0.005, ior)
    assert coat.mean_mirrored == pytest.approx(mean_fresnel(ior), abs=5e-4)
    assert coat.mean_passed == pytest.approx(1 - mean_fresnel(ior), abs=2e-4)


def test_mean_at_an_index_of_one_and_a_half():
    assert mean_fresnel(1.5) == pytest.approx(0.0918, abs=5e-5)


@pytest.mark.parametrize("alpha", PASSED)
def test_a_rough_coat_passes_by_the_angle_as_mitsubas_does(alpha):
    share = coat_of(alpha, IOR).passes(cosine(ANGLES)) / np.array(PASSED[alpha])
    assert share / share.mean() == pytest.approx(np.ones(len(ANGLES)), abs=0.003)
    assert share.mean() == pytest.approx(1, abs=0.03)


def mitsubas(alpha):
    """What Mitsuba's rough plastic passes at `ANGLES`."""
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    base = 1e-3
    both = {
        "specular_reflectance": {"type": "rgb", "value": 0.0},
        "diffuse_reflectance": {"type": "rgb", "value": base},
    }
    boundary = {"distribution": "ggx", "alpha": alpha, "int_ior": IOR, "ext_ior": 1.0, "nonlinear": True}
    plastic = mi.load_dict({"type": "roughplastic", **boundary, **both})
    found = []
    for angle in np.radians(ANGLES):
        way = [float(np.sin(angle)), 0.0, float(np.cos(angle))]
        hit = mi.SurfaceInteraction3f()
        hit.wi = way
        sent = plastic.eval(mi.BSDFContext(), hit, mi.Vector3f(way))[0]
        found.append(np.sqrt(sent * np.pi * IOR**2 / (base * np.cos(angle))))
    return np.array(found)


@pytest.mark.slow
@pytest.mark.parametrize("alpha", PASSED)
def test_mitsubas_values_are_what_mitsuba_gives(alpha):
    """Needs the extra `reference`."""
    assert mitsubas(alpha) == pytest.approx(np.array(PASSED[alpha]), abs=5e-4)


@pytest.mark.parametrize(("alpha", "ior"), [*product([0.02, 0.1, 0.25, 0.4, 0.5], [1.4, 1.5, 1.6])])
def test_a_coat_makes_no_light_and_loses_none_in_the_mean(alpha, ior):
    """No more comes back and goes in than falls on it, and of light from all round as much as through a smooth one."""
    coat = coat_of(alpha, ior)
    assert coat.mirrored.min() >= 0 and coat.passed.min() >= 0
    assert (coat.mirrored + coat.passed).max() < 1.03
    assert coat.mean_passed == pytest.approx(1 - mean_fresnel(ior), abs=2e-3)
    assert coat.mean_mirrored < mean_fresnel(ior) + 1e-3


def test_rougher_coats_mirror_less_along_the_floor():
    """Their facets hide one another and turn their faces up."""
    along = [float(coat_of(alpha, IOR).mirrors(cosine(85))) for alpha in (0.02, 0.1, 0.25, 0.5)]
    assert along == sorted(along, reverse=True) and along[0] > 3 * along[-1]


def test_an_index_of_one_is_no_coat():
    coat = coat_of(0.25, 1.0)
    assert (coat.mirrored == 0).all() and coat.passed == pytest.approx(np.ones(len(coat.passed)))
    assert coat.mean_passed == pytest.approx(1)


@pytest.mark.parametrize("finish", list_finishes())
def test_the_pictures_cubic_follows_the_coat(finish):
    """Within 1 % wherever light comes or goes 10 degrees and more over the floor."""
    coat = coat_of(load_finish(finish).roughness, IOR)
    cubic = np.polynomial.polynomial.polyval(coat.cosines, cubic_of(coat))
    off = cubic * coat.mean_passed / coat.passed - 1
    assert np.abs(off[coat.cosines >= np.sin(np.radians(10))]).max() < 0.01
