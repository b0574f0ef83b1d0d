"""The boards of a placed lattice, one by one, as checks look at them."""

import numpy as np
import shapely


def outlines(lattice, region):
    """The corners (n, 4, 2) of all boards that may meet a region, anticlockwise from the right of the near end."""
    rings = shapely.get_coordinates(lattice.boards(region).polygons).reshape(-1, 5, 2)
    return np.ascontiguousarray(rings[:, :4])
