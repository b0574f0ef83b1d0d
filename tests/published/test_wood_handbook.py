"""Shrinkage in materials/ against the USDA Wood Handbook, FPL-GTR-190 (2010).

Tables 4-3 and 4-4 (shrinkage, green to ovendry, per cent: radial, tangential, volumetric) and 13-5 (dimensional change
coefficients per 1 % moisture content: radial, tangential). Shrinkage of northern red oak, sugar maple and teak is from
memory, the coefficients of hickory and teak were read in secondary copies; the files say so too.
"""

import pytest

from preview.wood.species import list_species, load_species

TABLE = {
    "white oak": (5.6, 10.5, 16.3, 0.00180, 0.00365),
    "red oak": (4.0, 8.6, 13.7, 0.00158, 0.00369),
    "walnut": (5.5, 7.8, 12.8, 0.00190, 0.00274),
    "hard maple": (4.8, 9.9, 14.7, 0.00165, 0.00353),
    "ash": (4.9, 7.8, 13.3, 0.00169, 0.00274),
    "birch": (7.3, 9.5, 16.8, 0.00256, 0.00338),
    "cherry": (3.7, 7.1, 11.5, 0.00126, 0.00248),
    "hickory": (7.7, 11.0, 17.8, 0.00259, 0.00411),
    "beech": (5.5, 11.9, 17.2, 0.00190, 0.00431),
    "teak": (2.5, 5.8, 7.0, 0.00101, 0.00186),
}


def test_every_species_is_in_the_table():
    assert set(list_species()) == set(TABLE)


@pytest.mark.parametrize("name", TABLE)
def test_shrinkage_is_the_handbook_s(name):
    shrinkage = load_species(name).shrinkage
    found = (
        shrinkage.radial,
        shrinkage.tangential,
        shrinkage.volumetric,
        shrinkage.change_radial,
        shrinkage.change_tangential,
    )
    assert found == TABLE[name]


@pytest.mark.parametrize("name", ["walnut", "beech", "ash", "cherry", "birch", "hard maple"])
def test_coefficients_follow_from_shrinkage(name):
    """Equation 13-3 about 10 % moisture content gives C = 1/(3000/S - 20), where 13-5 doesn't group species."""
    shrinkage = load_species(name).shrinkage
    for total, change in (
        (shrinkage.radial, shrinkage.change_radial),
        (shrinkage.tangential, shrinkage.change_tangential),
    ):
        assert abs(1 / (3000 / total - 20) - change) < 1e-5 * 1.01  # the table is rounded to five places
