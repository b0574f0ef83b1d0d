"""What is put on wood: a stain as a film that light crosses."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.wood.species import Stain


def stained(linear: NDArray[np.float64], stain: Stain, depth: NDArray[np.float64] | float = 0.0) -> NDArray[np.float64]:
    """Return linear RGB (..., 3) seen through a stain (Beer-Lambert); `depth` 0..1 (...,) is 1 in a pore."""
    layers = 1 + (stain.pores - 1) * np.asarray(depth)[..., None]
    return np.asarray(linear * np.exp(-np.asarray(stain.absorption) * layers))
