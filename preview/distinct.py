"""The values of an array, each once.

`np.unique` alone asks whether its array is a masked one, and for that loads numpy's masked arrays, a twentieth of what
`check` takes. Where it counts it does not ask.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Scalar = TypeVar("Scalar", bound=np.generic)


def distinct(values: NDArray[Scalar], axis: int | None = None) -> NDArray[Scalar]:
    """Return the values of an array, or its rows (axis 0) or columns (axis 1), each once and in order."""
    return np.unique(values, axis=axis, return_counts=True)[0]
