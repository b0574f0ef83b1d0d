"""The share of light from all round that a smooth dielectric of refractive index n mirrors, in closed form."""

import numpy as np


def mean_fresnel(n):
    """J. W. T. Walsh 1926, and S. Q. Duntley, J. Opt. Soc. Am. 32, 61 (1942); from memory, and held against a
    quadrature of Fresnel's equations in test_coat.py."""
    plain = 0.5 + (n - 1) * (3 * n + 1) / (6 * (n + 1) ** 2)
    back = n**2 * (n**2 - 1) ** 2 / (n**2 + 1) ** 3 * np.log((n - 1) / (n + 1))
    less = 2 * n**3 * (n**2 + 2 * n - 1) / ((n**2 + 1) * (n**4 - 1))
    return plain + back - less + 8 * n**4 * (n**4 + 1) / ((n**2 + 1) * (n**4 - 1) ** 2) * np.log(n)
