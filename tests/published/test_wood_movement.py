"""Movement of wood with moisture against the USDA Wood Handbook, FPL-GTR-190 (2010), chapters 4 and 13.

Equation 13-2 with its worked example and table 13-5 (read; the moisture contents of the example are inferred from its
result), equation 13-3 (from memory), equation 4-5 (read in five open copies of it).
"""

import pytest

from preview.wood.air import equilibrium, humidity_for
from preview.wood.material_types import Shrinkage
from preview.wood.movement import across, change
from preview.wood.species import load_species

UNGROUPED = ("walnut", "beech", "ash", "cherry", "birch", "hard maple")  # by table 13-5


def test_the_handbook_s_white_fir():
    """A flat-sawn white fir board 232 mm (9.15 in) wide goes from 8 to 11 % and gains 1.7 mm (0.067 in)."""
    fir = Shrinkage(radial=3.3, tangential=7.0, volumetric=9.8, change_radial=0.00112, change_tangential=0.00245)
    assert 0.232 * change(fir, "plainsawn", 8, 11) == pytest.approx(0.0017, abs=0.00005)
    assert 9.15 * change(fir, "plainsawn", 8, 11) == pytest.approx(0.067, abs=0.0005)


@pytest.mark.parametrize(("name", "plain", "quarter"), [("white oak", -0.0438, -0.0216), ("walnut", -0.0329, -0.0228)])
def test_four_inch_boards_from_9_to_6_per_cent(name, plain, quarter):
    """Table 13-5 in equation 13-2, inches: C_T across a plainsawn width, C_R across a quartersawn one."""
    shrinkage = load_species(name).shrinkage
    assert 4 * change(shrinkage, "plainsawn", 9, 6) == pytest.approx(plain, abs=0.00005)
    assert 4 * change(shrinkage, "quartersawn", 9, 6) == pytest.approx(quarter, abs=0.00005)
    rift = change(shrinkage, "riftsawn", 9, 6)  # a strain at 45 degrees to its principal directions is their mean
    assert 4 * rift == pytest.approx((plain + quarter) / 2, abs=0.00005)


@pytest.mark.parametrize("name", UNGROUPED)
def test_from_green_to_ovendry_wood_shrinks_by_the_table(name):
    """Equations 13-2 and 13-3 one after the other, from 30 to 0 %, are tables 4-3 and 4-4: where 13-5 doesn't group
    species, within the rounding of their coefficients."""
    shrinkage = load_species(name).shrinkage
    assert 100 * change(shrinkage, "plainsawn", 30, 0) == pytest.approx(-shrinkage.tangential, rel=0.006)
    assert 100 * change(shrinkage, "quartersawn", 30, 0) == pytest.approx(-shrinkage.radial, rel=0.006)


def test_the_two_equations_are_near_each_other():
    """13-3 alone takes 4 in of white oak from 12 to 6 % by -0.08965 in."""
    assert 4 * change(load_species("white oak").shrinkage, "plainsawn", 12, 6) == pytest.approx(-0.08965, rel=0.05)


def test_a_ring_angle_between_the_two_is_between_them():
    assert across(0.004, 0.002, 0.0) == 0.004
    assert across(0.004, 0.002, 3.141592653589793 / 2) == pytest.approx(0.002)


@pytest.mark.parametrize(
    ("humidity", "moisture"), [(0.30, 6.17), (0.40, 7.70), (0.50, 9.24), (0.65, 11.96), (0.80, 15.99)]
)
def test_air_of_a_room(humidity, moisture):
    """Equation 4-5 at 21.1 C, by its constants; and back again."""
    assert equilibrium(humidity) == pytest.approx(moisture, abs=0.02)
    assert humidity_for(moisture) == pytest.approx(humidity, abs=0.001)


def test_air_of_a_kiln():
    """Table 4-2: 60 C and 55 % gives 8.0 %; the equation is within half a per cent of the table."""
    assert equilibrium(0.55, 60) == pytest.approx(8.0, abs=0.5)
